"""Judge: a solid-modelling kernel reads every STEP file and measures what it finds.

Valid, closed, one solid, in millimetres, named by its order; volume, centroid and moments as `properties` says, 1e-7 relative for turned wheels and
2e-6 for grooved ones; random points of its faces on the order's own surfaces within 1e-4 mm, none where a groove has taken the stone away; as many
faces as the order lets be counted. A wheel that is refused must have grooves, and of ten fewer than three may be.

`STEP_ORDERS=100` judges so many random orders instead of a few, and named ones with many grooves as well, which take the kernel minutes.
"""

import copy
import json
import math
import random
import re
import tempfile
from multiprocessing import Pool

from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepTools import BRepTools
from OCP.IntTools import IntTools_FClass2d
from OCP.gp import gp_Pnt2d
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE, TopAbs_IN, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopoDS import TopoDS

import groove_surfaces
import judging
import solid
import solid_files
import step_reading
from half_section import contour
from order_model import resolve
from solid_files import Wrong, write

REL, GROOVED_REL, FAR = 1e-7, 2e-6, 1e-4
POINTS, FACES = 1000, 250


def shape_of(path):
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise Wrong("the file cannot be read")
    reader.TransferRoots()
    shape = reader.OneShape()
    solids = solid.explore(shape, TopAbs_SOLID)
    if len(solids) != 1 or len(solid.explore(shape, TopAbs_SHELL)) != 1:
        raise Wrong(f"{len(solids)} solids, {len(solid.explore(shape, TopAbs_SHELL))} shells")
    return solids[0]


def points_of(shape, count, seed=1):
    """Random points of the faces, or of some where there are many."""
    rng, out = random.Random(seed), []
    faces = [TopoDS.Face(f) for f in solid.explore(shape, TopAbs_FACE)]
    faces = rng.sample(faces, min(len(faces), FACES))
    for face in faces:
        surface, inside = BRepAdaptor_Surface(face), IntTools_FClass2d(face, 1e-9)
        u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
        wanted, tries = max(1, count // len(faces)), 0
        while wanted and tries < 2000:
            tries += 1
            u, v = rng.uniform(u0, u1), rng.uniform(v0, v1)
            if inside.Perform(gp_Pnt2d(u, v)) == TopAbs_IN:
                p = surface.Value(u, v)
                out.append((p.X(), p.Y(), p.Z()))
                wanted -= 1
    return out


def section_distance(wheel, point):
    """Distance of a point from the turned surface, in the half-plane through it."""
    q = (math.hypot(point[0], point[1]), point[2])
    best = math.inf
    for a, middle, b in contour(wheel):
        if middle is None:
            ax, ay = b[0] - a[0], b[1] - a[1]
            t = max(0.0, min(1.0, ((q[0] - a[0]) * ax + (q[1] - a[1]) * ay) / (ax * ax + ay * ay)))
            best = min(best, math.dist(q, (a[0] + t * ax, a[1] + t * ay)))
        else:
            c = circle_through(a, middle, b)
            out = math.dist(q, c)
            on = (c[0] + (q[0] - c[0]) * math.dist(a, c) / out, c[1] + (q[1] - c[1]) * math.dist(a, c) / out)
            same = cross(a, b, middle) * cross(a, b, on) >= 0
            best = min(best, abs(out - math.dist(a, c)) if same else min(math.dist(q, a), math.dist(q, b)))
    return best


def cross(a, b, p):
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def circle_through(a, m, b):
    """Centre of the circle through three points."""
    (ax, ay), (mx, my) = (a[0] - b[0], a[1] - b[1]), (m[0] - b[0], m[1] - b[1])
    d, aa, mm = 2 * (ax * my - ay * mx), ax * ax + ay * ay, mx * mx + my * my
    return (b[0] + (my * aa - ay * mm) / d, b[1] + (ax * mm - mx * aa) / d)


def inspect(lines, name, path, order, want):
    """Everything the file must hold."""
    wheel, text = resolve(order, name), path.read_text(encoding="ascii")
    grooved = bool(wheel.groove_sets())
    head, stem = order["order"], f"{order['order']['number']}-{order['order']['revision']}"
    lines.that(f"{name} names its product", f"PRODUCT('{stem}'" in text and re.search(rf"PRODUCT_DEFINITION_FORMATION\('{re.escape(head['revision'])}'", text) is not None)
    header = text.split("ENDSEC;")[0]
    lines.that(f"{name} header tells fingerprint, state and protocol", want["fingerprint"] in header and "State: " in header and "AP242" in header)
    shape = shape_of(path)
    lines.that(f"{name} is valid", BRepCheck_Analyzer(shape).IsValid())
    lines.that(f"{name} is closed", all(BRep_Tool.IsClosed_s(s) for s in solid.explore(shape, TopAbs_SHELL)))
    mass, rel = solid.measured(shape), GROOVED_REL if grooved else REL
    w, big = want["wheel"], want["wheel"]["volume"] * wheel.radius
    lines.close(f"{name} volume", mass.volume, w["volume"], rel)
    lines.close(f"{name} centroid z", mass.centroid[2], w["centroid_z"], rel, rel * wheel.thickness)
    lines.close(f"{name} static moment", mass.static, w["static_moment"], rel, rel * big)
    lines.close(f"{name} polar moment", mass.polar, w["polar_moment"], rel)
    lines.close(f"{name} transverse moment", mass.transverse, w["transverse_moment"], rel)
    stated = re.search(r"VOLUME_MEASURE\(([\d.]+)\)", text)
    lines.close(f"{name} stated volume", float(stated[1]) if stated else None, w["volume"], 1e-9)
    faces, predicted = len(solid.explore(shape, TopAbs_FACE)), face_count(wheel)
    if predicted is not None:
        lines.that(f"{name} has the faces of its section and grooves", faces == predicted, f"{faces} of {predicted}")
    step_reading.inspect(lines, name, text, stem, {"faces": faces, "density": wheel.density, "volume": w["volume"]})
    # angles of the order count clockwise about z, which points into side A
    points = [(x, -y, z) for x, y, z in points_of(shape, POINTS)]
    sets = groove_surfaces.of(wheel)
    far = [min([section_distance(wheel, p), *(d for s in sets for d in s.off(p, FAR))]) for p in points]
    lines.that(f"{name} points lie on the order's surfaces", len(far) >= POINTS // 4 and max(far) < FAR, f"{len(far)} points, worst {max(far):.1e}")
    taken = max((s.taken(p, FAR) for s in sets for p in points), default=-math.inf)
    lines.that(f"{name} has no points where a groove is", taken < FAR, f"deepest {taken:.1e}")


def face_count(wheel):
    """Faces of a wheel whose grooves, if any, keep clear of each other and of all but one flat; None of others."""
    count = len(contour(wheel))
    for g in wheel.groove_sets():
        side = None if g.where == "face" else wheel.side_of(g)
        if not side or side.corner or len(side.nominal) > 1 or g.skew or g.bottom == "round" and g.depth < g.width:
            return None
        steps = max([wheel.bore + wheel.bore_chamfer, *(s.radius for s in side.recess)])
        if g.inner_radius < steps + g.width or 2 * math.pi / g.count * g.inner_radius < 2 * g.width:
            return None
        steep = g.bottom == "vee" and g.width / 2 / math.tan(math.radians(g.vee_angle) / 2) > 0.9 * g.depth
        if steep or g.bottom != "flat" and g.inner_end == "runout":
            return None
        # an end whose corners lie beyond the outside diameter leaves slivers of the side, a rise as long as its groove no straight bottom
        if g.outer_radius and math.hypot(g.outer_radius, g.width / 2) > wheel.radius:
            return None
        if g.inner_end == "runout" and math.sqrt(g.depth * (2 * g.cutter_radius - g.depth)) > (g.outer_radius or wheel.radius) - g.inner_radius - g.width:
            return None
        # two walls, the bottom or its flanks, an end or the rise that a cutter leaves, and the other end
        count += len(g.angles()) * (4 + (g.bottom == "vee") + (g.outer_radius is not None))
    return count


def turned(order):
    """The order without its grooves."""
    out = copy.deepcopy(order)
    for side in ("side_a", "side_b"):
        out["wheel"].get(side, {}).pop("grooves", None)
    out["wheel"].pop("face", None)
    return out


def compare(item):
    name, order = item
    return solid_files.lines_of(name, order, "step", lambda lines, path, _: inspect(lines, name, path, order, judging.properties(order)))


def orders(options):
    named, is_light = solid_files.orders(options, "STEP_ORDERS")
    plain = {json.dumps(turned(order)["wheel"], sort_keys=True): (f"{name} turned", turned(order)) for name, order in named}
    grooved = [(name, order) for name, order in named if resolve(order, name).groove_sets() and is_light(order)]
    # the kernel takes longest over the most grooves
    return list(plain.values()) + sorted(grooved, key=lambda item: sum(len(g.angles()) for g in resolve(item[1]).groove_sets()))


def judge(checks, options):
    grooved, refused = 0, []
    with Pool(2) as pool:
        for (name, order), lines in zip(items := orders(options), pool.imap(compare, items)):
            checks.absorb(lines)
            grooved += bool(resolve(order).groove_sets())
            refused += [name] if solid_files.is_refused(lines) else []
    checks.that("seven of ten grooved wheels are made", len(refused) < 0.3 * grooved, f"{len(refused)} of {grooved} refused: {', '.join(refused)}")


def doctored(text):
    """Wrong files by what is wrong with them."""
    radius = re.search(r"CYLINDRICAL_SURFACE\('',#\d+,([\d.]+)\)", text)[1]
    face = re.search(r"(#\d+)=ADVANCED_FACE", text)[1]
    yield "a radius larger by 1e-4 mm", text.replace(radius, str(float(radius) + 1e-4))
    yield "a face left out", text.replace(f"({face},", "(", 1)
    yield "inches", text.replace(".MILLI.,", "$,", 1)
    yield "another product", re.sub(r"PRODUCT\('[^']*'", "PRODUCT('1'", text)
    yield "a header without the state", text.replace("State: ", "")
    moved = re.search(r"VERTEX_POINT\('',(#\d+)\)", text)[1]
    yield "a vertex aside", re.sub(rf"{moved}=CARTESIAN_POINT\('',\(([\d.]+),", lambda m: m[0].replace(m[1], str(float(m[1]) - 1)), text)
    yield "a stated volume that is wrong", re.sub(r"VOLUME_MEASURE\(", "VOLUME_MEASURE(1", text)
    yield "no file of solids", text.replace("MANIFOLD_SOLID_BREP", "MANIFOLD_SOLID_BREB")


def read_again(text, want):
    """What the second reader alone says of a file of GROOVED."""
    trial = judging.Checks(quiet=True)
    try:
        faces = text.count("=ADVANCED_FACE(")
        step_reading.inspect(trial, "trial", text, "S1-A", {"faces": faces, "density": resolve(GROOVED).density, "volume": want["wheel"]["volume"]})
    except Exception:
        trial.that("read", False)
    return trial


def other_orders(order):
    """Orders that differ from this grooved one by little, by what differs."""
    def changed(path, value):
        out = copy.deepcopy(order)
        table = out["wheel"]
        for key in path[:-1]:
            table = table[key]
        table[path[-1]] = value(table[path[-1]])
        return out
    grooves = ("side_a", "grooves")
    yield "grooves that lean the other way", changed((*grooves, "skew_deg"), lambda v: -v)
    yield "grooves begun elsewhere", changed((*grooves, "start_deg"), lambda v: v + 0.001)
    yield "grooves wider by 0.001 mm", changed((*grooves, "width"), lambda v: v + 0.001)
    yield "grooves deeper by 0.001 mm", changed((*grooves, "depth"), lambda v: v + 0.001)
    yield "grooves longer by 0.01 mm", changed((*grooves, "inner_diameter"), lambda v: v - 0.02)
    yield "a corner larger by 0.001 mm", changed(("side_a", "corner", "radius"), lambda v: v + 0.001)


GROOVED = {
    "order": {"number": "S1", "revision": "A", "item": "grooves over a taper and a corner"}, "units": "mm", "blank": {"density": "2.2 g/cm3"},
    "wheel": {"outside_diameter": 300, "thickness": 40, "bore": 80, "side_a": {
        "taper": {"from_diameter": 200, "to_diameter": 280, "depth": 1}, "corner": {"radius": 2},
        "grooves": {"count": 12, "width": 4, "depth": 3, "inner_diameter": 150, "bottom": "round", "start_deg": 7, "skew_deg": 12, "omit": [3, 4]}}},
}


def selftest(checks, _options):
    order = turned(json.loads((judging.ORDERS / "recess-taper-corner-together.json").read_text(encoding="utf-8")))
    want = judging.properties(order)

    def verdict(path, order, want):
        trial = judging.Checks(quiet=True)
        try:
            inspect(trial, "trial", path, order, want)
        except Exception:
            trial.that("read", False)
        return trial

    with tempfile.TemporaryDirectory() as folder:
        path, _ = write(order, folder, "step")
        right = verdict(path, order, want)
        checks.that("a right file passes", right.failed == 0 and right.passed >= 12, f"{right.failed} failed")
        text = path.read_text(encoding="ascii")
        for what, wrong in doctored(text):
            path.write_text(wrong, encoding="ascii")
            checks.that(f"noticed: {what}", wrong != text and verdict(path, order, want).failed > 0)
        path, _ = write(GROOVED, folder, "step")
        want = judging.properties(GROOVED)
        right = verdict(path, GROOVED, want)
        text = path.read_text(encoding="ascii")
        for what, wrong in step_reading.doctored(text):
            path.write_text(wrong, encoding="ascii")
            checks.that(f"noticed: {what}", wrong != text and read_again(wrong, want).failed > 0)
        path.write_text(text, encoding="ascii")
        checks.that("the second reader passes a right file", read_again(text, want).failed == 0)
        checks.that("a right grooved file passes", right.failed == 0 and right.passed >= 12, f"{right.failed} failed")
        for what, other in other_orders(GROOVED):
            # the numbers stay those of the file: the surfaces alone must tell
            checks.that(f"noticed: {what}", verdict(path, other, want).failed > 0)


if __name__ == "__main__":
    judging.main(judge, selftest)
