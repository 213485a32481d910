"""Judge: SciPy fits measured points to the ordered section itself, and wheels that are known to be a little off are measured as what they are.

Points are taken from the section of another resolved wheel, moved to a datum of their own, turned over or not, and shuffled. Its sizes must come
back; for points with noise SciPy's least squares (`scipy.optimize.least_squares`) of distances written here must come to the same rest.
"""

import copy
import csv
import json
import math
import random
import tempfile
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

import judging
from half_section import contour
from order_model import resolve

ORDER = {
    "order": {"number": "7", "revision": "A"}, "units": "mm",
    "wheel": {
        "outside_diameter": 600, "thickness": 60, "bore": 203.2, "bore_chamfer": 1.5,
        "side_a": {"recess": [{"diameter": 380, "depth": 12, "fillet_radius": 5}, {"diameter": 320, "depth": 18, "fillet_radius": 3}],
                   "taper": {"from_diameter": 460, "to_diameter": 600, "depth": 2}, "corner": {"radius": 4}},
        "side_b": {"corner": {"chamfer": 3, "angle_deg": 30}},
    },
}
# How the measured wheel differs: pointers of the order, values in mm.
OFF = {
    "wheel.outside_diameter": 600.12, "wheel.thickness": 60.05, "wheel.bore": 203.24,
    "wheel.side_a.recess.0.depth": 12.03, "wheel.side_a.recess.0.fillet_radius": 5.06, "wheel.side_a.recess.1.depth": 17.97,
    "wheel.side_a.recess.1.diameter": 320.08, "wheel.side_a.taper.depth": 2.04, "wheel.side_a.corner.radius": 4.05,
}
# Label of the tool's sheet for each of them.
LABELS = {
    "Outside diameter": "wheel.outside_diameter", "Thickness": "wheel.thickness", "Bore": "wheel.bore",
    "Recess step 1 depth, side A": "wheel.side_a.recess.0.depth", "Recess step 1 fillet, side A": "wheel.side_a.recess.0.fillet_radius",
    "Recess step 2 depth, side A": "wheel.side_a.recess.1.depth", "Recess step 2 diameter, side A": "wheel.side_a.recess.1.diameter",
    "Depth of the taper, side A": "wheel.side_a.taper.depth", "Corner radius, side A": "wheel.side_a.corner.radius",
}
# Where the radius has no datum, a depth on a slope is as exact as the fitted radius: 0.03 mm on a slope of 2 in 70.
FORM, FIT, MOVED, ON_A_SLOPE = 2e-6, 1e-6, 2e-5, 2e-3


def set_at(order, pointer, value):
    *path, last = [int(p) if p.isdigit() else p for p in pointer.split(".")]
    place = order
    for part in path:
        place = place[part]
    place[last] = value


def value_at(order, pointer):
    for part in pointer.split("."):
        order = order[int(part) if part.isdigit() else part]
    return order


def arc_of(start, mid, end):
    """Centre of the circle through three points."""
    (ax, ay), (bx, by), (cx, cy) = start, mid, end
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    ux = ((ax**2 + ay**2) * (by - cy) + (bx**2 + by**2) * (cy - ay) + (cx**2 + cy**2) * (ay - by)) / d
    uy = ((ax**2 + ay**2) * (cx - bx) + (bx**2 + by**2) * (ax - cx) + (cx**2 + cy**2) * (bx - ax)) / d
    return ux, uy


def sampled(edges, step):
    """Points along the contour, no two edges sharing one."""
    for start, mid, end in edges:
        n = max(6, int(math.dist(start, end) / step))
        shares = (np.arange(n) + 0.5) / n
        if mid is None:
            yield from ((start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s) for s in shares)
            continue
        cx, cy = arc_of(start, mid, end)
        a0, a1 = (math.atan2(p[1] - cy, p[0] - cx) for p in (start, end))
        turn = (a1 - a0 + math.pi) % (2 * math.pi) - math.pi
        r = math.dist(start, (cx, cy))
        yield from ((cx + r * math.cos(a0 + turn * s), cy + r * math.sin(a0 + turn * s)) for s in shares)


def distance(p, edge):
    """Distance of a point from one edge."""
    start, mid, end = edge
    if mid is None:
        along = np.subtract(end, start)
        t = float(np.clip(np.dot(np.subtract(p, start), along) / np.dot(along, along), 0, 1))
        return math.dist(p, start + along * t)
    centre = arc_of(start, mid, end)
    r = math.dist(start, centre)
    out = math.atan2(p[1] - centre[1], p[0] - centre[0])
    middle = math.atan2(mid[1] - centre[1], mid[0] - centre[0])
    half = math.acos(max(-1.0, min(1.0, np.dot(np.subtract(start, centre), np.subtract(mid, centre)) / r**2)))
    if abs((out - middle + math.pi) % (2 * math.pi) - math.pi) <= half:
        return abs(math.dist(p, centre) - r)
    return min(math.dist(p, start), math.dist(p, end))


def rest(points, edges):
    """Root mean square of the distances that SciPy's fit leaves, beginning where the points are."""
    centre = points.mean(axis=0)

    def off(pose):
        c, s = math.cos(pose[2]), math.sin(pose[2])
        moved = (points - centre) @ np.array([[c, s], [-s, c]]) + centre + pose[:2]
        return [min(distance(p, e) for e in edges) for p in moved]

    # a signed distance is not needed: its square is the same, and the fit begins within reach
    found = least_squares(off, [0, 0, 0], x_scale=[1, 1, 1e-3], xtol=1e-12, ftol=1e-14, gtol=1e-14)
    return math.sqrt(np.mean(np.square(found.fun)))


def away(points, rng, turned_over, axis):
    """The same points from another datum."""
    angle = 0 if axis else rng.uniform(-0.004, 0.004)
    shift = np.array([0 if axis else rng.uniform(-40, 40), rng.uniform(-80, 80)])
    c, s = math.cos(angle), math.sin(angle)
    moved = points @ np.array([[c, s], [-s, c]]) + shift
    if turned_over:
        moved[:, 1] *= -1
    rng.shuffle(order := list(range(len(moved))))
    return moved[order]


def measure(order, points, *options):
    with tempfile.TemporaryDirectory() as folder:
        path, file = Path(folder) / "order.json", Path(folder) / "points.csv"
        path.write_text(json.dumps(order), encoding="utf-8")
        with file.open("w", newline="") as out:
            rows = csv.writer(out)
            rows.writerow(["z [mm]", "r [mm]"])
            rows.writerows([f"{z:.9f}", f"{r:.9f}"] for r, z in points)
        return json.loads(judging.run("inspect", path, "--profile", file, "--format", "json", *options))


def measured_wheel():
    order = copy.deepcopy(ORDER)
    for pointer, value in OFF.items():
        set_at(order, pointer, value)
    return order


def sizes(checks, name, got, wanted, on_a_slope=MOVED):
    found = {j["label"]: j["measured"] for j in got["profile"]["sizes"]}
    for label, pointer in LABELS.items():
        if label in wanted:
            checks.close(f"{name}: {label}", found.get(label), value_at(measured_wheel(), pointer), 0, on_a_slope if "taper" in label else MOVED)


DIAMETERS = {"Outside diameter", "Bore", "Recess step 2 diameter, side A"}


def judge(checks, _options):
    rng = random.Random(23)
    edges = contour(resolve(measured_wheel(), "measured"))
    points = np.array(list(sampled(edges, 1.5)))
    for turned_over in (False, True):
        got = measure(ORDER, away(points, rng, turned_over, False))
        name = "turned over" if turned_over else "another datum"
        sizes(checks, name, got, set(LABELS) - DIAMETERS, ON_A_SLOPE)
        checks.that(f"{name}: which way z counts", got["profile"]["pose"]["turned_over"] == turned_over)
        checks.that(f"{name}: no diameter without an axis", not DIAMETERS & {j["label"] for j in got["profile"]["sizes"]})
    sizes(checks, "from the axis", measure(ORDER, away(points, rng, False, True), "--axis"), set(LABELS))
    ordered = contour(resolve(ORDER, "ordered"))
    exact = measure(ORDER, away(np.array(list(sampled(ordered, 3))), rng, False, False))
    checks.close("the ordered section itself lies off by nothing", exact["profile"]["rms"], 0.0, 0, FORM)
    for seed in (1, 2):
        noise = np.random.default_rng(seed)
        few = np.array(list(sampled(ordered, 6)))
        noisy = few + noise.normal(0, 0.02, few.shape)
        got = measure(ORDER, away(noisy, rng, seed == 2, False))
        checks.close(f"noise {seed}: rest of the fit", got["profile"]["rms"], rest(noisy, ordered), FIT, 0)
    flat = np.array([(r, 0.0) for r in np.linspace(195, 228, 40)] + [(r, 12.0) for r in np.linspace(163, 183, 40)])
    got = measure(ORDER, away(flat, rng, False, True), "--axis")
    found = {j["label"]: j["measured"] for j in got["profile"]["sizes"]}
    checks.close("two planes alone show the depth between them", found.get("Recess step 1 depth, side A"), 12.0, 0, MOVED)


def selftest(checks, _options):
    good = {"profile": {"sizes": [{"label": l, "measured": value_at(measured_wheel(), p)} for l, p in LABELS.items()]}}
    trial = judging.Checks(quiet=True)
    sizes(trial, "right", good, set(LABELS))
    checks.that("right sizes pass", trial.failed == 0 and trial.passed == len(LABELS))
    for i, (label, pointer) in enumerate(LABELS.items()):
        wrong = copy.deepcopy(good)
        wrong["profile"]["sizes"][i]["measured"] = value_at(ORDER, pointer)
        trial = judging.Checks(quiet=True)
        sizes(trial, "wrong", wrong, set(LABELS))
        checks.that(f"the ordered {label} is not taken for the measured one", trial.failed == 1)
    ordered = contour(resolve(ORDER, "ordered"))
    points = np.array(list(sampled(ordered, 6)))
    checks.that("points of the section lie on it", max(min(distance(p, e) for e in ordered) for p in points) < 1e-9)
    shifted = points + np.array([0.3, -0.2])
    checks.that("a shift is fitted away", rest(shifted, ordered) < FORM)
    stretched = points * np.array([1.001, 1.0])
    checks.that("a stretch is not", rest(stretched, ordered) > 0.01)


if __name__ == "__main__":
    judging.main(judge, selftest)
