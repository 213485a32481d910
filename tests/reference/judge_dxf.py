"""Judge: ezdxf reads the machine files of random orders in every flavour, strictly; what they hold is compared with the order.

Every place is worked out anew from the order file (`dxf_wheel.py`); the section's area is also compared with the tool's own.
"""

import csv
import io
import json
import logging
import math
import os
import tempfile
from multiprocessing import Pool
from pathlib import Path

import ezdxf

import judging
import dxf_doctored
import dxf_picture
import dxf_reading
import dxf_wheel
import dxf_writing
import random_orders
from order_model import resolve
from xml.etree import ElementTree

from PIL import Image

FLAVOURS = {"r12": ("AC1009", {"LINE", "ARC", "CIRCLE"}), "r12-joined": ("AC1009", {"LINE", "ARC", "CIRCLE", "POLYLINE"}),
            "2000": ("AC1015", {"LINE", "ARC", "CIRCLE", "LWPOLYLINE"})}
ORDERS = 100
SHEETS = ["crankshaft-wheel-26-inch", "recess-three-steps-both-sides"]
AREA = 1e-9             # relative
PLACE = 1e-6            # mm: the sixth decimal
SHORTEST = 0.01         # mm
DEGREES = 5.1e-7        # half of the sixth decimal of an angle in the index table
STRAY = 5e-4            # share of the dark pixels of a picture that may lie off the other
REACH = 2               # pixels


def far(points, others):
    """Greatest distance from one of the points to the nearest of the others, both ways."""
    one_way = lambda a, b: max(min(math.dist(p, q) for q in b) for p in a)
    return max(one_way(points, others), one_way(others, points)) if points and others else math.inf


def marks(edges):
    """Places that fix a chain of edges: corners and middles."""
    return [e.a for e in edges] + [e.middle() for e in edges]


def has_full_round_rim(wheel):
    corners = [side.corner for side in (wheel.side_a, wheel.side_b)]
    radii = [corner[1] for corner in corners if corner and corner[0] == "radius"]
    return len(radii) == 2 and abs(sum(radii) - wheel.thickness) < 1e-9


def judge_profile(checks, name, wheel, layers, flavour, ours):
    turned = [layer for key, layer in layers.items() if key.startswith("TURN_")]
    names = {key for key in layers if not key.startswith("REF_")}
    wanted = {"TURN_SIDE_A", "TURN_FACE", "TURN_SIDE_B", "TURN_BORE"}
    # two corner radii of half the thickness meet: such a rim has no straight face
    if has_full_round_rim(wheel):
        wanted.remove("TURN_FACE")
    checks.that(f"{name} layers", names == wanted, f"{sorted(names)}")
    loops, open_ends = dxf_reading.joined([e for layer in turned for e in layer.edges()])
    sections = [("profile", loops, open_ends)]
    if flavour != "r12":
        section = layers.get("REF_SECTION", dxf_reading.Layer())
        checks.that(f"{name} outline is one closed path", len(section.loops) == 1 and not section.runs and not section.loose)
        checks.that(f"{name} outline runs counter-clockwise", section.loops and dxf_reading.area(section.loops[0]) > 0)
        sections.append(("outline", section.loops, section.runs))
    want = dxf_wheel.profile(wheel)
    for what, loops, open_ends in sections:
        if not checks.that(f"{name} {what} closes, once", len(loops) == 1 and not open_ends, f"{len(loops)} closed, {len(open_ends)} open"):
            continue
        area, (z, r) = dxf_reading.area(loops[0]), dxf_reading.centroid(loops[0])
        checks.close(f"{name} {what} area against the order", abs(area), dxf_reading.area(want), AREA)
        checks.close(f"{name} {what} area against properties", abs(area), ours["section"]["area"], AREA)
        checks.close(f"{name} {what} centroid z", z, ours["section"]["centroid_z"], 0, PLACE)
        checks.close(f"{name} {what} centroid r", r, ours["section"]["centroid_r"], 0, PLACE)
        off = far(marks(want), marks(loops[0]))
        checks.that(f"{name} {what} corners", off <= PLACE, f"off by {off:.1e} mm")


def judge_grooves(checks, name, wheel, layers, groove_set, end):
    want = dxf_wheel.Grooves(wheel, groove_set)
    n = len(groove_set.angles())
    names = {key for key in layers if not key.startswith("REF_")}
    if not checks.that(f"{name} layers", names == {f"GROOVE_CENTRE_{end}", f"GROOVE_EDGE_{end}"}, f"{sorted(names)}"):
        return
    centres, edges = layers[f"GROOVE_CENTRE_{end}"], layers[f"GROOVE_EDGE_{end}"]
    lines = centres.loose
    only = set(centres.kinds) == {"LINE"} and len(lines) == n
    loops, open_ends = dxf_reading.contours(edges)
    closed = len(loops) == n and not open_ends
    checks.that(f"{name} a centre line for each groove", only, f"{len(lines)} of {n}, {dict(centres.kinds)}")
    checks.that(f"{name} a closed outline for each groove", closed, f"{len(loops)} of {n}, {len(open_ends)} open")
    if not only or not closed:
        return
    off = max(max(math.dist(line.a, a), math.dist(line.b, b)) for line, (a, b) in zip(lines, want.centre_lines))
    checks.that(f"{name} centre lines", off <= PLACE, f"off by {off:.1e} mm")
    off = max(abs(turn - t) for turn, t in zip(turns(lines, wheel, groove_set), want.turns)) if n > 1 else 0.0
    checks.that(f"{name} pitch", off * wheel.radius <= 2 * PLACE, f"off by {math.degrees(off):.1e} deg")
    off = max(abs(abs(dxf_reading.area(loop)) / dxf_reading.area(o) - 1) for loop, o in zip(loops, want.outlines))
    checks.that(f"{name} outlines' areas", off <= AREA, f"off by {off:.1e}")
    off = max(far(marks(loop), marks(o)) for loop, o in zip(loops, want.outlines))
    checks.that(f"{name} outlines' corners", off <= PLACE, f"off by {off:.1e} mm")
    clockwise = sum(dxf_reading.area(loop) < 0 for loop in edges.loops)
    checks.that(f"{name} outlines run counter-clockwise", clockwise == 0, f"{clockwise} do not")


def turns(lines, wheel, groove_set):
    """How far each centre line is turned from groove 1, radians, from the file alone."""
    if groove_set.where == "face":
        return [line.a[1] / wheel.radius for line in lines]
    sign = -1 if groove_set.where == "side_b" else 1
    at = [sign * math.atan2(line.b[1] - line.a[1], line.b[0] - line.a[0]) for line in lines]
    zero = at[0] - 2 * math.pi * (min(set(range(1, groove_set.count + 1)) - set(groove_set.omit)) - 1) / groove_set.count
    # A little below 0 is 0 and not a full turn.
    return [(a - zero + 1e-9) % (2 * math.pi) - 1e-9 for a in at]


def judge_file(checks, name, path, wheel, part, flavour, ours):
    version, kinds = FLAVOURS[flavour]
    word, end, groove_set = part
    try:
        doc, layers, complaints = dxf_reading.read(path)
    except Exception as fault:
        checks.that(f"{name} is read", False, f"{type(fault).__name__}: {fault}")
        return
    errors, fixes = dxf_reading.audit(doc)
    checks.that(f"{name} audit", errors == fixes == 0, f"{errors} errors, {fixes} fixes")
    checks.that(f"{name} release", doc.dxfversion == version, doc.dxfversion)
    if flavour == "2000":
        checks.that(f"{name} unit", doc.header.get("$INSUNITS") == dxf_writing.MILLIMETRES)
    found = set().union(*(layer.kinds for layer in layers.values()))
    checks.that(f"{name} kinds", found <= kinds and not complaints, f"{sorted(found)} {complaints[:3]}")
    checks.that(f"{name} declared layers", all(key in doc.layers for key in layers))
    checks.that(f"{name} nothing outside model space", len(doc.layout("Layout1") if flavour == "2000" else []) == 0)
    twice = {key: n for key, layer in layers.items() if (n := len(dxf_reading.duplicates(layer)))}
    checks.that(f"{name} nothing twice", not twice, f"{twice}")
    short = min((dxf_reading.shortest(layer) for layer in layers.values()), default=0)
    checks.that(f"{name} no tiny edges", short >= SHORTEST, f"{short}")
    if groove_set:
        judge_grooves(checks, name, wheel, layers, groove_set, end)
    else:
        judge_profile(checks, name, wheel, layers, flavour, ours)


def judge_index(checks, name, path, groove_set):
    text = "".join(line for line in path.read_text(encoding="utf-8").splitlines(True) if not line.startswith("#"))
    rows = list(csv.DictReader(io.StringIO(text)))
    numbers = [k for k in range(1, groove_set.count + 1) if k not in groove_set.omit]
    checks.that(f"{name} a row for each groove", [row["groove"] for row in rows] == [str(k) for k in numbers])
    sign = -1 if groove_set.where == "side_b" else 1
    head = [sign * 360 * (k - 1) / groove_set.count % 360 for k in numbers]
    order = [groove_set.start + 360 * (k - 1) / groove_set.count for k in numbers]
    for key, want in (("head_deg", head), ("angle_deg", order)):
        off = max(abs((float(row[key]) - w + 180) % 360 - 180) for row, w in zip(rows, want))
        checks.that(f"{name} {key}", off <= DEGREES, f"off by {off:.1e}")


def cut(order_path, folder, flavour):
    """Runs `cut`; the files' names, or None where a rule stops the order."""
    said = json.loads(judging.run("cut", order_path, "-o", folder, "--dxf", flavour, "--unapproved", "--format", "json", "-q"))
    return None if said["verdict"] == "stop" else [f["name"] for f in said["files"]]


def judge_order(item):
    name, order = item
    lines = judging.Gathered()
    with tempfile.TemporaryDirectory() as temporary:
        try:
            made = judge_flavours(lines, name, order, Path(temporary))
        except Exception as fault:
            lines.that(name, False, f"{type(fault).__name__}: {fault}")
            made = True
    return made, lines.lines


def judge_flavours(checks, name, order, folder):
    """False where a rule stops the order, which then must have no files."""
    path = folder / "order.json"
    path.write_text(json.dumps(order), encoding="utf-8")
    wheel, ours = resolve(order, name), judging.properties(path)
    stem = f"{order['order']['number']}-{order['order']['revision']}"
    for flavour in FLAVOURS:
        out = folder / flavour
        written = cut(path, out, flavour)
        if written is None:
            checks.that(f"{name} {flavour} is stopped and has no files", not out.exists() or not any(out.iterdir()))
            return False
        parts = dxf_wheel.parts(wheel)
        names = {f"{stem}-{word}-UNAPPROVED_mm.dxf" for word, _, _ in parts}
        names |= {f"{stem}-{word.replace('grooves', 'index')}-UNAPPROVED.csv" for word, _, g in parts if g}
        there = {p.name for p in out.iterdir()}
        if not checks.that(f"{name} {flavour} files", there == names == set(written), f"{sorted(there ^ names)}"):
            continue
        for part in parts:
            judge_file(checks, f"{name} {flavour} {part[0]}", out / f"{stem}-{part[0]}-UNAPPROVED_mm.dxf", wheel, part, flavour, ours)
        for word, _, g in parts:
            if g:
                word = word.replace("grooves", "index")
                judge_index(checks, f"{name} {flavour} {word}", out / f"{stem}-{word}-UNAPPROVED.csv", g)
    return True


def judge(checks, _options):
    """The first hundred random orders that no rule stops, and the named ones."""
    named = [(p.stem, json.loads(p.read_text(encoding="utf-8"))) for p in judging.named_orders()]
    made = 0
    with Pool() as pool:
        for _, lines in pool.imap(judge_order, named):
            checks.absorb(lines)
        items = ((f"random-{i:03}", random_orders.random_order(i)) for i in range(random_orders.COUNT))
        for order_made, lines in pool.imap(judge_order, items):
            checks.absorb(lines)
            made += order_made
            if made == ORDERS:
                pool.terminate()
                break
    pictures(checks)
    sheets(checks)
    checks.that(f"files of {ORDERS} random orders were read", made == ORDERS, f"{made}")


def pictures(checks):
    """The files as ezdxf draws them against the tool's own pictures of the same drawings, which the Rust test `pictures` wrote."""
    folder = Path(os.environ.get("WHEELDRAFT_PICTURES", ""))
    listed = folder / "pictures.json"
    if not checks.that("pictures are there", listed.is_file(), f"{listed}: run.sh makes them and names the folder in WHEELDRAFT_PICTURES"):
        return
    for item in json.loads(listed.read_text(encoding="utf-8")):
        ours = Image.open(folder / item["picture"]).convert("L")
        for file in item["files"]:
            compare_pictures(checks, file, ezdxf.readfile(folder / file), ours, item["place"])


def sheets(checks):
    """Drawings as DXF for those who mark them up: nothing to repair either."""
    with tempfile.TemporaryDirectory() as folder:
        for name in SHEETS:
            path = Path(folder) / f"{name}.dxf"
            judging.run("draw", judging.ORDERS / f"{name}.json", "-o", path, "-q")
            doc = ezdxf.readfile(path)
            errors, fixes = dxf_reading.audit(doc)
            checks.that(f"sheet {name} audit", errors == fixes == 0 and len(doc.modelspace()) > 100, f"{errors} errors, {fixes} fixes")
            judging.run("draw", judging.ORDERS / f"{name}.json", "-o", path.with_suffix(".svg"), "-q")
            root = ElementTree.parse(path.with_suffix(".svg")).getroot()
            paper = [float(v) for v in root.get("viewBox").split()[2:]]
            size = list(doc.header["$EXTMAX"])[:2]
            checks.that(f"sheet {name} is as large as its paper", doc.units == 4 and max(abs(a - b) for a, b in zip(paper, size)) < 1e-6, f"{size}, paper {paper}")
            theirs = sorted("".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text"))
            ours = sorted(e.plain_text() for e in doc.modelspace().query("TEXT"))
            checks.that(f"sheet {name} has every text of the svg", ours == theirs, f"{len(ours)} texts, the svg {len(theirs)}: {sorted(set(ours) ^ set(theirs))[:5]}")
            raw = path.read_text(encoding="utf-8").splitlines()
            checks.that(f"sheet {name} is read plainly", all(text in raw for text in theirs if "%%" not in text))


def compare_pictures(checks, name, doc, ours, place):
    scale, x, y = place
    on_picture = lambda p: ((p[0] - x) * scale, ours.height - (p[1] - y) * scale)
    theirs = dxf_picture.drawn(doc, ours.size, on_picture, lambda e: not e.dxf.layer.startswith("REF_"))
    off = max(dxf_picture.strays(ours, theirs, REACH), dxf_picture.strays(theirs, ours, REACH))
    checks.that(f"{name} drawn by ezdxf is our picture", off <= STRAY, f"{off:.1e} of the dark pixels lie elsewhere")


# --- proving that the judge can fail -----------------------------------------------------------

GROOVED = {"count": 14, "width": 3, "depth": 4, "inner_diameter": 120, "inner_end": "round", "skew_deg": 12, "start_deg": 7, "omit": [5]}
ORDER = {"order": {"number": "S1", "revision": "A"}, "units": "mm", "wheel": {
    "outside_diameter": 200, "thickness": 40, "bore": 50.8, "bore_chamfer": 0.5,
    "side_a": {"recess": [{"diameter": 110, "depth": 6, "fillet_radius": 2}], "corner": {"radius": 3}, "grooves": GROOVED},
    "side_b": {"taper": {"from_diameter": 140, "to_diameter": 200, "depth": 1.5}, "grooves": GROOVED},
    "face": {"grooves": {"count": 14, "width": 3, "depth": 4, "helix_deg": 20}}}}


def own_numbers(wheel):
    """What `properties` would say of the section."""
    edges = dxf_wheel.profile(wheel)
    z, r = dxf_reading.centroid(edges)
    return {"section": {"area": dxf_reading.area(edges), "centroid_r": r, "centroid_z": z}}


class Proof:
    """Files that ezdxf wrote from the order model: right ones pass, each fault is noticed by the check meant for it."""

    def __init__(self, checks, folder, flavour, part):
        self.checks, self.folder, self.flavour, self.part = checks, Path(folder), flavour, part
        self.wheel = resolve(ORDER)
        self.paths = dxf_writing.paths(self.wheel, flavour, part[2], part[1])

    def trial(self, paths=None, document=None, text=None, release=None):
        """The checks that fail."""
        doc = dxf_writing.document(paths or self.paths, self.flavour)
        if document:
            document(doc)
        path = self.folder / "trial.dxf"
        dxf_doctored.saved(doc, path, text, release)
        lines = judging.Gathered()
        judge_file(lines, "file", path, self.wheel, self.part, self.flavour, own_numbers(self.wheel))
        return [name for name, ok, _ in lines.lines if not ok]

    def notices(self, fault, by, **change):
        failed = self.trial(**change)
        what = f"{self.flavour} {self.part[0]}: {fault}"
        self.checks.that(f"{what} is noticed", any(by in name for name in failed), f"by {by!r}, not {failed}")

    def run(self):
        failed = self.trial()
        self.checks.that(f"{self.flavour} {self.part[0]}: right file passes", not failed, f"{failed}")
        for fault, by, change in self.faults() + (dxf_doctored.JOINED if self.flavour != "r12" else []):
            self.notices(fault, by, paths=change(self.paths))
        if self.part[2] is None:
            self.documents()

    def faults(self):
        if self.part[2] is None:
            return dxf_doctored.PROFILE
        if self.part[2].where == "face":
            return dxf_doctored.grooves(dxf_doctored.rolled(self.wheel.radius), has_round_end=False)
        return dxf_doctored.grooves(dxf_doctored.turned, has_round_end=True)

    def documents(self):
        for fault, by, change in dxf_doctored.DOCUMENT + (dxf_doctored.DOCUMENT_2000 if self.flavour == "2000" else []):
            self.notices(fault, by, document=change)
        for fault, by, change in dxf_doctored.TEXT:
            self.notices(fault, by, text=change)
        fault, by, release = dxf_doctored.RELEASE
        self.notices(fault, by, release=release)


def prove_pictures(checks):
    """A picture of the same file passes; one with a line moved by 0.6 % of the picture, or left out, does not."""
    wheel = resolve(ORDER)
    _, end, groove_set = dxf_wheel.parts(wheel)[1]
    paths = dxf_writing.paths(wheel, "2000", groove_set, end)
    place, size = (7.0, -100.0, -100.0), (1400, 1400)
    on_picture = lambda p: ((p[0] + 100) * 7, 1400 - (p[1] + 100) * 7)
    ours = dxf_picture.drawn(dxf_writing.document(paths, "2000"), size, on_picture)
    moved = dxf_doctored.one("GROOVE_EDGE", dxf_doctored.shifted((0.6, 0.6)))
    for what, changed, passes in (("the same", paths, True), ("a moved outline", moved(paths), False), ("a missing one", paths[:-1], False)):
        trial = judging.Checks(quiet=True)
        compare_pictures(trial, what, dxf_writing.document(changed, "2000"), ours, place)
        checks.that(f"pictures: {what} {'passes' if passes else 'is noticed'}", (trial.failed == 0) == passes)


def prove_index(checks, folder):
    """Tables made here; a wrong angle, a missing row and a table of the other side are noticed."""
    groove_set = resolve(ORDER).side_b.grooves
    rows = [(k, groove_set.start + 360 * (k - 1) / 14, -360 * (k - 1) / 14 % 360) for k in range(1, 15) if k != 5]
    faults = {"right": rows, "row": rows[1:], "head_deg": [rows[0], (2, rows[1][1], rows[1][2] + 1e-6), *rows[2:]],
              "angle_deg": [(k, a + 7, h) for k, a, h in rows], "head_deg of side A": [(k, a, -h % 360) for k, a, h in rows]}
    for fault, table in faults.items():
        path = Path(folder) / "index.csv"
        path.write_text("groove,angle_deg,head_deg\n" + "".join(f"{k},{a:.6f},{h:.6f}\n" for k, a, h in table), encoding="utf-8")
        lines = judging.Gathered()
        judge_index(lines, "index", path, groove_set)
        failed = [name for name, ok, _ in lines.lines if not ok]
        noticed = any(fault.split()[0] in name for name in failed)
        checks.that(f"index table: {fault}", not failed if fault == "right" else noticed, f"{failed}")


def selftest(checks, _options):
    logging.getLogger("ezdxf").setLevel(logging.ERROR)
    with tempfile.TemporaryDirectory() as folder:
        for flavour in FLAVOURS:
            for part in dxf_wheel.parts(resolve(ORDER)):
                Proof(checks, folder, flavour, part).run()
        prove_index(checks, folder)
    prove_pictures(checks)


if __name__ == "__main__":
    judging.main(judge, selftest)
