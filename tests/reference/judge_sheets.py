"""Judge: the sheets as SVG files, texts, lines and places, against the order file.

Nothing of the program is used but what it wrote: the XML of each sheet is read by the standard library, the order by `order_model`. Held against
the order: each ordered size once, at a dimension that says its value and both deviations (or its letter, and the table's row does); on every
sheet with a view of a side a section in line with it, at its scale, on the side that the sign in the title block says, both sides on one sheet
where its paper is wide enough, and an arrow that names each; the tables of the contract on the first sheet, or a word there on which they stand; grooves in a section only where the plane cuts one or a note says that it is turned
into it; the names of the sides; the state on every sheet; the paper named.

Projection: ISO 5456-2 (from memory). Conventions of groups: `src/sheet/view/mod.rs` says what `data-dim` holds.
"""

import copy
import json
import math
import re
import tempfile
from pathlib import Path
from xml.etree import ElementTree

import judging
from order_model import OrderError, length

ROOT = judging.HERE.parents[1]
SVG = "{http://www.w3.org/2000/svg}"
IN_LINE = 0.1           # mm: by how much axes and heights of views in projection may differ
NARROW = ("A4", "A")    # paper on which the sides may stand on a sheet each
HALF_LAST = {"in": 0.5e-4, "mm": 0.5e-3, "deg": 0.5e-4, "count": 0.0}
SPARE = 1e-9
ROW = 1.0               # mm: texts whose baselines differ by less stand in one row
UPRIGHT = (90.0, 270.0)  # directions of the two halves of the cutting plane
PAPER = {"A4": (210, 297), "A3": (420, 297), "A2": (594, 420), "A": (279.4, 215.9), "B": (431.8, 279.4), "C": (558.8, 431.8)}
FAMILY = (["A4", "A3", "A2"], ["A", "B", "C"])


SECTIONS = ("view-section", "view-section-plain")


class Group:
    """A group of a sheet: its id, what it shows, the texts and lines in it and in the groups within."""

    def __init__(self, element):
        self.id, self.shows = element.get("id", ""), element.get("data-dim", "")
        self.texts, self.lines, self.circles, self.groups, self.solids = [], [], [], [], 0
        for child in element:
            self.take(child)

    def take(self, child):
        kind = child.tag.removeprefix(SVG)
        if kind == "g":
            inner = Group(child)
            self.groups += [inner, *inner.groups]
        elif kind == "text":
            self.texts.append((float(child.get("x", 0)), float(child.get("y", 0)), "".join(child.itertext())))
        elif kind == "circle":
            self.circles.append((child.get("class"), *(float(child.get(k)) for k in ("cx", "cy", "r"))))
        elif kind == "path":
            self.solids += child.get("fill") not in (None, "none")
            self.lines += [(child.get("class"), *line) for line in segments(child.get("d", ""))]

    def all_texts(self):
        return self.texts + [t for g in self.groups for t in g.texts]


def segments(data):
    """The straight lines of a path, and the chords of its arcs, as (x, y, x, y)."""
    place, out = None, []
    for command, numbers in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        values = [float(v) for v in re.findall(r"-?\d*\.?\d+(?:e-?\d+)?", numbers)]
        if command == "M":
            place = tuple(values[-2:])
        elif command in "LA" and place:
            end = tuple(values[-2:])
            out.append((*place, *end))
            place = end
    return out


class Sheet:
    def __init__(self, text):
        root = ElementTree.fromstring(text)
        self.width, self.height = (float(root.get(k).removesuffix("mm")) for k in ("width", "height"))
        self.tops = [Group(g) for g in root.iter(f"{SVG}g") if g in list(root)] or [Group(root)]
        self.groups = [g for top in self.tops for g in (top, *top.groups)]

    def find(self, name):
        return next((g for g in self.groups if g.id == name), None)

    def words(self):
        return " ".join(t for g in self.groups for _, _, t in g.texts)


def drawn(order):
    """The sheets of an order, and what the program said on stdout."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "order.json"
        path.write_text(json.dumps(order), encoding="utf-8")
        said = judging.run("draw", path, "-o", Path(folder) / "sheet.svg")
        number = lambda p: int(p.stem.partition("-")[2] or 1)
        files = sorted(Path(folder).glob("sheet*.svg"), key=number)
        return [Sheet(f.read_text(encoding="utf-8")) for f in files], said


# --- sizes ---------------------------------------------------------------------------------

def numbers(text):
    return [float(n.replace(",", ".").replace("−", "-")) for n in re.findall(r"[−-]?(?:\d+[.,]?\d*|[.,]\d+)", text)]


def deviations(given, unit, degrees):
    """(upper, lower) in mm or degrees of a tolerance of any form."""
    mm = (lambda v: float(v)) if degrees else (lambda v: length(v, unit, "tolerance"))
    if isinstance(given, dict):
        return mm(given["upper"]), mm(given["lower"])
    if isinstance(given, str) and re.fullmatch(r"\s*[+−-]?[\d.]+\s*/\s*[+−-]?[\d.]+\s*", given):
        signed = [part.strip().replace("−", "-") for part in given.split("/")]
        value = lambda p: (-1 if p.startswith("-") else 1) * mm(float(p.lstrip("+-")))
        return tuple(sorted(map(value, signed), reverse=True))
    return mm(given), -mm(given)


def wanted(order):
    """{name: (value in mm, degrees or a count, kind, tolerance or None)} of what the order gives, by the names in the file."""
    unit, wheel, tolerances = order["units"], order["wheel"], order.get("tolerances", {})
    out = {}

    def size(name, value, key=None):
        out[name] = (length(value, unit, name), "length", tolerances.get(key))

    for key in ("outside_diameter", "thickness", "bore"):
        size(key, wheel[key], key)
    if wheel.get("bore_chamfer"):
        size("bore_chamfer", wheel["bore_chamfer"])
    bore, outside = (length(wheel[k], unit, k) for k in ("bore", "outside_diameter"))
    for name in ("side_a", "side_b", "face"):
        side = wheel.get(name, {})
        for i, step in enumerate(side.get("recess", [])):
            size(f"{name}.recess.{i}.diameter", step["diameter"], "recess_diameter")
            size(f"{name}.recess.{i}.depth", step["depth"], "recess_depth")
            if step.get("fillet_radius"):
                size(f"{name}.recess.{i}.fillet_radius", step["fillet_radius"])
        corner = side.get("corner", {})
        for key in ("radius", "chamfer"):
            if corner.get(key):
                size(f"{name}.corner.{key}", corner[key])
        if corner.get("angle_deg", 45) != 45:
            out[f"{name}.corner.angle_deg"] = (corner["angle_deg"], "deg", None)
        taper = side.get("taper", {})
        for key in ("from_diameter", "to_diameter"):
            if key in taper and bore < length(taper[key], unit, key) < outside:
                size(f"{name}.taper.{key}", taper[key])
        if "angle_deg" in taper:
            out[f"{name}.taper.angle_deg"] = (taper["angle_deg"], "deg", None)
        elif taper and bore <= length(taper["to_diameter"], unit, "to") <= outside:
            size(f"{name}.taper.depth", taper["depth"])
        grooves(out, name, side.get("grooves"), tolerances, size)
    return out


def grooves(out, name, g, tolerances, size):
    if not g:
        return
    places = g.get("count") or round(360 / g["pitch_deg"])
    out[f"{name}.grooves.count"] = (places - len(g.get("omit", [])), "count", None)
    out[f"{name}.grooves.pitch_deg"] = (360 / places, "deg", tolerances.get("groove_pitch_deg"))
    size(f"{name}.grooves.width", g["width"], "groove_width")
    size(f"{name}.grooves.depth", g["depth"], "groove_depth")
    for key in ("inner_diameter", "outer_diameter", "cutter_diameter"):
        if g.get(key):
            size(f"{name}.grooves.{key}", g[key])
    for key in ("skew_deg", "helix_deg", "start_deg"):
        if g.get(key):
            out[f"{name}.grooves.{key}"] = (g[key], "deg", None)
    if g.get("bottom") == "vee":
        out[f"{name}.grooves.vee_angle_deg"] = (g["vee_angle_deg"], "deg", None)


def says(texts, value, kind, unit):
    kind = unit if kind == "length" else kind
    scale = 25.4 if kind == "in" else 1.0
    near = lambda n: abs(abs(n) - abs(value) / scale) <= HALF_LAST[kind] + SPARE
    return any(near(n) for t in texts for n in numbers(t))


def row(sheets, letter):
    """The texts right of a letter in its table."""
    for sheet in sheets:
        for table in (g for g in sheet.groups if g.id.startswith("table-")):
            for x, y, text in table.texts:
                if text == letter or text.endswith(f" {letter}"):
                    return [t for u, v, t in table.texts if abs(v - y) < ROW and u > x]
    return []


def judge_sizes(checks, name, order, sheets):
    unit = order["units"]
    told = " ".join(s.words() for s in sheets)
    for key, (value, kind, tolerance) in wanted(order).items():
        groups = [g for s in sheets for g in s.groups if key in g.shows.split(" ")]
        if not groups and "NOT PLACED" in told:
            continue
        if not checks.that(f"{name} draws {key} once", len(groups) == 1, f"{len(groups)} times"):
            continue
        texts = [t for _, _, t in groups[0].texts]
        if not any(numbers(t) for t in texts if not re.fullmatch(r"[A-Za-z]+\d?(, [A-Za-z]+\d?)?", t)):
            texts = row(sheets, texts[0].split(", ")[0]) if texts else []
        checks.that(f"{name} says {key}", says(texts, value, kind, unit), f"{texts} for {value}")
        if tolerance is not None:
            for limit in deviations(tolerance, unit, kind == "deg"):
                checks.that(f"{name} tolerates {key}", says(texts, limit, kind, unit), f"{texts} for {limit} mm")


# --- projection ----------------------------------------------------------------------------

def lying(group):
    """(height of the level axis, left, right, upper, lower end of the edges)."""
    level = [line for line in group.lines if line[0] == "axis" and abs(line[2] - line[4]) < 1e-3]
    xs, ys = [], []
    for kind, x1, y1, x2, y2 in group.lines:
        if kind in ("visible", None):
            xs += [x1, x2]
            ys += [y1, y2]
    for kind, x, y, r in group.circles:
        if kind == "visible":
            xs += [x - r, x + r]
            ys += [y - r, y + r]
    return (level[0][2], min(xs), max(xs), min(ys), max(ys)) if level and xs else None


def reach(group):
    """Greatest distance of an edge from the wheel's axis: its level centre line, or where that meets the upright one."""
    axes = [line for line in group.lines if line[0] == "axis"]
    level = next(line[2] for line in axes if abs(line[2] - line[4]) < 1e-3)
    upright = next((line[1] for line in axes if abs(line[1] - line[3]) < 1e-3), None)
    off = lambda x, y: math.hypot(0.0 if upright is None else x - upright, y - level)
    ends = [off(x, y) for kind, x1, y1, x2, y2 in group.lines if kind in ("visible", None) for x, y in ((x1, y1), (x2, y2))]
    return max(ends + [r for kind, _, _, r in group.circles if kind == "visible"])


def sign_is_third(sheet):
    """Whether the cone of the sign of the projection method has its narrow end beside the circles; None where there is no sign."""
    title = sheet.find("title-block")
    groups = [title, *title.groups] if title else []
    rings = [c[1:] for g in groups for c in g.circles]
    circles = [b for a in rings for b in rings if a[:2] == b[:2] and abs(2 * a[2] - b[2]) < 0.02]
    upright = [line for g in groups for line in g.lines if line[0] == "visible" and abs(line[1] - line[3]) < 1e-3]
    if not circles:
        return None
    x, y, _ = circles[0]
    ends = [(abs(line[1] - x), abs(line[2] - line[4])) for line in upright if abs((line[2] + line[4]) / 2 - y) < 0.01]
    if len(ends) != 2:
        return None
    return min(ends)[1] < max(ends)[1]


def judge_projection(checks, name, order, sheets, third):
    names = ["view-side-a", *SECTIONS, "view-side-b"]
    section = next((g for s in sheets for g in [s.find("view-section")] if g), None)
    sides = 0
    for i, sheet in enumerate(sheets):
        placed = [(n, lying(g)) for n in names for g in [sheet.find(n)] if g]
        sides += any(n not in SECTIONS for n, _ in placed)
        if placed:
            checks.that(f"{name} sheet {i + 1}: the sides stand with one section", sum(n in SECTIONS for n, _ in placed) == 1)
        for k, (right, b) in enumerate(placed):
            for left, a in placed[:k]:
                checks.that(f"{name} sheet {i + 1}: {left} and {right} on one axis", abs(a[0] - b[0]) <= IN_LINE, f"{a[0]} {b[0]}")
                checks.that(f"{name} sheet {i + 1}: {left} and {right} in order", ((a[1] + a[2]) < (b[1] + b[2])) == third)
                radii = [reach(sheet.find(v)) for v in (left, right)]
                checks.that(f"{name} sheet {i + 1}: {left} and {right} at one scale", abs(radii[0] - radii[1]) <= IN_LINE / 2, f"{radii}")
            if right not in SECTIONS and section:
                arrow = next((g for g in section.groups if g.shows == f"mark:view-arrow-{right[-1]}"), None)
                checks.that(f"{name}: an arrow names {right}", arrow and arrow.solids > 0)
    for i, sheet in enumerate(sheets):
        sign = sign_is_third(sheet)
        checks.that(f"{name} sheet {i + 1}: the sign is that of the projection ordered", sign == third or (i > 0 and sign is None), f"{sign}")
    narrow = order.get("drawing", {}).get("sheet") in NARROW
    grooved = any("grooves" in order["wheel"].get(side, {}) for side in ("side_a", "side_b"))
    checks.that(f"{name}: the sides stand on one sheet", narrow or sides == grooved, f"{sides}")
    if section:
        texts = [t for _, _, t in section.all_texts()]
        checks.that(f"{name}: the section names both sides", {"side A", "side B"} <= set(texts), f"{texts}")


# --- grooves in the section ----------------------------------------------------------------

def cut(g, half):
    """Whether the upright half runs along a groove that is cut, seen from the order alone."""
    places = g.get("count") or round(360 / g["pitch_deg"])
    pitch = 360 / places
    steps = (half - g.get("start_deg", 0)) / pitch
    if abs(steps - round(steps)) * pitch > 1e-6 or g.get("skew_deg"):
        return False
    return round(steps) % places + 1 not in g.get("omit", [])


def floors(section, side, order):
    """In the upper and the lower half, whether the section draws a straight floor at the groove's depth."""
    unit, wheel = order["units"], order["wheel"]
    mm = lambda v: length(v, unit, "section")
    at = lying(section)
    outside = mm(wheel["outside_diameter"])
    scale = (at[4] - at[3]) / outside
    depth = mm(wheel[side]["grooves"]["depth"]) * scale
    x = at[1] + depth if side == "side_a" else at[2] - depth
    found = []
    for upper in (True, False):
        on = lambda line: abs(line[1] - x) < 0.02 and abs(line[3] - x) < 0.02 and abs(line[2] - line[4]) > 1.0
        own = lambda line: (line[2] < at[0]) == upper and (line[4] < at[0]) == upper
        found.append(any(line[0] == "visible" and on(line) and own(line) for line in section.lines))
    return found


def judge_grooves(checks, name, order, sheets):
    for view in SECTIONS:
        for section in (g for s in sheets for g in [s.find(view)] if g):
            judge_section(checks, f"{name} {view}", order, section)


def judge_section(checks, name, order, section):
    notes = " ".join(t for _, _, t in section.all_texts())
    for side in ("side_a", "side_b"):
        part = order["wheel"].get(side, {})
        g = part.get("grooves")
        # where floors lie at another depth than the side's own plane, the straight line is not there to be found
        if not g or part.get("taper") or g.get("inner_end") == "runout":
            continue
        real = [cut(g, half) for half in UPRIGHT]
        shown = floors(section, side, order)
        told = "turned into the plane" in notes
        for half, there, cuts in zip(("upper", "lower"), shown, real):
            checks.that(f"{name}: {half} half of {side} shows only what is cut or turned", not there or cuts or told, notes)
            checks.that(f"{name}: {half} half of {side} shows the groove that is cut", there or not cuts)


# --- the contract --------------------------------------------------------------------------

def judge_contract(checks, name, order, sheets):
    """The tables of what is agreed stand on the first sheet; where the paper named has no room there, the first sheet says where."""
    grooved = any("grooves" in order["wheel"].get(side, {}) for side in ("side_a", "side_b", "face"))
    named = order.get("drawing", {}).get("sheet")
    for table in ["table-dimensions", "table-properties", *["table-grooves"] * grooved]:
        on = next((i for i, sheet in enumerate(sheets) if sheet.find(table)), None)
        line = sheets[0].find(f"elsewhere-{table}")
        told = line and on is not None and any(re.search(rf"\D{on + 1}$", text) for _, _, text in line.all_texts())
        checks.that(f"{name}: {table} is there", on is not None)
        checks.that(f"{name}: {table} stands on sheet 1, or sheet 1 says where", on == 0 or told, f"on {on}")
        checks.that(f"{name}: {table} stands on sheet 1 where no paper is named", named or on == 0, f"on {on}")


# --- sheets --------------------------------------------------------------------------------

def judge_papers(checks, name, order, sheets, said):
    named = order.get("drawing", {}).get("sheet")
    for i, sheet in enumerate(sheets):
        paper = next((p for p, (w, h) in PAPER.items() if abs(w - sheet.width) < 1e-3 and abs(h - sheet.height) < 1e-3), None)
        checks.that(f"{name} sheet {i + 1} is a paper size", paper is not None)
        if named and paper != named:
            larger = next(f for f in FAMILY if named in f)
            ok = paper in larger and larger.index(paper) > larger.index(named) and "too small" in said and "too small" in " ".join(s.words() for s in sheets)
            checks.that(f"{name}: larger paper than {named} is said", ok, said)
        words = sheet.words()
        checks.that(f"{name} sheet {i + 1} says its state", re.search("UNAPPROVED|NOT RELEASED|APPROVED", words))


def judge_order(checks, name, order, sheets, said):
    third = order.get("drawing", {}).get("projection", "third" if order["units"] == "in" else "first") == "third"
    judge_sizes(checks, name, order, sheets)
    judge_projection(checks, name, order, sheets, third)
    judge_grooves(checks, name, order, sheets)
    judge_contract(checks, name, order, sheets)
    judge_papers(checks, name, order, sheets, said)


def orders():
    paths = [*sorted((ROOT / "tests/cases/sheet").glob("*.json")), *sorted((ROOT / "demo-data").glob("10*.json"))]
    return [(p.stem, json.loads(p.read_text(encoding="utf-8"))) for p in paths]


def judge(checks, options):
    for name, order in orders():
        judge_order(checks, name, order, *drawn(order))


# --- proving that it can fail ----------------------------------------------------------------

def group_of(sheets, test):
    return next(g for s in sheets for g in s.groups if test(g))


def selftest(checks, options):
    order = json.loads((ROOT / "tests/cases/sheet/dual-units.json").read_text(encoding="utf-8"))
    # large enough for side A beside the section
    order["drawing"]["sheet"] = "A2"
    sheets, said = drawn(order)
    trial = judging.Checks(quiet=True)
    judge_order(trial, "as made", order, sheets, said)
    checks.that("right sheets pass", trial.failed == 0 and trial.passed > 0, f"{trial.failed} failed")

    def other_number(s):
        g = group_of(s, lambda g: g.shows == "outside_diameter")
        g.texts = [(x, y, t.replace("20", "21")) for x, y, t in g.texts]

    def no_tolerance(s):
        g = group_of(s, lambda g: g.shows == "bore")
        g.texts = [(x, y, t) for x, y, t in g.texts if "+" not in t]

    def twice(s):
        s[0].groups.append(group_of(s, lambda g: g.shows == "thickness"))

    def moved(s, dx, dy):
        g = group_of(s, lambda g: g.id == "view-side-a")
        g.lines = [(k, x1 + dx, y1 + dy, x2 + dx, y2 + dy) for k, x1, y1, x2, y2 in g.lines]
        g.circles = [(k, x + dx, y + dy, r) for k, x, y, r in g.circles]

    def no_section(s):
        for sheet in s:
            sheet.groups = [g for g in sheet.groups if g.id not in SECTIONS]

    def other_scale(s):
        g = group_of(s, lambda g: g.id in SECTIONS)
        x, y = lying(g)[1], lying(g)[0]
        g.lines = [(k, x + (x1 - x) / 2, y + (y1 - y) / 2, x + (x2 - x) / 2, y + (y2 - y) / 2) for k, x1, y1, x2, y2 in g.lines]

    def parted(s):
        g = group_of(s, lambda g: g.id == "view-side-a")
        other = copy.deepcopy(s[0])
        other.groups = [copy.deepcopy(g), copy.deepcopy(group_of(s, lambda g: g.id == "view-section"))]
        s.append(other)

    def no_arrow(s):
        g = group_of(s, lambda g: g.shows == "mark:view-arrow-a")
        g.solids = 0

    def nameless(s):
        for g in s[0].groups:
            g.texts = [(x, y, t) for x, y, t in g.texts if t != "side B"]

    def no_state(s):
        for g in s[-1].groups:
            g.texts = [(x, y, t) for x, y, t in g.texts if "APPROVED" not in t]

    def wrong_cut(s):
        # 90 grooves from 0° have none that stands upright: without its note the section shows what is not there
        for g in s[0].groups:
            g.texts = [(x, y, t) for x, y, t in g.texts if "turned" not in t and "plane" not in t]

    def table_gone(s):
        first = s[0]
        first.groups = [g for g in first.groups if g.id != "table-properties"]

    def other_sign(s):
        for g in s[0].groups:
            if g.id == "title-block":
                x, y = next(b[1:3] for a in g.circles for b in g.circles if a[1:3] == b[1:3] and abs(2 * a[3] - b[3]) < 0.02)
                far = [line for line in g.lines if line[0] == "visible" and abs(line[1] - line[3]) < 1e-3 and abs((line[2] + line[4]) / 2 - y) < 0.01]
                middle = sum(line[1] for line in far) / len(far)
                g.circles = [(k, 2 * middle - u, v, r) for k, u, v, r in g.circles]

    faults = {"a table of the contract gone": table_gone, "the sign of the other projection": other_sign, "another number": other_number, "a tolerance gone": no_tolerance, "a size drawn twice": twice,
              "a side view off the axis": lambda s: moved(s, 0, 0.2), "a side view on the other side": lambda s: moved(s, 500, 0),
              "a side view without a section": no_section, "a section at another scale": other_scale, "sides on two sheets": parted,
              "an arrow gone": no_arrow, "a side without its name": nameless, "a sheet without its state": no_state,
              "a groove that no plane cuts": wrong_cut}
    for what, fault in faults.items():
        doctored = copy.deepcopy(sheets)
        fault(doctored)
        trial = judging.Checks(quiet=True)
        judge_order(trial, "doctored", order, doctored, said)
        checks.that(f"{what} is noticed", trial.failed > 0)
    selftest_of_contract(checks)
    grown = {**order, "drawing": {**order["drawing"], "sheet": "A"}}
    trial = judging.Checks(quiet=True)
    judge_papers(trial, "grown", grown, sheets, "")
    checks.that("larger paper without a word is noticed", sheets[0].width == PAPER["A"][0] or trial.failed > 0)


def selftest_of_contract(checks):
    """Tables that a small sheet has no room for: a missing word on where one stands is noticed, and a wrong one."""
    order = json.loads((ROOT / "tests/cases/sheet/everything-on-a4.json").read_text(encoding="utf-8"))
    sheets, _ = drawn(order)

    def failed(fault=lambda words: None):
        doctored = copy.deepcopy(sheets)
        words = doctored[0].find("elsewhere-table-dimensions")
        if words:
            fault(words)
        trial = judging.Checks(quiet=True)
        judge_contract(trial, "small paper", order, doctored)
        return trial.failed

    def gone(words):
        words.texts = []

    def another(words):
        words.texts = [(x, y, re.sub(r"\d+$", "9", t)) for x, y, t in words.texts]

    checks.that("tables named on a small sheet 1 pass", failed() == 0)
    checks.that("a table that leaves a small sheet 1 without a word is noticed", failed(gone) > 0)
    checks.that("a word that names another sheet is noticed", failed(another) > 0)


if __name__ == "__main__":
    judging.main(judge, selftest)
