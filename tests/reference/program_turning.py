"""A turning program driven through its section by plane booleans (Shapely): chucked anew for side B, or on a spindle where the wheel stays."""

import math
import re

import numpy
from shapely import LineString, Polygon, box, unary_union

import program_text
from dxf_wheel import profile as section_edges
from order_model import length

WORD = 2e-4             # mm: rounding of the words
LEFT = 0.02             # mm
CLEAR = 1.0             # mm: rapid moves from the blank, everything from a flange
BESIDE = 1.5            # mm: what may stay beside a flange


def blank_of(order, wheel, spare):
    """Outside radius, thickness, bore radius of the stone."""
    b = order.get("blank", {})
    get = lambda key, otherwise: length(b[key], order["units"], key) if key in b else otherwise
    return (max(get("outside_diameter", 2 * (wheel.radius + spare)) / 2, wheel.radius), max(get("thickness", wheel.thickness + 2 * spare), wheel.thickness),
            min(get("bore", 2 * (wheel.bore - spare)) / 2, wheel.bore))


def flat_section(wheel):
    """The section as a polygon in (z, r), chords within a tenth of a micrometre."""
    points = []
    for e in section_edges(wheel):
        n = 1 if e.centre is None else max(2, math.ceil(abs(e.sweep) * math.sqrt(math.dist(e.a, e.centre) / 8e-4)))
        points += [e.a] if n == 1 else [(e.centre[0] + math.dist(e.a, e.centre) * math.cos(t), e.centre[1] + math.dist(e.a, e.centre) * math.sin(t))
                                        for t in (math.atan2(e.a[1] - e.centre[1], e.a[0] - e.centre[0]) + e.sweep * i / n for i in range(n))]
    return Polygon(points)


def web(finished, wheel):
    """A plane that lies within the wheel at every radius."""
    cuts = [finished.intersection(LineString([(-1e3, r), (1e3, r)])).bounds for r in numpy.linspace(wheel.bore, wheel.radius, 402)[1:-1]]
    low, high = max(c[0] for c in cuts), min(c[2] for c in cuts)
    assert low < high, "no plane parts the sides"
    return (low + high) / 2


def at_line(text, operation):
    """The line at which an operation of the side begins."""
    return next(n for n, line in enumerate(text.splitlines(), 1) if "OPERATION: SIDE" in line and operation in line)


def said_in(text):
    """The comments of the head in one line."""
    return " ".join(line.strip("()") for line in text.splitlines()[:80])


def flange_of(order, stays):
    """Radius of the flange on which the wheel stays; 0 where it is chucked."""
    return length(order["mount"]["flange_diameter"], order["units"], "flange") / 2 if stays else 0.0


def kept(finished, wheel, second, spare, flange):
    """The most that is ordered beside the flange and cannot be cut there, mm."""
    at = lambda r: finished.intersection(LineString([(-1e3, r), (1e3, r)])).bounds
    cuts = [at(r) for r in numpy.linspace(wheel.bore + 1e-6, min(flange + BESIDE, wheel.radius) - 1e-6, 200)]
    return max((wheel.thickness - c[2] if second else c[0]) for c in cuts) + spare


def beside_flange(text, ways, nose, flange):
    """What is wrong near a flange and in the words on it."""
    near = min(y for way in ways for _, y in way) - nose
    said, wrong = said_in(text), []
    if near < flange + CLEAR - 3 * WORD:
        wrong.append(f"comes to {near - flange:.4f} mm of the flange")
    if "FOR BOTH SIDES" not in said or "CHUCKED ANEW" in said:
        wrong.append("does not say that both sides have one datum")
    return wrong


def words_on_kept(text, order, finished, wheel, second, spare, flange):
    """Whether the head says what must be cut before the wheel is mounted, and how much."""
    most = kept(finished, wheel, second, spare, flange) if flange + BESIDE > wheel.bore else 0.0
    named = re.search(r"UP TO ([\d.]+) (MM|IN) ORDERED THERE MUST BE CUT BEFORE", said_in(text))
    amount = float(named[1]) * (25.4 if named[2] == "IN" else 1) if named else 0.0
    return [] if abs(amount - most) < 5e-3 + 0.01 * most else [f"says {amount:.3f} mm must be cut before mounting, not {most:.3f}"]


def turning(text, order, wheel, nose, second, stays=False):
    """What is wrong with a turning program; empty where nothing is."""
    outer, thick, bore = blank_of(order, wheel, 1.0)
    spare = (thick - wheel.thickness) / 2
    flange = flange_of(order, stays)
    # a wheel that stays keeps side A's datum for both sides
    own = second and not stays
    z = (lambda word: wheel.thickness + word) if own else (lambda word: -word)
    at = lambda p: (z(p["Z"]), p["X"] / 2)
    # on its spindle its bore is finished
    stone = box(0 if second else -spare, wheel.bore if second or stays else bore, wheel.thickness + spare, outer)
    blank = box(0 if own else -spare, bore, wheel.thickness + spare, outer)
    finished = flat_section(wheel)
    ways, lines, wrong = [], [], []
    rapids = []
    for m in program_text.moves(text):
        a, b = at(m.start), at(m.end)
        lines += [m.line] if m.kind != "rapid" else []
        if m.kind == "rapid":
            rapids.append([a, b])
            if LineString([a, b]).distance(blank) < nose + CLEAR - 3 * WORD:
                wrong.append(f"line {m.line}: rapid within 1 mm of the blank")
        elif m.kind == "line":
            ways.append([a, b])
        else:
            c = (a[0] + (m.centre[1] if own else -m.centre[1]), a[1] + m.centre[0])
            # seen with Z to the right; where Z counts from side A the section's z runs the other way
            ways.append(program_text.arc_points(a, b, c, (m.kind == "left") == own))
    paths = [LineString(w) for w in ways]
    if stays:
        wrong += beside_flange(text, ways + rapids, nose, flange) + words_on_kept(text, order, finished, wheel, second, spare, flange)
    rough = [LineString(w) for w, line in zip(ways, lines) if at_line(text, "ROUGHING") < line < at_line(text, "FINISHED")]
    said = re.search(r"([\d.]+) MM IS LEFT FOR THE LAST PASS", said_in(text))
    allowance = min(p.distance(finished) for p in rough) - nose
    if allowance < float(said[1]) - 3 * WORD:
        wrong.append(f"roughing leaves {allowance:.4f} mm, less than the allowance")
    near = min(p.distance(finished) for p in paths)
    if near < nose - 3 * WORD:
        wrong.append(f"cuts {nose - near:.4f} mm below the finished surface")
    swept = unary_union([p.buffer(nose, quad_segs=64) for p in paths])
    innermost = flange + BESIDE if stays else 0.0
    # the nose finds a flange, and what stands beside it, in its way as it does the finished shape
    obstacle = finished.union(box(-1e3, 0, 1e3, innermost)) if stays else finished
    closed = obstacle.buffer(nose, quad_segs=128).buffer(-nose, quad_segs=128)
    left = stone.difference(swept).difference(closed.buffer(LEFT))
    # what the other set-up is for stays: behind the middle of the web, and outside the rim in set-up 1
    z0, far, low = web(finished, wheel), wheel.thickness + spare + 1, max(wheel.bore, innermost)
    facing = box(z0, low, far, wheel.radius) if second else box(-spare - 1, low, z0, wheel.radius)
    free = box(-spare - 1, wheel.radius, far, outer) if second else box(-spare - 1, 0, far, 0 if stays else wheel.bore)
    for region in (facing, free):
        here = left.intersection(region)
        if here.area > 1e-4:
            p = here.representative_point()
            wrong.append(f"leaves {here.area:.4f} mm2 at z {p.x:.3f}, r {p.y:.3f}")
    return wrong
