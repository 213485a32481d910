"""A control program as a machine reads it: moves in the order of the text, nothing else of the tool that wrote it."""

import math
import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Move:
    line: int
    kind: str            # rapid, line, left, right
    start: dict
    end: dict
    centre: tuple        # from the start: along X (as a radius), along Z
    groove: int


class Wrong(Exception):
    """The text is no program."""


def moves(text, digits=4):
    """Every move whose start is known in all the axes the program ever names."""
    bare = [line for line in text.splitlines() if not line.startswith("(")]
    axes = {a for line in bare for a in re.findall(r"\b([XYZC])-?\d", line)}
    at, kind, fed, groove, last, ended, found = {}, None, False, 0, 0, False, []
    for n, line in enumerate(text.splitlines(), 1):
        if line.startswith("("):
            mark = re.fullmatch(r"\(GROOVE (\d+)\)", line)
            groove = int(mark[1]) if mark else groove
            continue
        if line == "%":
            continue
        if ended:
            raise Wrong(f"line {n}: after the end")
        to, centre = dict(at), [0.0, 0.0]
        for letter, value in re.findall(r"([A-Z])(-?\d+(?:\.\d+)?)", line):
            x = float(value)
            if letter == "N":
                if not last < x < 10 ** digits:
                    raise Wrong(f"line {n}: number {value}")
                last = x
            elif letter == "G" and x in (0, 1, 2, 3):
                kind = ("rapid", "line", "right", "left")[int(x)]
            elif letter == "F":
                fed = x > 0
            elif letter == "M" and x == 30:
                ended = True
            elif letter in "XYZC":
                to[letter] = x
            elif letter in "IK":
                centre["IK".index(letter)] = x
        if to != at:
            if kind is None or kind != "rapid" and not fed:
                raise Wrong(f"line {n}: a cut without a feed or a function")
            if axes <= set(at):
                found.append(Move(n, kind, at, to, tuple(centre), groove))
            at = to
    if not ended:
        raise Wrong("no end")
    return found


def plain(text, control):
    """The text of another dialect in the one `moves` reads: absolute, X as a diameter, Z out of the wheel; repeated blocks run where they are called."""
    form, axes, comma = control["comment"], control["axes"], control.get("separator", ".")
    turning = control["cuts"] == "turning"
    names = {"radial": "X", "axial": "Z", "along": "X", "across": "Y", "depth": "Z", "dividing": "C"}
    letter = {axes[k]: v for k, v in names.items() if k in axes}
    centre = {axes.get("centre_radial"): "I", axes.get("centre_axial"): "K"} if turning else {}
    into = turning and control.get("axial") == "into_wheel"
    number = control["numbering"]
    repeat, lines, block, last, out, at = control.get("repeat"), [], [], 0, [], {}
    inside = False
    for line in text.splitlines():
        if repeat and line in (repeat["define"], repeat["end"]):
            inside = line == repeat["define"]
            continue
        head = re.fullmatch(rf"{number['letter']}(\d+) (.*)", line)
        if head:
            if not last < int(head[1]) < 10 ** number["digits"]:
                raise Wrong(f"line number {head[1]}")
            last, line = int(head[1]), head[2]
        (block if inside else lines).append(line)
    run = [b for line in lines for b in (block if repeat and line == repeat["call"] else [line])]
    if repeat and block and len(run) < len(lines):
        raise Wrong("a block that nothing calls")
    for line in run:
        if line.startswith(form["open"]) and line.endswith(form["close"]):
            said = line[len(form["open"]):len(line) - len(form["close"])]
            for axis, value in re.findall(r"([A-Z])(-?[\d.,]+)", said[9:]) if said.startswith("START AT ") else []:
                at[axis] = float(value.replace(comma, "."))
            if said.startswith("START AT ") and control.get("incremental"):
                out.append("G0 " + " ".join(worded(a, v, letter, control, into) for a, v in at.items()))
            out.append(f"({said})")
            continue
        if line in control["end"]:
            out.append("%" if line == "%" else "M30")
            continue
        words = []
        for axis, value in re.findall(r"([A-Z])(-?[\d.,]+)", line):
            x = float(value.replace(comma, "."))
            if axis in letter:
                at[axis] = at.get(axis, 0.0) + x if control.get("incremental") else x
                words.append(worded(axis, at[axis], letter, control, into))
            elif axis in centre:
                words.append(f"{centre[axis]}{-x if into and centre[axis] == 'K' else x:.6f}")
            elif axis == control["feed"]["letter"]:
                words.append(f"F{x}")
            elif into and axis == "G" and x in (2, 3):
                words.append(f"G{5 - x:.0f}")
            else:
                words.append(axis + value)
        out.append(" ".join(words) or line)
    return "\n".join(out) + "\n"


def worded(axis, value, letter, control, into):
    twice = letter[axis] == "X" and control["cuts"] == "turning" and not control.get("radial_is_diameter")
    return f"{letter[axis]}{value * (2 if twice else 1) * (-1 if into and letter[axis] == 'Z' else 1):.6f}"


def arc_points(start, end, centre, left, chord=5e-5):
    """Points along an arc of the plane, ends included."""
    a, b = math.atan2(start[1] - centre[1], start[0] - centre[0]), math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (b - a) % (2 * math.pi) if left else -((a - b) % (2 * math.pi))
    r0, r1 = math.dist(start, centre), math.dist(end, centre)
    n = max(1, math.ceil(abs(sweep) * math.sqrt(r0 / (8 * chord))))
    places = [(r0 + (r1 - r0) * i / n, a + sweep * i / n) for i in range(n + 1)]
    return [(centre[0] + r * math.cos(t), centre[1] + r * math.sin(t)) for r, t in places]
