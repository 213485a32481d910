"""Judge: the compensated path of a diamond's nose against Shapely's parallel curve of the same section.

200 random sections, noses of 0.1 to 12 mm. What is made lies on the parallel curve everywhere and covers all of it; a nose is refused where it misses
an ordered fillet or a whole wall or floor, and nowhere else; what a refusal says of the stone left is measured again, and the largest nose it names
is tried: it is made, and one a little larger is not.
"""

import json
import math
import random
import re
import subprocess
import tempfile
from multiprocessing import Pool
from pathlib import Path

from shapely import LineString, Point, Polygon, unary_union

import dxf_reading
import judging
import random_orders
from dxf_wheel import profile as section_edges
from order_model import resolve

ORDERS = 200
CHORD = 2e-4            # mm, of arcs as polygons
OFF = 1e-3              # mm, from curve to curve
LEAST = 5e-5            # mm of stone that counts as left
LAYERS = ("NOSE_SIDE_A", "NOSE_FACE", "NOSE_SIDE_B", "NOSE_BORE")


def chords(edge):
    n = 1 if edge.centre is None else max(2, math.ceil(abs(edge.sweep) * math.sqrt(math.dist(edge.a, edge.centre) / (8 * CHORD / 4))))
    return edge.points(n)[:-1] if edge.centre else [edge.a]


def parallel(edges, nose):
    """The parallel curve outside the section, and the section."""
    points = [p for e in edges for p in chords(e)]
    section = Polygon(points)
    return grown(section, zip(points, points[1:] + points[:1]), nose), section


def grown(section, pieces, nose):
    """The section and a round band about each piece of its outline: one buffer of the whole would leave out its small hollows first."""
    quarter = max(16, math.ceil(math.pi / 4 * math.sqrt(nose / (2 * CHORD / 4))))
    return unary_union([section] + [LineString(p).buffer(nose, quad_segs=quarter) for p in pieces])


def missed(edges, curve, nose):
    """Whether a fillet, or a whole wall or floor, lies farther from the parallel curve than the nose's radius."""
    ring = curve.exterior
    out = lambda p: ring.distance(Point(p)) - nose > LEAST + 2 * CHORD
    for e in edges:
        if e.centre is None:
            if all(out((e.a[0] + (e.b[0] - e.a[0]) * t, e.a[1] + (e.b[1] - e.a[1]) * t)) for t in (0.02, 0.25, 0.5, 0.75, 0.98)):
                return True
        elif e.sweep < 0 and out(e.middle()):
            # the section runs counter-clockwise: an arc that turns the other way is a fillet
            return True
    return False


def path_of(file):
    """The path of a compensated file as one polygon, and what is wrong with its layers."""
    _, layers, wrong = dxf_reading.read(file)
    edges = [e for name in LAYERS if name in layers for e in layers[name].edges()]
    loops, runs = dxf_reading.joined(edges)
    if len(loops) != 1 or runs:
        return None, wrong + [f"{len(loops)} closed paths and {len(runs)} open ones"]
    return Polygon([p for e in loops[0] for p in chords(e)]), wrong


def compared(path, curve):
    """What is wrong with a path: how far it lies off the parallel curve, and the curve off it."""
    off = path.exterior.hausdorff_distance(curve.exterior)
    return [] if off <= OFF else [f"{off:.4f} mm off the parallel curve"]


def order_of(number):
    """A random section, its grooves left out, and a nose."""
    order = random_orders.random_order(number)
    for side in ("side_a", "side_b"):
        order["wheel"].get(side, {}).pop("grooves", None)
    order["wheel"].pop("face", None)
    order.pop("tooling", None)
    nose = round(math.exp(random.Random(f"offsets-{number}").uniform(math.log(0.1), math.log(12))), 2)
    return order, nose


def cut(order, nose, folder):
    """Exit code, message, and the compensated file where there is one."""
    path, to = Path(folder) / "order.json", Path(folder) / f"out-{nose}"
    path.write_text(json.dumps(order), encoding="utf-8")
    command = [judging.binary(), "cut", path, "-o", to, "--compensate", f"{nose} mm", "--unapproved"]
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=300)
    files = list(to.glob("*-profile-nose-*_mm.dxf"))
    return done.returncode, done.stderr, files[0] if files else None


def said(message):
    """Of a refusal: diameter and distance from side A of the stone left, how much, its area, how far off rounding may be; the largest nose that fits."""
    found = re.search(r"at diameter ([\d.]+ (?:mm|in)), ([\d.]+ (?:mm|in)) from side A: ([\d.]+ (?:mm|in)) is left \(([\d.]+) mm2", message)
    largest = re.search(r"largest nose that fits: ([\d.]+) mm", message)
    in_mm = lambda text: float(text.split()[0]) * (25.4 if text.endswith("in") else 1)
    told = None
    if found:
        diameter, along, most, area = found.groups()
        # inches have four decimals
        rounded = in_mm("0.00005 in") if most.endswith("in") else 0.0
        told = [in_mm(diameter), in_mm(along), in_mm(most), float(area), rounded]
    return told, float(largest[1]) if largest else None


def refusal(told, section, curve, nose):
    """What is wrong with what a refusal says of the stone left."""
    diameter, along, most, area, rounded = told
    at = Point(along, diameter / 2)
    ring = list(curve.exterior.coords)
    near = [p for p in zip(ring, ring[1:]) if LineString(p).distance(at) < 3 * nose]
    left = curve.intersection(at.buffer(2 * nose)).difference(section).difference(grown(Point(along, -1e4), near, nose))
    pieces = list(getattr(left, "geoms", [left]))
    piece = min(pieces, key=lambda p: p.distance(at))
    wrong = []
    if piece.distance(at) > 0.01:
        wrong.append(f"no stone is left at diameter {diameter}, {along} from side A")
    if abs(piece.area - area) > 0.01 * area + 2e-3:
        wrong.append(f"says {area} mm2 is left, measured {piece.area:.4f}")
    depth = curve.exterior.distance(at) - nose
    if abs(depth - most) > rounded + 1e-3:
        wrong.append(f"says {most} mm is left, measured {depth:.4f}")
    return wrong


def judged(order, nose, folder):
    """What is wrong with what the program makes of a section and a nose, and whether it was refused."""
    wheel = resolve(order)
    edges = section_edges(wheel)
    code, message, file = cut(order, nose, folder)
    if code == 1:
        return None, True
    curve, section = parallel(edges, nose)
    if curve.bounds[1] < 0 or nose > wheel.bore:
        return ([] if "bore" in message else [f"a nose that fits no bore: {message}"]), True
    want = missed(edges, curve, nose)
    if file is None:
        told, largest = said(message)
        if told is None:
            return [f"refused without the stone left: {message.strip()}"], True
        wrong = refusal(told, section, curve, nose) + ([] if want else ["refused although nothing ordered is missed"])
        if largest:
            if cut(order, largest, folder)[2] is None:
                wrong.append(f"the nose of {largest} mm that should fit is refused")
            if cut(order, round(largest * 1.02 + 1e-4, 6), folder)[2] is not None:
                wrong.append(f"a nose larger than {largest} mm is made")
        return wrong, True
    path, wrong = path_of(file)
    wrong = wrong + (["an ordered feature is missed without a word"] if want else [])
    slack = "left out" in message       # an edge shorter than a hundredth of a millimetre
    return wrong + (compared(path, curve) if path and not slack else []), False


def one(number):
    checks = judging.Gathered()
    order, nose = order_of(number)
    with tempfile.TemporaryDirectory() as folder:
        wrong, refused = judged(order, nose, folder)
    how = "a rule stops it" if wrong is None else "is refused" if refused else "is made"
    checks.that(f"random-{number:03} with a nose of {nose} mm {how}", not wrong, "; ".join(wrong or []))
    return checks.lines


def judge(checks, options):
    with Pool(2) as pool:
        lines = [line for got in pool.imap_unordered(one, range(ORDERS)) for line in got]
    checks.absorb(lines)
    count = lambda how: sum(how in name for name, _, _ in lines)
    checks.that("many are made and many refused", count("is made") >= ORDERS / 4 and count("is refused") >= ORDERS / 20, f"{count('is made')}, {count('is refused')}")
    checks.that("hardly a rule stops any", count("a rule stops") <= ORDERS / 5, f"{count('a rule stops')}")


def selftest(checks, options):
    """A right path passes; one of another nose, one shifted, one with a corner cut off and one short of an edge do not."""
    order, _ = order_of(3)
    wheel = resolve(order)
    edges = section_edges(wheel)
    curve, section = parallel(edges, 0.4)
    checks.that("the parallel curve itself passes", not compared(curve, curve))
    checks.that("another nose is noticed", compared(parallel(edges, 0.405)[0], curve))
    moved = Polygon([(x + 0.003, y) for x, y in curve.exterior.coords])
    checks.that("a shifted path is noticed", compared(moved, curve))
    ring = list(curve.exterior.coords)[:-1]
    sharp = max(range(len(ring)), key=lambda i: LineString([ring[i - 1], ring[(i + 1) % len(ring)]]).distance(Point(ring[i])))
    checks.that("a corner cut off is noticed", compared(Polygon(ring[:sharp] + ring[sharp + 1:]), curve))
    inside = section.buffer(0.4, quad_segs=4)
    checks.that("coarse chords are noticed", compared(inside, curve))
    # of the program's own files: one with an arc's radius a little wrong
    with tempfile.TemporaryDirectory() as folder:
        _, message, file = cut(order, 0.1, folder)
        path, wrong = path_of(file)
        checks.that("the program's path passes", not wrong and not compared(path, parallel(edges, 0.1)[0]), message)
        text = file.read_text(encoding="ascii")
        layer = text.index("NOSE_FACE\n", text.index("ENTITIES"))
        at = re.compile(r"\n 10\n *(-?[\d.]+)").search(text, layer)
        file.write_text(text[:at.start(1)] + f"{float(at[1]) + 0.004:.6f}" + text[at.end(1):], encoding="ascii")
        path, wrong = path_of(file)
        checks.that("a changed file is noticed", wrong or compared(path, parallel(edges, 0.1)[0]))
    fillet = {"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": {"outside_diameter": 300, "thickness": 40, "bore": 76.2,
              "side_a": {"recess": [{"diameter": 200, "depth": 8, "fillet_radius": 3}]}}}
    edges = section_edges(resolve(fillet))
    for nose, want in ((2.9, False), (3.1, True), (9.0, True)):
        checks.that(f"a nose of {nose} mm in a fillet of 3 mm", missed(edges, parallel(edges, nose)[0], nose) == want)
    curve, section = parallel(edges, 6.0)
    corner = (100.0 - 3 * (1 - math.sqrt(0.5)), 8 - 3 * (1 - math.sqrt(0.5)))
    most = 3 * (math.sqrt(2) - 1)
    area = (1 - math.pi / 4) * (36 - 9)
    right = (2 * corner[0], corner[1], most, area, 0.0)
    checks.that("a right refusal passes", not refusal(right, section, curve, 6.0), str(refusal(right, section, curve, 6.0)))
    for i, by in ((0, 1.0), (2, 0.01), (3, 0.2)):
        told = [v + (by if k == i else 0) for k, v in enumerate(right)]
        checks.that(f"a refusal with a wrong number ({i}) is noticed", refusal(told, section, curve, 6.0))


if __name__ == "__main__":
    judging.main(judge, selftest)
