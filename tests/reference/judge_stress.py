"""Judge: scikit-fem solves the turning wheel in its half-section, by quadratic triangles on a mesh of its own.

The same physics as the program states: axisymmetric and elastic, loaded by its own mass, held by nothing; the layer that grooves split into lands
bears no hoop stress. Nothing else is shared: the outline is the reference reading of the order, the mesh is a plain Delaunay net far finer than
the program's. Before it judges, the library's answer is held against the closed form of the uniform ring.
"""

import json
import math
import tempfile
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from scipy.spatial import Delaunay, cKDTree
from shapely import Polygon, contains_xy
from skfem import Basis, BilinearForm, ElementTriP1, ElementTriP2, ElementVector, LinearForm, MeshTri, condense, enforce, solve

import judging
from half_section import contour
from judge_plan import edge_points
from order_model import read, resolve

NU = 0.2
DENSITY = 2200.0
SPEED, FACTOR = 33.0, 1.5
POINTS = 2600          # corners of the mesh, about
REL, RATIO = 0.015, 0.015

SECTIONS = [
    "bore-chamfer", "corner-chamfer-30-and-45-degrees", "corner-radius-both-sides", "corner-radius-on-taper", "crankshaft-wheel-26-inch",
    "grooves-both-sides-staggered", "grooves-flat-bottom-runout-end", "grooves-flat-bottom-square-end", "grooves-flat-square-180-at-2-degrees",
    "grooves-from-the-edge-of-a-recess", "grooves-from-the-start-of-a-taper", "grooves-into-deep-recess", "grooves-into-shallow-recess-with-fillet",
    "grooves-omitted-one-side", "grooves-ended-short-flat",
]


def outline(wheel):
    """Points round the half-section, close together where an edge is curved."""
    edges = contour(wheel)
    size = math.sqrt(Polygon([p for e in edges for p in edge_points(e)]).area / POINTS)
    points = []
    for edge in edges:
        a, mid, b = edge
        if mid is None:
            n = max(1, round(math.dist(a, b) / size))
            points += [(a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n) for i in range(n)]
        else:
            points += edge_points(edge)[::2000 // 16]
    return np.array(points), size


GROWTH = 0.3           # by how much the size of the triangles grows with the distance from a short piece of the outline


def lattice(low, high, h):
    """A net of equal triangles over a box."""
    x, y = np.meshgrid(np.arange(low[0], high[0] + h, h), np.arange(low[1], high[1] + h, h * math.sqrt(3) / 2))
    return np.stack([x + (np.arange(len(x))[:, None] % 2) * h / 2, y], -1).reshape(-1, 2)


def mesh_of(wheel):
    """A Delaunay net: the outline, and lattices that are finer by halves where the outline is divided finely."""
    rim, size = outline(wheel)
    polygon = Polygon(rim)
    step = np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1)
    step = np.minimum(step, np.roll(step, 1))
    fine = step < 0.7 * size
    rim_tree, places = cKDTree(rim), [rim]
    levels = [size / 2 ** k for k in range(int(max(0, math.log2(size / step.min()))) + 2)]
    for h in reversed(levels):
        if h == size:
            grid = lattice(rim.min(axis=0), rim.max(axis=0), h)
        else:
            reach = 2 * h / GROWTH
            boxes = [lattice(np.floor((p - reach) / h) * h, p + reach, h) for p in rim[fine & (step < 2 * h)]]
            grid = np.unique(np.round(np.concatenate(boxes), 9), axis=0) if boxes else np.zeros((0, 2))
        if not len(grid):
            continue
        grid = grid[contains_xy(polygon, grid[:, 0], grid[:, 1])]
        wanted = np.full(len(grid), size)
        for p, s in zip(rim[fine], step[fine]):
            wanted = np.minimum(wanted, s + GROWTH * np.linalg.norm(grid - p, axis=1))
        ours = (wanted >= h) & ((wanted < 2 * h) | (h == size))
        grid = grid[ours]
        if len(grid):
            gap, at = rim_tree.query(grid)
            grid = grid[gap > 0.6 * np.maximum(step[at], h)]
        if len(grid) and len(places) > 1:
            grid = grid[cKDTree(np.concatenate(places[1:])).query(grid)[0] > 0.7 * h]
        places.append(grid)
    points = np.concatenate(places)
    cells = Delaunay(points).simplices
    centres = points[cells].mean(axis=1)
    a, b, c = (points[cells[:, i]] for i in range(3))
    area = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    longest = np.max([np.linalg.norm(b - a, axis=1), np.linalg.norm(c - b, axis=1), np.linalg.norm(a - c, axis=1)], axis=0)
    cells = cells[contains_xy(polygon, centres[:, 0], centres[:, 1]) & (area > 1e-4 * longest ** 2)]
    used = np.unique(cells)
    number = -np.ones(len(points), int)
    number[used] = np.arange(len(used))
    return MeshTri(points[used].T.copy(), number[cells].T.copy())


def split(wheel):
    """Share of the circle left as lands at (r, z), and where they are: a pair of arrays for arrays of r and z."""
    def at(r, z):
        share, lands = np.ones_like(r), np.zeros(r.shape, bool)
        for g in wheel.groove_sets():
            arc = 2 * np.arcsin(np.minimum(g.width / 2 / r, 1))
            left = 1 - len(g.angles()) * arc / (2 * math.pi)
            if g.where == "face":
                here = r > wheel.radius - g.depth
                share, lands = np.where(here, share * left, share), lands | here
                continue
            depth = z if g.where == "side_a" else wheel.thickness - z
            side = wheel.side_of(g)
            start = g.inner_radius
            along = np.sqrt(np.maximum(r * r - (wheel.radius * math.sin(math.radians(g.skew))) ** 2, 0))
            inside = (r >= start) & ((g.outer_radius is None) | (r <= (g.outer_radius or 0)))
            nominal = lambda x: side.nominal_depth(x)
            outer = g.outer_radius or wheel.radius
            d0, d1 = nominal(start) + g.depth, nominal(outer) + g.depth
            floor = d0 + (d1 - d0) * (r - start) / (outer - start)
            if g.inner_end == "runout":
                floor = np.where(inside, np.minimum(floor, runout(g, start, floor, r, nominal)), floor)
            here = inside & (depth < floor)
            share, lands = np.where(here, share * left, share), lands | here
        return share, lands

    return at


def runout(g, start, floor, r, nominal):
    """Depth that a disc leaves which meets the surface at `start` and runs level at the floor: for level floors only."""
    c = g.cutter_radius
    overrun = math.sqrt(max(0.0, g.depth * (2 * c - g.depth)))
    centre = start + overrun
    rise = np.sqrt(np.maximum(c * c - np.minimum(r - centre, 0) ** 2, 0)) - (c - g.depth)
    return rise + nominal(start)


def law(lands):
    """Stress by strain (rr, zz, θθ, rz) for E = 1 at each place: [places…][4][4] as nested arrays."""
    k = 1 / ((1 + NU) * (1 - 2 * NU))
    p = 1 / (1 - NU * NU)
    direct, cross = np.where(lands, p, k * (1 - NU)), np.where(lands, p * NU, k * NU)
    hoop = np.where(lands, 0, k * NU)
    return direct, cross, hoop, np.where(lands, 0, k * (1 - NU)), 0.5 / (1 + NU)


def stress_of(u, r, material):
    direct, cross, hoop, own, shear = material
    g = u.grad
    err, ezz, ett, erz = g[0][0], g[1][1], u.value[0] / r if hasattr(u, "value") else u[0] / r, g[0][1] + g[1][0]
    return direct * err + cross * ezz + hoop * ett, cross * err + direct * ezz + hoop * ett, hoop * (err + ezz) + own * ett, shear * erz


def tension(wheel, mesh=None):
    """Greatest tension, MPa, at SPEED on the surface."""
    mesh = mesh or mesh_of(wheel)
    at = split(wheel)
    basis = Basis(mesh, ElementVector(ElementTriP2()), intorder=4)
    omega = SPEED / (wheel.radius / 1000)

    @BilinearForm
    def stiffness(u, v, w):
        r, z = w.x
        share, lands = at(r, z)
        s = stress_of(u, r, law(lands))
        g = v.grad
        energy = s[0] * g[0][0] + s[1] * g[1][1] + s[2] * v[0] / r + s[3] * (g[0][1] + g[1][0])
        return energy * r * np.maximum(share, 1e-3)

    @LinearForm
    def load(v, w):
        r, z = w.x
        share, _ = at(r, z)
        return DENSITY * omega ** 2 * 1e-12 * r * v[0] * r * np.maximum(share, 1e-3)

    k, f = stiffness.assemble(basis), load.assemble(basis)
    # no force acts along the axis: one node is held there
    pinned = basis.nodal_dofs[1, :1]
    moved = solve(*condense(k, f, D=pinned))
    return greatest(mesh, basis, moved, at)


def greatest(mesh, basis, moved, at):
    """The greatest principal tension of the material that holds together all round: stresses smoothed by least squares, at the corners."""
    centres = mesh.p[:, mesh.t].mean(axis=1)
    _, lands = at(centres[0], centres[1])
    whole = np.nonzero(~lands)[0]
    part = Basis(mesh, ElementVector(ElementTriP2()), intorder=4, elements=whole)
    smooth = Basis(mesh, ElementTriP1(), intorder=4, elements=whole)
    u = part.interpolate(moved)
    r = part.global_coordinates().value[0] if hasattr(part.global_coordinates(), "value") else part.global_coordinates()[0]
    material = law(np.zeros(r.shape, bool))
    parts = stress_of(u, r, material)

    @BilinearForm
    def mass(a, b, _):
        return a * b

    m = mass.assemble(smooth)
    out = []
    for component in parts:
        @LinearForm
        def right(v, w):
            return component * v
        f = right.assemble(smooth)
        lone = np.setdiff1d(np.arange(smooth.N), np.unique(mesh.t[:, whole]))
        out.append(solve(*enforce(m, f, D=lone)) if len(lone) else solve(m, f))
    rr, zz, tt, rz = out
    principal = (rr + zz) / 2 + np.hypot((rr - zz) / 2, rz)
    used = np.unique(mesh.t[:, whole])
    return float(np.max(np.maximum(principal, tt)[used]))


def plain_ring(d, t, h):
    return resolve({"units": "mm", "wheel": {"outside_diameter": d, "thickness": t, "bore": h}}, "ring")


def order_of(name):
    """The order with a straight blank as large as itself, a speed and a density, and a fillet at every inner corner."""
    order = json.loads((judging.ORDERS / f"{name}.json").read_text(encoding="utf-8"))
    w, inch = order["wheel"], order["units"] == "in"
    for side in ("side_a", "side_b"):
        for step in w.get(side, {}).get("recess", []):
            step.setdefault("fillet_radius", "1 mm")
    order["blank"] = {**{k: w[k] for k in ("outside_diameter", "thickness", "bore")}, "marking": "A 60 K 6 V",
                      "density": "2.2 g/cm3", "max_operating_speed": f"{SPEED:g} m/s"}
    order.pop("tooling", None)
    return order


def told(order):
    """What the program says of an order: greatest tension at the speed test, and its ratio to the blank's."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "order.json"
        path.write_text(json.dumps(order), encoding="utf-8")
        answer = json.loads(judging.run("check", path, "--format", "json"))
    out = {}
    for key, rule in (("tension", "stress-range"), ("ratio", "stress-raise")):
        said = [f["measured"] for f in answer["findings"] if f["id"] == rule] + [m["measured"] for m in answer["met"] if m["rule"] == rule]
        out[key] = said[0] if said else judging.MISSING
    return out


def expected(order, name):
    wheel = resolve(order, name)
    most = tension(wheel)
    blank = tension(plain_ring(2 * wheel.radius, wheel.thickness, 2 * wheel.bore))
    return {"tension": (most * FACTOR ** 2, REL, 0), "ratio": (most / blank, RATIO, 0)}


def recessed(depth_a, depth_b, fillet, thickness=50, bore=200):
    recess = lambda depth: {"recess": [{"diameter": 360, "depth": depth, "fillet_radius": fillet}]} if depth else {}
    wheel = {"outside_diameter": 600, "thickness": thickness, "bore": bore, "side_a": recess(depth_a), "side_b": recess(depth_b)}
    return {"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel,
            "blank": {"outside_diameter": 600, "thickness": thickness, "bore": bore, "marking": "A 60 K 6 V", "density": "2.2 g/cm3",
                      "max_operating_speed": f"{SPEED:g} m/s"}}


def items():
    made = [("recess-15-fillet-3", recessed(15, 0, 3)), ("recess-20-fillet-1.5", recessed(20, 0, 1.5)), ("recess-both-sides", recessed(12, 9, 4)),
            ("recess-wide-wheel", recessed(60, 0, 5, thickness=150)), ("recess-near-the-bore", recessed(10, 0, 2, bore=320))]
    return [(name, order_of(name)) for name in SECTIONS] + made


def compare(item):
    name, order = item
    lines = judging.Gathered()
    try:
        lines.compare(f"stress {name}", expected(order, name), told(order))
    except Exception as fault:
        lines.that(name, False, f"{type(fault).__name__}: {fault}")
    return lines.lines


def judge(checks, _options):
    with Pool(2) as pool:
        for lines in pool.imap(compare, items()):
            checks.absorb(lines)


def selftest(checks, _options):
    # Timoshenko's ring, ρω²/4·[(3 + ν)b² + (1 − ν)a²] at the bore: 610 × 203.2 at 33 m/s is 1.9698 MPa
    checks.close("library: a thin ring", tension(plain_ring(610, 8, 203.2)), 1.9698, 2e-3)
    checks.close("library: a ring of little rim", tension(plain_ring(610, 8, 406.4)), 2.1293, 2e-3)
    checks.that("library: a recess raises it", tension(resolve(recessed(15, 0, 3), "")) > 1.1 * tension(resolve(recessed(0, 0, 3), "")))
    judging.can_fail(checks, "stress", {"tension": (4.43, REL, 0), "ratio": (1.37, RATIO, 0)})


if __name__ == "__main__":
    judging.main(judge, selftest)
