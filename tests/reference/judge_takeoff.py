"""Judge: sections drawn by ezdxf as a draughtsman leaves them give back their sizes.

Each wheel is drawn from its resolved section: lines broken in two, ends up to a hundredth apart, one stroke twice, on layers of the office's own,
anywhere on the sheet, half or whole, either way up, in millimetres or inches, with centre line, hidden lines, dimensions, hatching, texts and a frame
around it. `takeoff --snap` must find the same section again, and what is no section must be refused.
"""

import json
import math
import random
import tempfile
from pathlib import Path

import ezdxf

import judging
from half_section import contour
from judge_profile import arc_of
from order_model import resolve

WHEELS = {
    "straight": {"outside_diameter": 400, "thickness": 50, "bore": 127},
    "recessed": {"outside_diameter": 600, "thickness": 63.5, "bore": 203, "bore_chamfer": 1.5,
                 "side_a": {"recess": [{"diameter": 380, "depth": 12, "fillet_radius": 5}, {"diameter": 310, "depth": 18, "fillet_radius": 3}],
                            "corner": {"radius": 4}}, "side_b": {"corner": {"chamfer": 3}}},
    "tapered": {"outside_diameter": 750, "thickness": 80, "bore": 305,
                "side_a": {"taper": {"from_diameter": 460, "to_diameter": 750, "depth": 4}}, "side_b": {"corner": {"radius": 6}}},
    "both recessed": {"outside_diameter": 500, "thickness": 60, "bore": 203,
                      "side_a": {"recess": [{"diameter": 300, "depth": 10, "fillet_radius": 4}]},
                      "side_b": {"recess": [{"diameter": 280, "depth": 8}]}},
}
GAP, AREA, PLACE = 0.01, 1e-9, 1e-9


def order_of(wheel):
    return {"order": {"number": "7", "revision": "A"}, "units": "mm", "wheel": wheel}


class Sheet:
    """A drawing with the section somewhere on it; `unit` is mm for one of the drawing's."""

    def __init__(self, rng, unit, upright, gap=GAP):
        self.doc = ezdxf.new("R2010", setup=True)
        self.doc.header["$INSUNITS"] = 1 if unit == 25.4 else 4
        self.space, self.rng, self.unit, self.upright, self.gap = self.doc.modelspace(), rng, unit, upright, gap
        self.origin = (rng.uniform(-2000, 2000), rng.uniform(-2000, 2000))
        for layer in ("outline_turned", "HIDDEN_EDGES", "DIM", "HATCH", "FRAME", "AXIS"):
            self.doc.layers.add(layer)

    def at(self, p):
        """(r, z) of the wheel on the sheet: the axis upright or lying."""
        x, y = (p[0], p[1]) if self.upright else (p[1], p[0])
        return ((self.origin[0] + x) / self.unit, (self.origin[1] + y) / self.unit)

    def off(self, p):
        angle, far = self.rng.uniform(0, 2 * math.pi), self.rng.uniform(0, self.gap / 2) / self.unit
        return (p[0] + far * math.cos(angle), p[1] + far * math.sin(angle))

    def line(self, a, b, **attributes):
        self.space.add_line(a, b, dxfattribs={"layer": "outline_turned", **attributes})

    def edge(self, start, mid, end):
        a, b = self.at(start), self.at(end)
        if mid is not None:
            centre = self.at(arc_of(start, mid, end))
            angle = lambda p: math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0]))
            first, second = angle(a), angle(b)
            # an arc of a drawing runs counter-clockwise, through the middle
            through = (angle(self.at(mid)) - first) % 360
            if through > (second - first) % 360:
                first, second = second, first
            self.space.add_arc(centre, math.dist(a, centre), first, second, dxfattribs={"layer": "outline_turned"})
            return
        if math.dist(start, end) < 4 or self.rng.random() < 0.5:
            return self.line(a, b)
        # in two strokes that do not quite meet, or overlap
        share = self.rng.uniform(0.3, 0.7)
        middle = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        step = [d / math.dist(a, b) * self.gap / self.unit for d in (b[0] - a[0], b[1] - a[1])]
        self.line(a, middle)
        self.line((middle[0] + step[0] / 2, middle[1] + step[1] / 2), b)
        if self.rng.random() < 0.3:
            self.line(a, middle)

    def half(self, edges, mirrored=False):
        sign = -1 if mirrored else 1
        flip = lambda p: None if p is None else (sign * p[0], p[1])
        for start, mid, end in edges:
            self.edge(flip(start), flip(mid), flip(end))

    def around(self, radius, thickness):
        """What a sheet has besides the section."""
        self.line(self.at((0, -30)), self.at((0, thickness + 30)), layer="AXIS", linetype="CENTER")
        self.line(self.at((radius * 0.4, -5)), self.at((radius * 0.4, thickness + 5)), layer="HIDDEN_EDGES", linetype="DASHED")
        low, high = self.at((-radius - 90, -90)), self.at((radius + 90, thickness + 90))
        self.space.add_lwpolyline([low, (high[0], low[1]), high, (low[0], high[1])], close=True, dxfattribs={"layer": "FRAME"})
        self.space.add_text("SECTION A-A", dxfattribs={"layer": "DIM", "height": 5 / self.unit}).set_placement(self.at((radius, -40)))
        self.space.add_aligned_dim(p1=self.at((radius, 0)), p2=self.at((radius, thickness)), distance=20 / self.unit,
                                   dxfattribs={"layer": "DIM"}).render()
        hatch = self.space.add_hatch(dxfattribs={"layer": "HATCH"})
        hatch.set_pattern_fill("ANSI31", scale=2)
        hatch.paths.add_polyline_path([self.at((radius - 20, 5)), self.at((radius - 5, 5)), self.at((radius - 5, 20))], is_closed=True)


def drawn(wheel, rng, unit, upright, whole, folder, gap=GAP):
    sheet = Sheet(rng, unit, upright, gap)
    edges = contour(resolve(order_of(wheel), "drawn"))
    sheet.half(edges)
    if whole:
        sheet.half(edges, mirrored=True)
    sheet.around(wheel["outside_diameter"] / 2, wheel["thickness"])
    file = Path(folder) / "section.dxf"
    sheet.doc.saveas(file)
    return file


def taken(file, folder, *options, codes=(0,)):
    order = Path(folder) / "order.json"
    order.unlink(missing_ok=True)
    told = judging.run("takeoff", file, "--number", "7", "-o", order, *options, codes=codes)
    return (json.loads(order.read_text(encoding="utf-8")), told) if order.exists() else (None, told)


def sizes(checks, name, wheel, order):
    """The section of the order found, mirrored if need be, is that of the wheel drawn."""
    want = judging.properties(order_of(wheel))
    got = judging.properties(order)
    for key in ("section.area", "section.centroid_r"):
        checks.close(f"{name}: {key}", judging.value_at(got, key), judging.value_at(want, key), AREA, 0)
    z = judging.value_at(want, "section.centroid_z")
    other = wheel["thickness"] - z
    found = judging.value_at(got, "section.centroid_z")
    nearer = z if abs(found - z) <= abs(found - other) else other
    checks.close(f"{name}: section.centroid_z, from either side", found, nearer, PLACE, 1e-7)


def judge(checks, _options):
    rng = random.Random(23)
    for name, wheel in WHEELS.items():
        for unit, upright, whole in ((1, True, False), (1, False, True), (25.4, False, False), (1, True, True)):
            with tempfile.TemporaryDirectory() as folder:
                words = f"{name}, {'in' if unit == 25.4 else 'mm'}, {'axis upright' if upright else 'axis lying'}, {'whole' if whole else 'half'}"
                file = drawn(wheel, rng, unit, upright, whole, folder)
                order, _ = taken(file, folder, "--snap", "0.5mm")
                if checks.that(f"{words}: an order is made", order is not None):
                    sizes(checks, words, wheel, order)
                    checks.that(f"{words}: the picture is there", (Path(folder) / "order-takeoff.svg").exists())
    with tempfile.TemporaryDirectory() as folder:
        sheet = Sheet(rng, 1, True)
        sheet.half(contour(resolve(order_of(WHEELS["straight"]), "open"))[1:])
        sheet.around(200, 50)
        sheet.doc.saveas(Path(folder) / "open.dxf")
        try:
            order, _ = taken(Path(folder) / "open.dxf", folder, codes=(2,))
            checks.that("a section with a side missing is refused", order is None)
        except RuntimeError as error:
            checks.that("a section with a side missing is refused", False, str(error))


def selftest(checks, _options):
    wheel = WHEELS["recessed"]
    trial = judging.Checks(quiet=True)
    sizes(trial, "right", wheel, order_of(wheel))
    checks.that("the wheel itself passes", trial.failed == 0 and trial.passed == 3)
    for key, value in (("bore", 204), ("thickness", 63), ("outside_diameter", 601)):
        trial = judging.Checks(quiet=True)
        sizes(trial, "wrong", wheel, order_of({**wheel, key: value}))
        checks.that(f"another {key} is noticed", trial.failed > 0)
    other = json.loads(json.dumps(wheel))
    other["side_a"]["recess"][1]["fillet_radius"] = 2.5
    trial = judging.Checks(quiet=True)
    sizes(trial, "wrong", wheel, order_of(other))
    checks.that("another fillet is noticed", trial.failed > 0)
    with tempfile.TemporaryDirectory() as folder:
        kinds = [e.dxftype() for e in ezdxf.readfile(drawn(wheel, random.Random(1), 1, True, False, folder)).modelspace()]
        for kind in ("LINE", "ARC", "LWPOLYLINE", "DIMENSION", "HATCH", "TEXT"):
            checks.that(f"the sheet holds a {kind}", kind in kinds)


if __name__ == "__main__":
    judging.main(judge, selftest)
