"""Judge: SciPy integrates each groove over its plan, by brute force and without a solid kernel.

Volume of one groove always; the wheel's totals as plain wheel less the sum of its grooves, where no two overlap.
"""

import json
import math
from multiprocessing import Pool

import numpy as np
from shapely import union_all
from shapely.affinity import rotate

import judging
import random_orders
from half_section import contour
from integrals import one_groove
from judge_plan import edge_points, footprint
from order_model import read, resolve

EACH, REL = 2e-6, 2e-7
NODES, WEIGHTS = np.polynomial.legendre.leggauss(40)


def plain_moments(wheel):
    """Volume, first moment z, polar r2 and z2 of the plain wheel, from line integrals along its contour.

    By Green's theorem, with 40 nodes an edge: nothing is shared with the kernel's route.
    """
    total = np.zeros(4)
    for edge in contour(wheel):
        a, mid, b = edge
        for t, weight in zip((NODES + 1) / 2, WEIGHTS / 2):
            if mid is None:
                r, z = a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t
                dz = b[1] - a[1]
            else:
                r, z, dz = on_arc(edge, t)
            total += weight * dz * 2 * math.pi * np.array([r ** 2 / 2, z * r ** 2 / 2, r ** 4 / 4, z * z * r ** 2 / 2])
    return total


def on_arc(edge, t):
    (ax, ay), (mx, my), (bx, by) = edge
    d = 2 * (ax * (my - by) + mx * (by - ay) + bx * (ay - my))
    sa, sm, sb = ax * ax + ay * ay, mx * mx + my * my, bx * bx + by * by
    cx, cy = (sa * (my - by) + sm * (by - ay) + sb * (ay - my)) / d, (sa * (bx - mx) + sm * (ax - bx) + sb * (mx - ax)) / d
    rad = math.hypot(ax - cx, ay - cy)
    t0 = math.atan2(ay - cy, ax - cx)
    turn = (math.atan2(by - cy, bx - cx) - t0 + math.pi) % (2 * math.pi) - math.pi
    return cx + rad * math.cos(t0 + turn * t), cy + rad * math.sin(t0 + turn * t), rad * math.cos(t0 + turn * t) * turn


def overlapping(wheel):
    """Whether any place belongs to two grooves."""
    for g in wheel.groove_sets():
        if g.where == "face":
            if 2 * math.asin(g.width / math.cos(math.radians(g.helix)) / 2 / (wheel.radius - g.depth)) > 2 * math.pi / g.count:
                return True
            continue
        if wheel.face and (g.outer_radius is None or g.outer_radius + g.width > wheel.radius - wheel.face.depth):
            return True
        one = footprint(wheel, g)
        near = union_all([rotate(one, k * 360 / g.count, origin=(0, 0)) for k in (-2, -1, 1, 2)]) if g.count > 1 else None
        if near is not None and one.intersection(near).intersection(disc_of(wheel)).area > 1e-9:
            return True
    return False


def disc_of(wheel):
    from judge_plan import disc
    return disc(wheel.radius, corners=1 << 10)


def expected(wheel):
    out = {}
    volume, zm, polar, zz = plain_moments(wheel)
    out["plain.volume"] = (volume, REL, 0)
    out["plain.centroid_z"] = (zm / volume, REL, 0)
    removed, x, y = 0.0, 0.0, 0.0
    t = wheel.thickness
    for g in wheel.groove_sets():
        one = one_groove(wheel, g)
        v = one["volume"]
        out[f"grooves.{g.where}.volume_each"] = (v, EACH, 0)
        n = len(g.angles())
        if g.where == "face":
            z1, z2, turn, px, py = one["z"], one["z2"], 0.0, one["x"], 0.0
        else:
            z1, z2, turn = one["w"], one["w2"], math.radians(g.skew)
            if g.where == "side_b":
                z1, z2 = t * v - z1, t * t * v - 2 * t * z1 + z2
            px = wheel.radius * math.cos(turn) * v + one["u"]
            py = one["v"] - wheel.radius * math.sin(turn) * v
        if g.where == "face" and g.helix:
            px = None       # the first moment turns along the helix: left to the kernel
        removed, zm, zz, polar = removed + n * v, zm - n * z1, zz - n * z2, polar - n * one["r2"]
        for angle in g.angles():
            a = math.radians(angle) + turn
            if px is None:
                x = math.nan
                break
            x, y = x + px * math.cos(a) - py * math.sin(a), y + px * math.sin(a) + py * math.cos(a)
    if overlapping(wheel):
        return out
    left = volume - removed
    out["wheel.volume"] = (left, REL, 0)
    out["wheel.groove_volume"] = (removed, EACH, 0)
    out["wheel.centroid_z"] = (zm / left, REL, 0)
    out["wheel.polar_moment"] = (polar, REL, 0)
    if math.isfinite(x):
        off_axis = (x * x + y * y) / left
        out["wheel.transverse_moment"] = (polar / 2 + zz - zm * zm / left - off_axis / 2, REL, 0)
        out["wheel.static_moment"] = (math.hypot(x, y), 2e-6, 1e-10 * left * wheel.radius)
    return out


def compare(item):
    name, order = item
    lines = judging.Gathered()
    try:
        want = expected(resolve(order, name))
        lines.compare(name, want, judging.properties(order))
    except Exception as fault:
        lines.that(name, False, f"{type(fault).__name__}: {fault}")
    return lines.lines


def judge(checks, options):
    items = [(p.stem, json.loads(p.read_text(encoding="utf-8")))
             for p in judging.named_orders() + judging.named_orders("limits")] + random_orders.chosen(options)
    with Pool(2) as pool:
        for lines in pool.imap(compare, items):
            checks.absorb(lines)


def selftest(checks, _options):
    for name in ("grooves-omitted-one-side", "grooves-over-taper-round-bottom-runout-skewed", "face-grooves-round"):
        judging.can_fail(checks, f"integrals {name}", expected(read(judging.ORDERS / f"{name}.json")))


if __name__ == "__main__":
    judging.main(judge, selftest)
