"""Judge: Shapely lays out each side in plan and measures lands and land share; the section likewise.

Circles are polygons of CORNERS corners on a radius that keeps the circle's area, so an area is right to about
1e-8 of the ring; arcs round the wheel are measured by the angle between intersections, which is exact.
"""

import json
import math
from multiprocessing import Pool

import numpy as np
from shapely import Point, Polygon, box, union_all
from shapely.affinity import rotate

import judging
import random_orders
from groove_frame import frame
from half_section import contour
from order_model import read, resolve

CORNERS = 1 << 14
SHARE, LAND, SECTION = 2e-7, 1e-9, 1e-6


def disc(radius, centre=(0, 0), corners=CORNERS):
    t = np.arange(corners) * 2 * math.pi / corners
    r = radius * math.sqrt(2 * math.pi / corners / math.sin(2 * math.pi / corners))
    return Polygon(np.column_stack([centre[0] + r * np.cos(t), centre[1] + r * np.sin(t)]))


def footprint(wheel, grooves):
    """Plan region of the groove at angle 0, running past the outside diameter where it does."""
    f = frame(wheel, grooves)
    end = f.stop if f.stop is not None else wheel.radius
    x, y, half = f.radius * f.cos, -f.radius * f.sin, f.width / 2
    if f.inner_end == "round":
        tip = disc(half, (x + f.start + half, y), 1 << 12).intersection(box(x + f.start, y - half, x + end, y + half))
        shape = union_all([box(x + f.start + half, y - half, x + end, y + half), tip])
    else:
        shape = box(x + f.start, y - half, x + end, y + half)
    return rotate(shape, grooves.skew, origin=(0, 0))


def side_share(wheel, grooves):
    """Ungrooved share of the ring between the inner end and the outside diameter."""
    ring = disc(wheel.radius).difference(disc(grooves.inner_radius))
    one = footprint(wheel, grooves)
    cut = union_all([rotate(one, a, origin=(0, 0)) for a in grooves.angles()])
    return ring.difference(cut).area / (math.pi * (wheel.radius ** 2 - grooves.inner_radius ** 2))


def arc_between_walls(radius, wheel, grooves):
    """Length along the circle of this radius between the groove's two wall planes, prolonged if need be."""
    off = wheel.radius * math.sin(math.radians(grooves.skew))
    at = lambda v: math.asin((v - off) / radius)
    half = grooves.width / 2
    return radius * (at(half) - at(-half)) if abs(off) + half < radius else None


def expected(wheel):
    out = {}
    section = Polygon([p for e in contour(wheel) for p in edge_points(e)])
    out["section.area"] = (section.area, SECTION, 0)
    out["section.centroid_r"] = (section.centroid.x, SECTION, 0)
    out["section.centroid_z"] = (section.centroid.y, SECTION, 0)
    for g in wheel.groove_sets():
        key = f"grooves.{g.where}"
        pitch = 2 * math.pi / g.count
        if g.where == "face":
            arc = 2 * math.asin(g.width / math.cos(math.radians(g.helix)) / 2 / wheel.radius)
            out[f"{key}.land_outer"] = (wheel.radius * (pitch - arc), LAND, LAND)
            out[f"{key}.land_share"] = (1 - len(g.angles()) * arc / (2 * math.pi), SHARE, 0)
            continue
        for name, r in (("outer", wheel.radius), ("inner", g.inner_radius)):
            arc = arc_between_walls(r, wheel, g)
            if arc is not None:
                # Where neighbours run into each other there is no land.
                out[f"{key}.land_{name}"] = (max(0.0, r * pitch - arc), LAND, LAND)
        out[f"{key}.land_share"] = (side_share(wheel, g), SHARE, 0)
    return out


def edge_points(edge):
    """Points of a contour edge, its end left to the next."""
    a, mid, b = edge
    if mid is None:
        return [a]
    (ax, ay), (mx, my), (bx, by) = a, mid, b
    # Circle through three points.
    d = 2 * (ax * (my - by) + mx * (by - ay) + bx * (ay - my))
    sa, sm, sb = ax * ax + ay * ay, mx * mx + my * my, bx * bx + by * by
    cx, cy = (sa * (my - by) + sm * (by - ay) + sb * (ay - my)) / d, (sa * (bx - mx) + sm * (ax - bx) + sb * (mx - ax)) / d
    r = math.hypot(ax - cx, ay - cy)
    t0, t1 = math.atan2(ay - cy, ax - cx), math.atan2(by - cy, bx - cx)
    turn = (t1 - t0 + math.pi) % (2 * math.pi) - math.pi
    return [(cx + r * math.cos(t0 + turn * i / 2000), cy + r * math.sin(t0 + turn * i / 2000)) for i in range(2000)]


def compare(item):
    name, order = item
    lines = judging.Gathered()
    try:
        lines.compare(name, expected(resolve(order, name)), judging.properties(order))
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
    for name in ("grooves-overlapping-skewed-runout", "face-grooves-helical-flat", "grooves-ended-short-skewed-round-end"):
        judging.can_fail(checks, f"plan {name}", expected(read(judging.ORDERS / f"{name}.json")))


if __name__ == "__main__":
    judging.main(judge, selftest)
