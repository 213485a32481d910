"""Judge: a solid-modelling kernel builds each wheel with booleans and measures it.

Section, plain and grooved wheel to 2e-7 relative, groove volumes to 2e-6.
"""

import json
from multiprocessing import Pool

import coverage
import judging
import random_orders
import solid
from integrals import one_groove
from order_model import read, resolve

REL, GROOVE_REL = 2e-7, 2e-6


def expected(wheel):
    area, r, z = solid.section_properties(wheel)
    whole = solid.measured(solid.plain(wheel))
    mass, removed = solid.wheel_properties(wheel)
    size = wheel.radius ** 2 * wheel.thickness      # scale for what may be zero
    out = {
        "section.area": (area, REL, 0),
        "section.centroid_r": (r, REL, 0),
        "section.centroid_z": (z, REL, 0),
        "plain.volume": (whole.volume, REL, 0),
        "plain.centroid_z": (whole.centroid[2], REL, 0),
        "wheel.volume": (mass.volume, REL, 0),
        "wheel.groove_volume": (removed, GROOVE_REL, 1e-12 * size),
        "wheel.centroid_z": (mass.centroid[2], REL, 0),
        "wheel.static_moment": (mass.static, GROOVE_REL, 2e-8 * mass.volume * wheel.radius),
        "wheel.polar_moment": (mass.polar, REL, 0),
        "wheel.transverse_moment": (mass.transverse, REL, 0),
    }
    rho = wheel.density
    out["wheel.mass"] = (rho and mass.volume * rho, REL, 0)
    out["wheel.polar_inertia"] = (rho and mass.polar * rho * 1e-6, REL, 0)
    out["wheel.transverse_inertia"] = (rho and mass.transverse * rho * 1e-6, REL, 0)
    out["wheel.unbalance"] = (rho and mass.static * rho * 1e3, GROOVE_REL, (rho or 0) * 2e-5 * mass.volume * wheel.radius)
    for g in wheel.groove_sets():
        out[f"grooves.{g.where}.count"] = (len(g.angles()), 0, 0)
        out[f"grooves.{g.where}.pitch_deg"] = (360 / g.count, 1e-12, 0)
        out[f"grooves.{g.where}.volume_each"] = (solid.removed_alone(wheel, g), GROOVE_REL, 0)
    return out


def compare(item):
    name, order = item
    lines = judging.Gathered()
    try:
        want = expected(resolve(order, name))
        lines.compare(name, want, judging.properties(order))
    except Exception as fault:      # a kernel or tool that gives up is a failed check, never a skipped one
        lines.that(name, False, f"{type(fault).__name__}: {fault}")
    return lines.lines


def load(path):
    return path.stem, json.loads(path.read_text(encoding="utf-8"))


def orders(options):
    """The named orders, the random ones that bring the pairs of features these have not, and a fresh sample; and what pairs no order has."""
    named = [load(p) for p in judging.named_orders() + judging.named_orders("limits")]
    covered = set().union(*(coverage.pairs(coverage.features(resolve(order, name))) for name, order in named))
    random = {name: order for name, order in random_orders.chosen(options)}
    fixed = {f"random-{i:03}": random_orders.random_order(i) for i in range(random_orders.COUNT)}
    more, missing = coverage.covering(covered, {name: coverage.features(resolve(order, name)) for name, order in fixed.items()})
    random |= {name: fixed[name] for name in more}
    return named + sorted(random.items()), missing


def judge(checks, options):
    items, missing = orders(options)
    checks.that(f"{len(items)} orders have every pair of {len(coverage.FEATURES)} features", not missing and len(items) >= 40,
                f"{len(coverage.WANTED) - len(missing)} of {len(coverage.WANTED)} pairs, missing {sorted(missing)[:5]}")
    with Pool(2) as pool:
        for lines in pool.imap(compare, items):
            checks.absorb(lines)


def selftest(checks, _options):
    few = {"plain": coverage.features(read(judging.ORDERS / "plain-ring.json"))}
    checks.that("pairs that no order has are noticed", coverage.covering(set(), few) == ([], coverage.WANTED))
    for name in ("recess-three-steps-both-sides", "grooves-omitted-one-side", "crankshaft-wheel-26-inch"):
        judging.can_fail(checks, f"solids {name}", expected(read(judging.ORDERS / f"{name}.json")))
    # The kernel and the quadrature, which share no geometry but the groove's frame.
    for name in ("grooves-over-taper-round-bottom-runout-skewed", "grooves-into-two-step-recess-over-taper-skewed",
                 "grooves-over-corner-radius-round-bottom-skewed", "face-grooves-helical-round-over-corners"):
        wheel = read(judging.ORDERS / f"{name}.json")
        for g in wheel.groove_sets():
            checks.close(f"{name}: kernel against quadrature", solid.removed_alone(wheel, g), one_groove(wheel, g)["volume"], GROOVE_REL)
    # The sector and the whole wheel must tell the same.
    for name in ("grooves-side-and-face-overlapping-flat", "grooves-sides-and-face-of-different-counts",
                 "grooves-overlapping-skewed-runout"):
        wheel = read(judging.ORDERS / f"{name}.json")
        (part, cut), (whole, cut_whole) = solid.wheel_properties(wheel), solid.wheel_properties(wheel, 1)
        checks.close(f"{name}: groove volume, sector against whole", cut, cut_whole, GROOVE_REL)
        for key in ("volume", "polar", "transverse"):
            checks.close(f"{name}: {key}, sector against whole", getattr(part, key), getattr(whole, key), REL)
        checks.close(f"{name}: static moment of the whole is zero", whole.static, 0, 0, 2e-8 * whole.volume * wheel.radius)


if __name__ == "__main__":
    judging.main(judge, selftest)
