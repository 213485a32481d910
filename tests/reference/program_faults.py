"""What a program may do wrong: each fault planted in a right one, in all its grooves or passes alike, with the words a judge must answer by."""

import re


def shifted(text, pattern, by):
    """The text with a number moved wherever the pattern finds it: its first group."""
    return re.sub(pattern, lambda m: m[0][:m.start(1) - m.start()] + f"{float(m[1]) + by:.4f}" + m[0][m.end(1) - m.start():], text, flags=re.M)


def group(text, nth):
    """Start and end of the nth groove's blocks; of none where there are too few."""
    starts = [m.start() for m in re.finditer(r"^\(GROOVE \d+\)$", text, re.M)]
    return (starts[nth], starts[nth + 1]) if len(starts) > nth + 1 else (0, 0)


def without_a_groove(text):
    a, b = group(text, 1)
    return text[:a] + text[b:]


def a_groove_twice(text):
    a, b = group(text, 1)
    return unnumbered(text[:b] + text[a:b] + text[b:])


def unnumbered(text):
    return re.sub(r"^N\d+ ", "", text, flags=re.M)


def at_once(text):
    """Every pass of a groove at the depth of its deepest."""
    head, *parts = re.split(r"(?m)^(?=\(GROOVE \d+\)$)", text)

    def deepest(part):
        low = min(map(float, re.findall(r"Z(-\d+\.\d+)", part)), default=0.0)
        return re.sub(r"Z-\d+\.\d+", f"Z{low:.4f}", part)

    return head + "".join(map(deepest, parts))


def unfinished(text):
    """Without the last way along the profile."""
    return re.sub(r"(?sm)(, FINISHED\)\n).*?(?=^N\d+ M)", r"\1", text)


def on_its_own_datum(text):
    """Side B as if it had a datum of its own, Z0 in the plane in which side A has it."""
    return re.sub(r"(?m)(?<= Z)-?\d+\.\d+", lambda m: f"{-float(m[0]):.4f}", text)


def silent(text):
    """Without the words on what must be cut before the wheel is mounted."""
    return text.replace("BEFORE", "AFTER").replace("MUST BE CUT", "IS CUT")


def to_the_flange(text):
    """A last way along side A that goes on to the spindle."""
    return re.sub(r"(?s)(.*)(\nN\d+ M30)", r"\1\nG1 X1.0\2", text)


def on_the_floor(text):
    """Every pass back up at once where its floor ends, without rising along a run-out."""
    return unnumbered(re.sub(r"(?m)(^N\d+ G1 X\S+ Z-\S+(?: F\S+)?\n)(?:^N\d+ G1 X\S+ Z-\S+\n)+", r"\1", text))


def moved(pattern, by):
    return lambda text: shifted(text, pattern, by)


LEVELS = r"^N\d+ G1 X\S+ (?:Y\S+ )?Z(-\d+\.\d+)"
IN_FACE = r"^N\d+ G0 X(\d+\.\d+)\nN\d+ G1 "
FINISHED = r", FINISHED\)[\s\S]*?G1 Z(-?\d+\.\d+)"
# kind of program: what is done to all its grooves or passes alike, how, and what the judge must say of it
DOCTORED = {
    "grooves-side": [
        ("deeper", moved(LEVELS, -0.05), "below the finished surface"),
        ("not deep enough", moved(LEVELS, 0.3), "leaves"),
        ("rapid start nearer", moved(r"^N\d+ G0 X(\d+\.\d+)", -15.0), "rapid within"),
        ("an angle", moved(r"^N\d+ G0 C(\d+\.\d+)", 0.01), "is cut at"),
        ("beside the wall", moved(r"^N\d+ G0 .*Y(-?\d+\.\d+)", 0.3), "beside the wall"),
        ("a groove left out", without_a_groove, "not cut once each"),
        ("a groove cut twice", a_groove_twice, "not cut once each"),
        ("to depth at once", at_once, "at once"),
        ("no rise along a run-out", on_the_floor, "too much"),
        ("no feed", lambda text: re.sub(r" F[\d.]+", "", text), "without a feed"),
        ("no end", lambda text: text.replace("M30", "M0"), "no end"),
    ],
    "grooves-face": [
        ("deeper", moved(IN_FACE, -0.05), "below the finished surface"),
        ("not deep enough", moved(IN_FACE, 0.3), "leaves"),
        ("an end nearer", moved(r"^N\d+ G1 (?:C\S+ )?Z(\d+\.\d+)", -1000.0), "does not cross"),
        ("a start nearer", moved(r"^N\d+ G0 .*Z(-\d+\.\d+)\nN\d+ G0 X", 20.0), "rapid within"),
        ("a groove left out", without_a_groove, "not cut once each"),
    ],
    "set-up-1": [
        ("deeper", moved(FINISHED, -0.05), "below the finished surface"),
        ("not finished", unfinished, "leaves"),
        ("roughed too deep", moved(r", ROUGHING\)[\s\S]*?G1 Z(-?\d+\.\d+)", -0.02), "than the allowance"),
    ],
    "set-up-2": [
        ("deeper", moved(FINISHED, -0.05), "below the finished surface"),
        ("home nearer", moved(r"G1 X(\d+\.\d+)\nN\d+ G0 Z", -20.0), "rapid within"),
        ("not finished", unfinished, "leaves"),
    ],
}

# on a spindle on which the wheel stays
DOCTORED["stays-set-up-1"] = [
    ("on to the spindle", to_the_flange, "of the flange"),
    ("nothing said of what is cut before", silent, "must be cut before mounting"),
    ("another datum said", lambda text: text.replace("FOR BOTH", "FOR ITS"), "one datum"),
    ("deeper", moved(FINISHED, -0.05), "below the finished surface"),
    ("not finished", unfinished, "leaves"),
]
DOCTORED["stays-set-up-2"] = [
    ("on its own datum", on_its_own_datum, "leaves"),
    ("all of it nearer", moved(r" Z(-?\d+\.\d+)", 0.05), "below the finished surface"),
    ("home nearer", moved(r"G1 X(\d+\.\d+)\nN\d+ G0 Z", -20.0), "rapid within"),
    ("on to the spindle", to_the_flange, "of the flange"),
    ("not finished", unfinished, "leaves"),
]

# what another order may have to show: shallow cuts in a shaped bottom or a short groove, passes of a shallow groove, a rise of less than the steps there
HIDDEN = ("not deep enough", "to depth at once", "no rise along a run-out")
