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


def arc_points(start, end, centre, left, chord=5e-5):
    """Points along an arc of the plane, ends included."""
    a, b = math.atan2(start[1] - centre[1], start[0] - centre[0]), math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (b - a) % (2 * math.pi) if left else -((a - b) % (2 * math.pi))
    r0, r1 = math.dist(start, centre), math.dist(end, centre)
    n = max(1, math.ceil(abs(sweep) * math.sqrt(r0 / (8 * chord))))
    places = [(r0 + (r1 - r0) * i / n, a + sweep * i / n) for i in range(n + 1)]
    return [(centre[0] + r * math.cos(t), centre[1] + r * math.sin(t)) for r, t in places]
