"""Judge: interprets the text of control programs and drives the tool through the stone.

Turning is judged by plane booleans (Shapely) in the section, side grooves on a grid in the plane of the disc (NumPy), grooves of the face in the plane
of the axis. Order, section and groove are read by the judges' own model. Every fifth wheel stays on its spindle between flanges. Rapid moves stay 1 mm
(turning) and 0.5 mm (grooving) clear of the blank, or of the wheel where none is given. `PROGRAM_ORDERS=300` judges more orders than the tests' own run;
the orders of `cases/machine`, `cases/programs` and the demonstration order are judged in every run. What is refused is refused by a rule that is named
here and holds by the judge's own reading, never by the tool's own simulation.
"""

import csv
import dataclasses
import json
import math
import os
import random
import re
import subprocess
import tempfile
from multiprocessing import Pool
from pathlib import Path

import numpy
from shapely import LineString, box

import judging
import program_text
import random_orders
from groove_frame import frame
from half_section import profile as side_pieces
from order_model import length, resolve
from program_faults import DOCTORED, HIDDEN
from program_turning import LEFT, WORD, blank_of, turning

ORDERS = int(os.environ.get("PROGRAM_ORDERS", "16"))
REFUSED = 0.4           # of the orders, most that rules may refuse: random tools do not fit every wheel
STEPS = 0.25            # mm, along a lane of a narrow disc in a shaped bottom
ENDS = 0.5              # of the depth, left within a disc's run-out of a groove's end


def tools(order, rng):
    """The order with a blank and tools of its own, and the depth of a pass."""
    unit, wheel = order["units"], order["wheel"]
    mm = lambda key: length(wheel[key], unit, key)
    order["tooling"] = {"profile_nose_radius": f"{rng.choice([0.1, 0.2, 0.4, 0.8])} mm", "groove_cutter_width": f"{rng.choice([0.5, 0.8, 1, 1.5])} mm",
                        "groove_cutter_diameter": f"{rng.choice([60, 100, 150, 200, 300])} mm"}
    if rng.random() < 0.6:
        bore = mm("bore") - (rng.choice([0, 2, 10]) if mm("bore") > 25 else 0)
        size = {"outside_diameter": mm("outside_diameter") + rng.choice([0.1, 2, 10]), "thickness": mm("thickness") + rng.choice([0.1, 1, 5]), "bore": bore}
        order.setdefault("blank", {}).update({k: f"{v:.4f} mm" for k, v in size.items()})
    per_pass = rng.choice([0.3, 0.5, 1, 2, None])
    most = min(per_pass or 0.5, length(order["tooling"]["profile_nose_radius"], "mm", "nose"))
    allowance = rng.choice([None, 0.02, 0.05, most])
    if allowance:
        order["tooling"]["profile_allowance"] = f"{min(allowance, most)} mm"
    sets = [wheel[side]["grooves"] for side in ("side_a", "side_b") if "grooves" in wheel.get(side, {})]
    runouts = [length(g["cutter_diameter"], unit, "disc") for g in sets if g.get("inner_end") == "runout"]
    if runouts and rng.random() < 0.6:
        # smaller than any run-out is ordered for, larger than twice the deepest groove
        deepest = max(length(g["depth"], unit, "depth") for g in sets)
        smaller = min(runouts) * rng.uniform(0.6, 0.97)
        order["tooling"]["groove_cutter_diameter"] = f"{max(smaller, 2.1 * deepest):.1f} mm"
    return order, per_pass


class SideGroove:
    """One groove of a side in the program's frame: x along it from the wheel's axis, y across."""

    def __init__(self, order, wheel, grooves):
        self.wheel, self.grooves, self.f = wheel, grooves, frame(wheel, grooves)
        pieces = side_pieces(wheel, wheel.side_of(grooves))
        self.spans = [p for p in pieces if p.a[0] < p.b[0]]
        self.outer, thick, _ = blank_of(order, wheel, 0.0)
        self.above = thick - wheel.thickness
        self.shift = (wheel.radius * self.f.cos, -wheel.radius * self.f.sin)

    def surface(self, x, y):
        """Depth of the turned side, infinite where there is no stone."""
        r = numpy.hypot(x, y)
        d = numpy.full(r.shape, numpy.inf)
        for p in self.spans:
            here = (r >= p.a[0]) & (r <= p.b[0])
            if p.centre is None:
                depth = p.a[1] + (p.b[1] - p.a[1]) * (r - p.a[0]) / (p.b[0] - p.a[0])
            else:
                depth = p.centre[1] + p.bulge * numpy.sqrt(numpy.maximum(0, p.radius ** 2 - (r - p.centre[0]) ** 2))
            d = numpy.where(here, numpy.minimum(d, depth), d)
        return d

    def may(self, x, y):
        """Greatest depth that may be cut."""
        u, v = x - self.shift[0], y - self.shift[1]
        floor = numpy.array([self.f.floor(a, v) for a in u])
        stop = self.f.stop if self.f.stop is not None else math.inf
        within = (abs(v) <= self.f.width / 2 + WORD) & (u >= self.f.plan_start(v) - WORD) & (u <= stop + WORD)
        surface = self.surface(x, numpy.full(x.shape, y))
        return numpy.where(within, numpy.maximum(surface, floor), surface)


def swept(a, b, x, rho):
    """Depth reached at places x by a disc whose lowest point runs straight from a to b, both (x, depth).

    The circle's depth at x is concave along the way, so its greatest is where the way's slope is met, or at the nearer end.
    """
    a, b = (a, b) if a[0] <= b[0] else (b, a)
    run = b[0] - a[0]
    slope = (b[1] - a[1]) / run if run else 0.0
    along = numpy.clip(x - a[0] + slope * rho / math.hypot(1, slope), 0, run)
    away = x - a[0] - along
    with numpy.errstate(invalid="ignore"):
        depth = a[1] + slope * along - rho + numpy.sqrt(rho * rho - away * away)
    if not run:
        depth += max(b[1] - a[1], 0.0)
    return numpy.where(numpy.isnan(depth), -numpy.inf, depth)


def by_groove(text, grooves, table, sign, place, step, allowed=2e-6):
    """The moves of each groove, and what is wrong with their order and their angles; `place` is where a group stands on the dividing axis, by `allowed`.

    A head that turns in steps sets the nearest of them, and the table says the same place as the program.
    """
    ordered = [k for k in range(1, grooves.count + 1) if k not in grooves.omit]
    marks = [int(k) for k in re.findall(r"\(GROOVE (\d+)\)", text)]
    wrong = [] if marks == ordered else ["grooves are not cut once each, in their order"]
    set_deg = {int(row["groove"]): float(row["head_set_deg"] or row["head_deg"]) for row in table}
    groups = {}
    for m in program_text.moves(text):
        if m.groove:
            groups.setdefault(m.groove, []).append(m)
    for k, group in groups.items():
        want = (sign * (k - 1) * 360 / grooves.count) % 360
        for at in place(group):
            if abs((at - want + 180) % 360 - 180) > allowed + step / 2 or abs((at - set_deg[k] + 180) % 360 - 180) > allowed:
                wrong.append(f"groove {k} is cut at {at:.6f}, not {want:.6f}")
    return groups, wrong


def distinct(groups, key):
    """The first groove, which is come to from elsewhere, and one of each other way to cut one."""
    return list({key(g[1:]): g for g in reversed(groups.values())}.values()) + [next(iter(groups.values()))]


def grooving(text, order, wheel, grooves, per_pass, table):
    """What is wrong with the program of a side's grooves."""
    tooling = order["tooling"]
    width, rho = (length(tooling[k], order["units"], k) for k in ("groove_cutter_width", "groove_cutter_diameter"))
    sign = -1 if grooves.where == "side_b" else 1
    stands = lambda group: {m.end["C"] for m in group if m.kind != "rapid"}
    groups, wrong = by_groove(text, grooves, table, sign, stands, tooling.get("index_step_deg", 0))
    g = SideGroove(order, wheel, grooves)
    key = lambda moves: tuple((m.kind, m.end["X"], m.end["Y"], m.end["Z"]) for m in moves)
    # what a disc leaves in a run-out that was ordered for another is named in the program's head
    named = re.search(r"LEAVES UP TO ([\d.]+) (MM|IN) IN THE RUN-OUT", " ".join(line.strip("()") for line in text.splitlines()[:80]))
    g.named = float(named[1]) * (25.4 if named[2] == "IN" else 1) + LEFT if named else 0.0
    for group in distinct(groups, key):
        wrong += one_groove(group, g, (width, rho / 2), sign, per_pass)
    return wrong


def facing(text, order, wheel, grooves, per_pass, table):
    """What is wrong with the program of the face's grooves: X is a radius, Z runs from side A to side B, C turns the wheel under the disc."""
    tooling = order["tooling"]
    width, rho = (length(tooling[k], order["units"], k) for k in ("groove_cutter_width", "groove_cutter_diameter"))
    outer, thick, _ = blank_of(order, wheel, 0.0)
    above, twist = (thick - wheel.thickness) / 2, math.degrees(math.tan(math.radians(grooves.helix)) / wheel.radius)

    def stands(group):
        """Where the middle of the passes lies on side A's datum plane."""
        lanes = [m.start["C"] - twist * m.start["Z"] for m in group if m.kind != "rapid"]
        return [(min(lanes) + max(lanes)) / 2] if lanes else []

    named = re.search(r"UP TO ([\d.]+) (MM|IN) HIGH", " ".join(line.strip("()") for line in text.splitlines()[:80]))
    steps = float(named[1]) * (25.4 if named[2] == "IN" else 1) if named else 0.0
    groups, wrong = by_groove(text, grooves, table, 1, stands, tooling.get("index_step_deg", 0), 2e-6 + 2 * WORD * abs(twist))
    key = lambda moves: tuple((m.kind, m.end["X"], m.end["Y"], m.end["Z"], round(m.end["C"] - group_at(moves), 5)) for m in moves)
    group_at = lambda moves: moves[-1].end["C"]
    for group in distinct(groups, key):
        wrong += one_face_groove(group, (wheel, grooves, twist), (outer, above), (width, rho / 2), (per_pass, steps), stands(group))
    return wrong


def one_face_groove(group, ordered, blank, disc, limits, stands):
    (wheel, grooves, twist), (outer, above), (width, rho), (per_pass, steps), wrong = ordered, blank, disc, limits, []
    across = math.radians(1) * wheel.radius * math.cos(math.radians(grooves.helix))
    half, depths = grooves.width / 2, {}
    lift = lambda v: half - math.sqrt(max(0.0, half * half - v * v)) if grooves.bottom == "round" and width < grooves.width - 1e-6 else 0.0
    for m in group:
        a, b = (m.start["Z"], m.start["X"]), (m.end["Z"], m.end["X"])
        if m.kind == "rapid":
            # the disc's middle stands its radius above its lowest point; turning about the wheel's axis brings it no nearer
            ways = LineString([(a[0], a[1] + rho), (b[0], b[1] + rho)])
            if ways.distance(box(-above, 0, wheel.thickness + above, outer)) < rho + 0.5 - 3 * WORD:
                wrong.append(f"line {m.line}: rapid within 0.5 mm of stone")
            continue
        lean = math.cos(math.radians(grooves.helix))
        ends = [(p["C"] - twist * p["Z"] - stands[0]) * across + p["Y"] * lean for p in (m.start, m.end)]
        if abs(ends[0] - ends[1]) > 1e-3:
            wrong.append(f"line {m.line}: off the helix")
        v = sum(ends) / 2
        if abs(v) + width / 2 > half + 1e-3:
            wrong.append(f"line {m.line}: beside the wall")
        most = grooves.depth - max(lift(v - width / 2), lift(v + width / 2))
        depth = wheel.radius - min(a[1], b[1])
        if depth > most + 2e-3:
            wrong.append(f"line {m.line}: {depth - most:.4f} mm below the finished surface")
        if a[1] == b[1] and (min(a[0], b[0]) > 0 or max(a[0], b[0]) < wheel.thickness):
            wrong.append(f"line {m.line}: does not cross the whole face")
        lane = next((known for known in depths if abs(known - v) < 1e-3), v)
        before = depths.get(lane, 0.0)
        if per_pass and depth - before > per_pass + 0.01:
            wrong.append(f"line {m.line}: takes {depth - before:.3f} mm at once")
        depths[lane] = max(before, depth)
    # steps that a narrow disc leaves in a shaped bottom are named in the program's head
    formed = width >= grooves.width - 1e-6 or grooves.bottom == "flat"
    places = [half * (i / 20 - 1) * 0.999 for i in range(41)]
    deep = [max((d for lane, d in depths.items() if abs(lane - v) <= width / 2 + 1e-3), default=0.0) for v in places]
    left = max(grooves.depth - lift(v) - d for v, d in zip(places, deep))
    if left > (LEFT if formed else steps + LEFT):
        wrong.append(f"leaves {left:.3f} mm")
    return wrong


def one_groove(group, g, disc, sign, per_pass):
    (width, rho), f, wrong = disc, g.f, []
    formed = width >= f.width - 1e-6
    lanes = sorted({sign * m.end["Y"] for m in group if m.kind != "rapid"})
    # the feed's start tells where the program believes stone to be clear; the grid does not use it
    x = numpy.linspace(max(0.0, g.shift[0] + f.start - rho), g.outer + 1, 900)
    ys = sorted({g.shift[1] + (f.width / 2 - 1e-3) * (i / 4 - 1) for i in range(9)} | {l + s * (width / 2 - 1e-3) for l in lanes for s in (-1, 1)})
    cut = {y: g.surface(x, numpy.full(x.shape, y)) for y in ys}
    may = {y: g.may(x, y) for y in ys}
    runs = [[]]
    for m in group:
        lane = sign * m.end["Y"]
        a, b = (m.start["X"], -m.start["Z"]), (m.end["X"], -m.end["Z"])
        if m.kind == "rapid":
            clear = 0.5 - 2 * WORD
            for y in (lane - width / 2 - clear, lane, lane + width / 2 + clear, sorted((lane - width / 2 - clear, 0.0, lane + width / 2 + clear))[1]):
                r = numpy.hypot(x, y)
                stone = numpy.where((r <= g.outer) & (r >= g.wheel.bore), -g.above, numpy.inf)
                deep = swept((a[0], a[1] + clear), (b[0], b[1] + clear), x, rho + clear)
                if numpy.any(deep > numpy.minimum(stone, g.surface(x, numpy.full(x.shape, y))) + WORD):
                    wrong.append(f"line {m.line}: rapid within 0.5 mm of stone")
            continue
        if abs(lane - g.shift[1]) + width / 2 > f.width / 2 + 2 * WORD:
            wrong.append(f"line {m.line}: beside the wall")
        most = 0.0
        for y in [y for y in ys if abs(y - lane) <= width / 2]:
            deep = swept(a, b, x, rho) - (f.lift(y - g.shift[1]) if formed else 0.0)
            over = numpy.max(numpy.where(numpy.isfinite(may[y]), deep - may[y], -1))
            if over > 2e-3:
                wrong.append(f"line {m.line}: {over:.4f} mm below the finished surface")
            stone = numpy.isfinite(cut[y])
            most = max(most, numpy.max(numpy.where(stone, deep - cut[y], 0)))
            cut[y] = numpy.where(stone, numpy.fmax(cut[y], deep), cut[y])
        if per_pass and most > per_pass + LEFT:
            wrong.append(f"line {m.line}: takes {most:.3f} mm at once")
        # the pieces of a run from end to end may each take little; together they cut
        if a[0] == b[0]:
            runs.append([])
        else:
            runs[-1].append((most, m.line))
    wrong += [f"line {run[0][1]}: in the air" for run in runs if run and max(run)[0] < WORD]
    # what the disc could have cut on its lanes without going below the finished surface anywhere
    could = {y: numpy.full(x.shape, -numpy.inf) for y in ys}
    for lane in lanes:
        mine = [y for y in ys if abs(y - lane) <= width / 2]
        lift = {y: f.lift(y - g.shift[1]) if formed else 0.0 for y in mine}
        limits = [may[y] + lift[y] for y in mine]
        if not formed and f.bottom != "flat":
            limits = [carried_on(limit) for limit in limits]
        deep = reach(x, numpy.min(limits, axis=0), rho)
        for y in mine:
            could[y] = numpy.fmax(could[y], deep - lift[y])
    # at the ends all lanes begin and end alike, whatever one of them could reach beyond
    chord = math.sqrt(max(0.0, (g.grooves.depth + 6 * abs(f.slope) * rho) * 2 * rho)) + f.width
    inner, outer = g.shift[0] + f.start + 1.5 * chord, g.shift[0] + (f.stop - 1.5 * chord if f.stop is not None else math.inf)
    # a lane of a narrow disc in a shaped bottom is as deep as its shallowest place
    spare = LEFT if formed or f.bottom == "flat" else STEPS
    # a disc smaller than the one a run-out is ordered for comes to its inner end along it
    if f.arc and rho < f.arc[3] and not g.named:
        inner = g.shift[0] + f.start
    allowed = numpy.where((x > inner) & (x < outer), spare, max(ENDS * g.grooves.depth, g.named))
    for y in ys:
        stone = numpy.isfinite(cut[y]) & numpy.isfinite(could[y])
        # a steep end may lie a place of the grid beside
        near = numpy.fmax(cut[y], numpy.fmax(numpy.roll(cut[y], 1), numpy.roll(cut[y], -1)))
        over = numpy.where(stone, could[y], 0) - numpy.where(stone, near, 0)
        if numpy.any(over > allowed):
            left = numpy.max(over - allowed)
            wrong.append(f"leaves {left:.3f} mm too much at {y - g.shift[1]:.3f} from the middle")
    return wrong


def carried_on(limit):
    """The limit of a lane's place as it stands where the wheel ends beside it: a lane keeps its depth to its end, though a part of it runs out first."""
    inside = numpy.flatnonzero(numpy.isfinite(limit))
    return numpy.where(numpy.arange(limit.size) > inside[-1], limit[inside[-1]], limit) if inside.size else limit


def reach(x, may, rho):
    """How deep a disc reaches at places x where its rim may not go deeper than `may` anywhere."""
    away = x[:, None] - x[None, :]
    with numpy.errstate(invalid="ignore"):
        sag = rho - numpy.sqrt(rho * rho - away * away)
    sag = numpy.where(numpy.isnan(sag), numpy.inf, sag)
    rests = numpy.min(may[None, :] + sag, axis=1)
    return numpy.max(rests[None, :] - sag, axis=1)


OTHER = Path(__file__).resolve().parent / "controls" / "other.json"
USUAL = Path(__file__).resolve().parent.parent.parent / "templates" / "control.json"


def is_other(number):
    """Every fourth order is written in another dialect: decimal comma, other letters, incremental, a block that all grooves call."""
    return number % 4 == 3


def is_staying(number):
    """Every fifth wheel stays on its spindle between its flanges, in either dialect."""
    return number % 5 == 2


def flange_seat(order):
    """Between which diameters a flange fits, a third of the wheel at least; what leaves no seat for any is taken out of the order."""
    wheel = order["wheel"]
    of = lambda table, key: length(table.get(key, 0), order["units"], key)
    low = max(of(wheel, "outside_diameter") / 3, of(wheel, "bore") + 2 * of(wheel, "bore_chamfer")) + 0.1
    high = low + 0.5 * (of(wheel, "outside_diameter") - low)
    for side in (wheel[name] for name in ("side_a", "side_b") if name in wheel):
        ends = {"grooves": lambda g: of(g, "inner_diameter"), "recess": lambda steps: of(steps[-1], "diameter") - 2 * of(steps[-1], "fillet_radius"),
                "taper": lambda t: min(of(t, "from_diameter"), of(t, "to_diameter"))}
        for key, end in ends.items():
            room = end(side[key]) - 0.1 if key in side else high
            if room > low:
                high = min(high, room)
            else:
                del side[key]
    return low, high


def controls(other, staying):
    """The dialect's description, as a file of the shop has it."""
    read = json.loads((OTHER if other else USUAL).read_text(encoding="utf-8"))
    for control in read["controls"]:
        control["wheel_stays"] = staying and control["cuts"] == "turning"
    return read


def translated(name, text, read):
    cuts = "turning" if "set-up" in name else "grooving"
    return program_text.plain(text, next(c for c in read["controls"] if c["cuts"] == cuts))


def made(number, folder):
    """The programs of a random order with random tools: order, wheel, depth of a pass, {name: text}, the run."""
    rng = random.Random(f"programs-{number}")
    order, per_pass = tools(random_orders.random_order(number), rng)
    # one in ten does not say what flange the wheel stays on: then the program asks
    if is_staying(number) and rng.random() < 0.9:
        low, high = flange_seat(order)
        order["mount"] = {"flange_diameter": f"{rng.uniform(low, high):.3f} mm"}
    return cut(order, per_pass, (is_other(number), is_staying(number)), folder)


def cut(order, per_pass, dialect, folder):
    (other, staying), path = dialect, Path(folder) / "order.json"
    path.write_text(json.dumps(order), encoding="utf-8")
    command = [judging.binary(), "cut", path, "-o", Path(folder) / "out", "--nc", "--unapproved"]
    command += ["--depth-per-pass", f"{per_pass} mm"] if per_pass else []
    if other or staying:
        read = controls(other, staying)
        (Path(folder) / "control.json").write_text(json.dumps(read), encoding="utf-8")
        command += ["--control", Path(folder) / "control.json"]
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=300)
    texts = {p.name: p.read_text(encoding="utf-8") for p in sorted((Path(folder) / "out").glob("*"))  if p.suffix in (".nc", ".csv")}
    if other:
        texts = {name: translated(name, text, read) if name.endswith(".nc") else text for name, text in texts.items()}
    if staying:
        texts = {name.replace("set-up", f"{STAYS}-set-up"): text for name, text in texts.items()}
    return order, resolve({k: v for k, v in order.items() if k not in ("tooling", "mount")}), per_pass, texts, done


# the mark of a wheel that stays in the names of its programs
STAYS = "stays"


def rows_of(text):
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def judged(texts, order, wheel, per_pass):
    """(name, what is wrong) of every program."""
    nose = length(order["tooling"]["profile_nose_radius"], order["units"], "nose")
    found = []
    for name, text in texts.items():
        try:
            if "set-up" in name:
                found.append((name, turning(text, order, wheel, nose, "set-up-2" in name, f"{STAYS}-set-up" in name)))
            for grooves in (as_wide(order, g) for g in wheel.groove_sets()):
                side = grooves.where.replace("_", "-")
                if name.endswith(".nc") and f"grooves-{side}" in name:
                    table = next(t for n, t in texts.items() if f"index-{side}" in n)
                    look = facing if side == "face" else grooving
                    found.append((name, look(text, order, wheel, grooves, per_pass, rows_of(table))))
        except program_text.Wrong as why:
            found.append((name, [str(why)]))
    return found


def grooves_with(wheel, holds):
    return any(holds(g) for g in wheel.groove_sets())


def widest(order, g):
    """Greatest width that a groove's tolerance allows."""
    given = order.get("tolerances", {}).get("groove_width", 0)
    upper = given if isinstance(given, (int, float)) else given.get("upper", 0) if isinstance(given, dict) else float(re.match(r"\+?([\d.]+)", given)[1])
    return g.width + (25.4 if order["units"] == "in" else 1) * upper


def as_wide(order, g):
    """The grooves as a disc leaves them that is wider than ordered, within their tolerance."""
    disc = length(order["tooling"]["groove_cutter_width"], order["units"], "disc")
    return dataclasses.replace(g, width=min(max(g.width, disc), widest(order, g)))


def fillets(wheel):
    return [step.fillet for side in (wheel.side_a, wheel.side_b) for step in side.recess if step.fillet]


# why an order may be refused: a rule's words, and whether they hold by the judge's own reading; None where the rule is judged elsewhere
REASONS = [
    ("the disc is too wide", r"The disc is .* wide, the .* only", lambda o, w, t: grooves_with(w, lambda g: t["width"] > widest(o, g))),
    ("the disc is too small", r"A disc of .* cannot cut the grooves", lambda o, w, t: grooves_with(w, lambda g: g.where != "face" and g.depth > t["disc"] / 2)),
    ("the disc finds no room", r"are shorter than the run-outs of a disc", None),
    ("the diamond is too blunt", r"A nose radius of .* does not reach .*the fillet .* is left", lambda o, w, t: any(f < t["nose"] for f in fillets(w))),
    ("the diamond misses a wall", r"A nose radius of .* does not reach .* is left", None),
    ("the diamond finds no path", r"A nose radius of .* finds no path", lambda o, w, t: t["nose"] > w.bore),
    ("no flange is given", r"what diameter have the flanges", lambda o, w, t: "mount" not in o),
    ("the flange finds no seat", r"under the flange of|flanges of .* need", None),
    ("no room in the bore", r"finds no room in the blank's bore", lambda o, w, t: blank_of(o, w, 1.0)[2] < t["nose"] + 1.5),
    ("the program would be too long", r"would have \d+ blocks, with \d+ passes above each other; at most 400000 are written", None),
    ("grooves meet", r"run into each other inside diameter|a land of .* stays; at least", None),
]


def reasoned(done, order, wheel):
    """(whether a refusal is one of the named reasons and true, what it says)."""
    said = done.stderr.strip()
    of = lambda key: length(order["tooling"][key], order["units"], key)
    tool = {"width": of("groove_cutter_width"), "disc": of("groove_cutter_diameter"), "nose": of("profile_nose_radius")}
    for name, words, holds in REASONS:
        if re.search(words, said):
            return holds is None or holds(order, wheel, tool), f"{name}: {said[-160:]}"
    return False, said[-300:]


def one(number):
    checks = judging.Gathered()
    with tempfile.TemporaryDirectory() as folder:
        order, wheel, per_pass, texts, done = made(number, folder)
        if not texts:
            right, said = reasoned(done, order, wheel)
            checks.that(f"random-{number:03} is refused for a named reason that is true", done.returncode in (1, 2) and right, said)
        for name, wrong in judged(texts, order, wheel, per_pass):
            checks.that(f"random-{number:03} {name}", not wrong, "; ".join(wrong[:3]))
    return checks.lines


TESTS = Path(__file__).resolve().parent.parent
NAMED = [(path, None) for path in sorted((TESTS / "cases" / "machine").glob("*.json"))]
NAMED += [(TESTS.parent / "demo-data" / "1042.json", depth) for depth in (None, 1.0)]


def named_orders():
    """Every named order that gives its tools, with the depth of a pass."""
    for path, depth in NAMED:
        yield path.stem, json.loads(path.read_text(encoding="utf-8")), depth
    for path in sorted((TESTS / "cases" / "programs").glob("*.json")):
        case = json.loads(path.read_text(encoding="utf-8"))
        yield path.stem, case["order"], case["depth_per_pass"]


def tooled(order):
    return {"profile_nose_radius", "groove_cutter_width", "groove_cutter_diameter"} <= set(order.get("tooling", {}))


def named(job):
    name, order, depth = job
    checks = judging.Gathered()
    with tempfile.TemporaryDirectory() as folder:
        order, wheel, per_pass, texts, _ = cut(order, depth, (False, "stays" in name), folder)
        for program, wrong in judged(texts, order, wheel, per_pass):
            checks.that(f"{name} {program}", not wrong, "; ".join(wrong[:3]))
    return checks.lines


def judge(checks, options):
    jobs = [job for job in named_orders() if tooled(job[1])]
    with Pool(2) as pool:
        lines = [line for got in pool.imap_unordered(one, range(ORDERS)) for line in got]
        programs = [line for got in pool.imap_unordered(named, jobs) for line in got]
    checks.absorb(lines)
    checks.absorb(programs)
    checks.that("programs of named orders are judged", len(programs) >= 40, f"{len(programs)}")
    staying = sum(f"{STAYS}-set-up" in name for name, _, _ in lines + programs)
    checks.that("programs of wheels that stay on their spindle are judged", staying >= 4, f"{staying}")
    made = sum("set-up-1" in name for name, _, _ in lines)
    refused = [said.split(":")[0] for name, _, said in lines if "is refused" in name]
    checks.that("every order is cut or refused", made + len(refused) == ORDERS, f"{made} cut, {len(refused)} refused of {ORDERS}")
    counts = ", ".join(f"{refused.count(why)} {why}" for why in sorted(set(refused)))
    # of a small sample more may be, by twice the spread of such a share
    most = REFUSED * ORDERS + 2 * math.sqrt(REFUSED * (1 - REFUSED) * ORDERS)
    checks.that("few are refused", len(refused) <= most, counts)


def selftest(checks, options):
    tried, right = set(), 0
    for number in (n for n in range(80) if not is_other(n)):
        with tempfile.TemporaryDirectory() as folder:
            order, wheel, per_pass, texts, _ = made(number, folder)
        untried = {kind: [c for c in changes if (kind, c[0]) not in tried] for kind, changes in DOCTORED.items()}
        if not any(untried[kind] and kind in name for name in texts for kind in untried):
            continue
        for name, wrong in judged(texts, order, wheel, per_pass):
            right += checks.that(f"order {number} {name} as made is right", not wrong, "; ".join(wrong[:3]))
        for name, text in texts.items():
            for kind in (k for k in untried if k in name and name.endswith(".nc")):
                for what, change, says in untried[kind]:
                    altered = change(text)
                    if (kind, what) in tried or altered == text:
                        continue
                    changed = dict(texts, **{name: altered})
                    wrong = next(w for n, w in judged({n: t for n, t in changed.items() if n == name or n.endswith(".csv")}, order, wheel, per_pass))
                    noticed = any(says in w for w in wrong)
                    # what a shaped bottom or a short groove leaves in any case hides shallow cuts: another order shows them
                    if noticed or what not in HIDDEN:
                        tried.add((kind, what))
                        checks.that(f"{kind}: {what} is noticed for what it is", noticed, f"order {number}: {wrong[:2]}")
        if len(tried) == sum(map(len, DOCTORED.values())):
            break
    checks.that("every change was tried", len(tried) == sum(map(len, DOCTORED.values())), f"{sorted(tried)}")
    checks.that("right programs pass", right > 4, f"{right}")


if __name__ == "__main__":
    judging.main(judge, selftest)
