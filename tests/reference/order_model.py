"""Reads an order file and resolves its wheel to millimetres and degrees.

Written from the order file's contract alone, so that a misreading in the tool
and one here are unlikely to be the same. Unknown fields are an error: a judge
that overlooks a field would agree with anything.
"""

import json
import math
import re
from dataclasses import dataclass, field
from fractions import Fraction

INCH = Fraction(254, 10)
UNITS = {"in": INCH, "inch": INCH, '"': INCH, "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}


class OrderError(Exception):
    """The order does not say what the contract needs."""


def number(text):
    """A decimal, a fraction or a mixed fraction: "63.5", "3/16", "2-1/2"."""
    m = re.fullmatch(r"\s*(?:(\d+)\s*[- ]\s*)?(\d+)\s*/\s*(\d+)\s*", text)
    if m:
        return Fraction(m[1] or 0) + Fraction(int(m[2]), int(m[3]))
    return Fraction(text.strip())


def length(value, unit, where):
    """A length in millimetres, as the nearest float to the exact value."""
    if isinstance(value, bool):
        raise OrderError(f"{where}: not a length: {value!r}")
    if isinstance(value, (int, float)):
        return float(Fraction(repr(value)) * UNITS[unit])
    m = re.fullmatch(r"\s*(.*?)\s*(inch|in|mm|cm|m|\")\s*", value)
    if not m:
        raise OrderError(f"{where}: a text needs a number and a unit: {value!r}")
    return float(number(m[1]) * UNITS[m[2]])


@dataclass(frozen=True)
class Step:
    radius: float
    depth: float
    fillet: float


@dataclass(frozen=True)
class Grooves:
    """One set of grooves; `where` is "side_a", "side_b" or "face"."""
    where: str
    count: int
    width: float
    depth: float
    bottom: str
    vee_angle: float | None
    start: float
    omit: tuple
    inner_radius: float | None
    outer_radius: float | None
    inner_end: str
    cutter_radius: float | None
    skew: float
    helix: float

    def angles(self):
        """Angles of the grooves that are cut, in degrees."""
        return [self.start + k * 360 / self.count for k in range(self.count) if k + 1 not in self.omit]


@dataclass(frozen=True)
class Side:
    """`nominal` is a list of (r, depth), constant beyond its ends."""
    nominal: tuple
    recess: tuple
    corner: tuple | None
    grooves: Grooves | None

    def nominal_depth(self, r):
        pts = self.nominal
        if r <= pts[0][0]:
            return pts[0][1]
        for (r0, d0), (r1, d1) in zip(pts, pts[1:]):
            if r <= r1:
                return d0 + (d1 - d0) * (r - r0) / (r1 - r0)
        return pts[-1][1]


@dataclass(frozen=True)
class Wheel:
    name: str
    radius: float
    thickness: float
    bore: float
    bore_chamfer: float
    side_a: Side
    side_b: Side
    face: Grooves | None
    density: float | None = field(default=None)

    def groove_sets(self):
        return [g for g in (self.side_a.grooves, self.side_b.grooves, self.face) if g]

    def side_of(self, grooves):
        return {"side_a": self.side_a, "side_b": self.side_b}[grooves.where]


def known(table, where, *names):
    for key in table:
        if key not in names:
            raise OrderError(f"{where}: unknown field {key!r}")


def read_grooves(table, where, unit, radius):
    side = where != "face"
    common = ["count", "pitch_deg", "width", "depth", "bottom", "start_deg", "omit"]
    extra = ["inner_diameter", "outer_diameter", "inner_end", "cutter_diameter", "skew_deg", "vee_angle_deg"]
    known(table, where, *common, *(extra if side else ["helix_deg"]))

    def len_of(key):
        return length(table[key], unit, f"{where}.{key}") if key in table else None

    count = table.get("count")
    if "pitch_deg" in table:
        by_pitch = 360 / table["pitch_deg"]
        if abs(by_pitch - round(by_pitch)) > 1e-9 or count not in (None, round(by_pitch)):
            raise OrderError(f"{where}: pitch and count disagree, or the pitch does not divide the circle")
        count = round(by_pitch)
    if not isinstance(count, int) or count < 1:
        raise OrderError(f"{where}: no count")
    bottom = table.get("bottom", "flat")
    inner_end = table.get("inner_end", "square") if side else "square"
    if bottom not in (("flat", "round", "vee") if side else ("flat", "round")):
        raise OrderError(f"{where}: bottom {bottom!r}")
    if inner_end not in ("square", "round", "runout"):
        raise OrderError(f"{where}: inner end {inner_end!r}")
    if (bottom == "vee") != ("vee_angle_deg" in table) or (inner_end == "runout") != ("cutter_diameter" in table):
        raise OrderError(f"{where}: vee_angle_deg and cutter_diameter belong to vee and runout")
    half = lambda value: None if value is None else value / 2
    return Grooves(
        where=where, count=count, width=len_of("width"), depth=len_of("depth"), bottom=bottom,
        vee_angle=table.get("vee_angle_deg"), start=table.get("start_deg", 0), omit=tuple(table.get("omit", ())),
        inner_radius=half(len_of("inner_diameter")), outer_radius=half(len_of("outer_diameter")),
        inner_end=inner_end, cutter_radius=half(len_of("cutter_diameter")),
        skew=table.get("skew_deg", 0), helix=table.get("helix_deg", 0))


def read_side(table, where, unit, radius):
    known(table, where, "recess", "taper", "corner", "grooves")
    get = lambda t, key, at: length(t[key], unit, f"{where}.{at}.{key}")
    nominal = ((radius, 0.0),)
    if "taper" in table:
        t = table["taper"]
        known(t, f"{where}.taper", "from_diameter", "to_diameter", "depth", "angle_deg")
        start, end = get(t, "from_diameter", "taper") / 2, get(t, "to_diameter", "taper") / 2
        if ("depth" in t) == ("angle_deg" in t):
            raise OrderError(f"{where}.taper: depth or angle_deg, one of them")
        depth = get(t, "depth", "taper") if "depth" in t else abs(end - start) * math.tan(math.radians(t["angle_deg"]))
        nominal = tuple(sorted([(start, 0.0), (end, depth)]))
    steps = []
    for i, s in enumerate(table.get("recess", [])):
        known(s, f"{where}.recess[{i}]", "diameter", "depth", "fillet_radius")
        fillet = get(s, "fillet_radius", "recess") if "fillet_radius" in s else 0.0
        steps.append(Step(get(s, "diameter", "recess") / 2, get(s, "depth", "recess"), fillet))
    corner = None
    if "corner" in table:
        c = table["corner"]
        known(c, f"{where}.corner", "radius", "chamfer", "angle_deg")
        if "radius" in c:
            corner = ("radius", get(c, "radius", "corner"))
        else:
            corner = ("chamfer", get(c, "chamfer", "corner"), c.get("angle_deg", 45))
    grooves = read_grooves(table["grooves"], where, unit, radius) if "grooves" in table else None
    return Side(nominal, tuple(steps), corner, grooves)


def density_of(blank, unit, wheel):
    """kg per cubic millimetre, or None. A weight is that of the plain blank ring."""
    if "density" in blank:
        m = re.fullmatch(r"\s*([\d.]+)\s*(g/cm3|kg/m3)\s*", blank["density"])
        return float(m[1]) * {"g/cm3": 1e-6, "kg/m3": 1e-9}[m[2]]
    if "weight" in blank:
        m = re.fullmatch(r"\s*([\d.]+)\s*(kg|lb|g)\s*", blank["weight"])
        mass = float(m[1]) * {"kg": 1.0, "g": 1e-3, "lb": 0.45359237}[m[2]]
        size = [length(blank.get(k, wheel[k]), unit, f"blank.{k}") for k in ("outside_diameter", "bore", "thickness")]
        return mass / (math.pi / 4 * (size[0] ** 2 - size[1] ** 2) * size[2])
    return None


def resolve(order, name="order"):
    """The wheel of a parsed order file."""
    unit = order["units"]
    w = order["wheel"]
    known(w, "wheel", "outside_diameter", "thickness", "bore", "bore_chamfer", "side_a", "side_b", "face")
    get = lambda key: length(w[key], unit, f"wheel.{key}")
    radius = get("outside_diameter") / 2
    face = w.get("face", {})
    known(face, "wheel.face", "grooves")
    return Wheel(
        name=name, radius=radius, thickness=get("thickness"), bore=get("bore") / 2,
        bore_chamfer=get("bore_chamfer") if "bore_chamfer" in w else 0.0,
        side_a=read_side(w.get("side_a", {}), "side_a", unit, radius),
        side_b=read_side(w.get("side_b", {}), "side_b", unit, radius),
        face=read_grooves(face["grooves"], "face", unit, radius) if "grooves" in face else None,
        density=density_of(order.get("blank", {}), unit, w))


def read(path):
    with open(path, encoding="utf-8-sig") as file:
        return resolve(json.load(file), str(path))
