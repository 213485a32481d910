"""Judge: closed forms evaluated to 30 digits (mpmath) against the tool's numbers, to 1e-12 relative.

Lengths in millimetres. Sources: elementary solids and Pappus's theorem; the groove forms integrate the strip between
two parallel walls; where a form has no elementary integral (round bottoms, tapers) mpmath's quadrature gives 30 digits.
Each value printed in a table elsewhere is checked against that table too.
"""

from mpmath import asin, cos, mp, mpf, pi, quad, radians, sin, sqrt, tan

import judging

mp.dps = 30
TIGHT = 1e-12
SHARED = 1e-9       # where the tool, too, integrates: grooves that run into each other
RHO = mpf("2.20")       # g/cm3


def order(od, t, bore, unit="mm", density=True, **wheel):
    out = {"order": {"number": "CF", "revision": "A"}, "units": unit,
           "wheel": {"outside_diameter": od, "thickness": t, "bore": bore, **wheel}}
    if density:
        out["blank"] = {"density": "2.20 g/cm3"}
    return out


def strip(r, w, shift=0):
    """∫ √(r² − (v − shift)²) dv over the width w: for shift 0, r²·asin(w/2r) + (w/2)·√(r² − w²/4)."""
    r, w, shift = mpf(r), mpf(w), mpf(shift)
    part = lambda v: (v * sqrt(r * r - v * v) + r * r * asin(v / r)) / 2
    return part(w / 2 - shift) - part(-w / 2 - shift)


def discs(*parts):
    """Sum of ring-shaped parts (sign, outer radius, inner radius, z from, z to): volume, first z, polar, z² moments."""
    v = z1 = polar = zz = mpf(0)
    for sign, b, a, z0, z1_ in parts:
        b, a, lo, hi = mpf(b), mpf(a), mpf(z0), mpf(z1_)
        area = sign * pi * (b * b - a * a)
        v += area * (hi - lo)
        z1 += area * (hi ** 2 - lo ** 2) / 2
        zz += area * (hi ** 3 - lo ** 3) / 3
        polar += sign * pi / 2 * (b ** 4 - a ** 4) * (hi - lo)
    return v, z1, polar, zz


def solid(v, z1, polar, zz):
    """Expectations of a solid of revolution of density RHO."""
    kg = RHO * mpf(10) ** -6
    across = polar / 2 + zz - z1 * z1 / v
    return {"plain.volume": v, "wheel.volume": v, "plain.centroid_z": z1 / v, "wheel.centroid_z": z1 / v,
            "wheel.polar_moment": polar, "wheel.transverse_moment": across, "wheel.mass": v * kg,
            "wheel.polar_inertia": polar * kg * mpf(10) ** -6, "wheel.transverse_inertia": across * kg * mpf(10) ** -6}


def grooves(count, width, depth, inner=None, **more):
    out = {"count": count, "width": width, "depth": depth, **more}
    if inner is not None:
        out["inner_diameter"] = inner
    return {"grooves": out}


def side(each, **more):
    return {"grooves.side_a.volume_each": each, **more}


def cases():
    """(name, order, {key: 30-digit value}, {what: (value, printed digits)})."""
    H = mpf("101.6")
    yield ("ring", order(610, 25, 203.2), solid(*discs((1, 305, H, 0, 25))), {})
    ring = discs((1, 200, mpf("63.5"), 0, 50))
    yield ("ring 400", order(400, 50, 127), solid(*ring), {})
    one = discs((1, 200, mpf("63.5"), 0, 50), (-1, 100, mpf("63.5"), 35, 50))
    yield ("recess one side", order(400, 50, 127, side_b={"recess": [{"diameter": 200, "depth": 15}]}), solid(*one),
           {"volume": (one[0], "5368577.365"), "centroid": (one[1] / one[0], "24.08329")})
    both = discs((1, 250, H, 0, 63), (-1, 150, H, 53, 63), (-1, 130, H, 45, 53), (-1, 140, H, 0, 8))
    yield ("recesses both sides", order(500, 63, 203.2, side_b={"recess": [{"diameter": 300, "depth": 10}, {"diameter": 260, "depth": 18}]},
                                        side_a={"recess": [{"diameter": 280, "depth": 8}]}), solid(*both),
           {"volume": (both[0], "9545934.361"), "centroid": (both[1] / both[0], "30.80664")})
    # Depth 20 (r - 100)/100 outside r 100: 2π ∫ r·depth dr.
    cone = 2 * pi * mpf(20) / 100 * ((mpf(200) ** 3 - 100 ** 3) / 3 - 100 * (mpf(200) ** 2 - 100 ** 2) / 2)
    yield ("taper one side", order(400, 50, 127, side_a={"taper": {"from_diameter": 200, "to_diameter": 400, "depth": 20}}),
           {"plain.volume": ring[0] - cone}, {"volume": (ring[0] - cone, "4602603.407")})

    # Spandrel of a quarter circle: area ρ²(1 − π/4), its centroid ρ(10 − 3π)/(12 − 3π) from the sharp corner.
    spandrel = lambda rho: (mpf(rho) ** 2 * (1 - pi / 4), mpf(rho) * (10 - 3 * pi) / (12 - 3 * pi))
    area, off = spandrel(5)
    corner = 2 * pi * area * (200 - off)
    yield ("corner radius", order(400, 50, 127, side_a={"corner": {"radius": 5}}),
           {"plain.volume": ring[0] - corner, "section.area": mpf("136.5") * 50 - area}, {"removed": (corner, "6704.267")})
    area, off = spandrel(4)
    filled = 2 * pi * area * (100 - off)
    yield ("recess fillet", order(400, 50, 127, side_b={"recess": [{"diameter": 200, "depth": 15, "fillet_radius": 4}]}),
           {"plain.volume": one[0] + filled, "section.area": mpf("136.5") * 50 - mpf("36.5") * 15 + area}, {})
    rise = 6 * tan(radians(30))
    yield ("corner chamfer", order(400, 50, 127, side_b={"corner": {"chamfer": 6, "angle_deg": 30}}),
           {"plain.volume": ring[0] - 2 * pi * 3 * rise * (200 - mpf(6) / 3), "section.area": mpf("136.5") * 50 - 3 * rise}, {})
    c = mpf("2.5")
    yield ("bore chamfer", order(400, 50, 127, bore_chamfer=2.5),
           {"plain.volume": ring[0] - 2 * 2 * pi * c * c / 2 * (mpf("63.5") + c / 3)}, {})
    # A rim of two full quarter circles is the outer half of a torus: half disc πρ²/2, centroid 4ρ/3π beyond its flat.
    rho, hole = mpf("19.05"), mpf("63.5")
    half = 2 * pi * (pi * rho ** 2 / 2) * (hole + 4 * rho / (3 * pi))
    inner_half = 2 * pi * (pi * rho ** 2 / 2) * (hole - 4 * rho / (3 * pi))
    yield ("round rim", order(6.5, 1.5, 5, "in", side_a={"corner": {"radius": 0.75}}, side_b={"corner": {"radius": 0.75}}),
           {"plain.volume": half, "section.area": pi * rho ** 2 / 2},
           {"whole torus in cubic inches": ((half + inner_half) / mpf("25.4") ** 3, "27.76")})

    yield from side_groove_cases()
    yield from face_groove_cases()


def side_groove_cases():
    R, w, d, a = mpf(200), mpf(3), mpf(5), mpf(100)
    S = strip(R, w)
    flat = d * (S - a * w)
    wheel = lambda **g: order(400, 50, 127, side_a=grooves(180, 3, 5, 200, **g))
    ring = pi * (R * R - a * a)
    yield ("groove flat square", wheel(),
           side(flat, **{"wheel.groove_volume": 180 * flat, "wheel.static_moment": mpf(0),
                         "grooves.side_a.land_outer": R * (2 * pi / 180 - 2 * asin(w / 2 / R)),
                         "grooves.side_a.land_inner": a * (2 * pi / 180 - 2 * asin(w / 2 / a)),
                         "grooves.side_a.land_share": 1 - 180 * (S - a * w) / ring,
                         "grooves.side_a.merge_diameter": w / sin(pi / 180)}),
           {"merge diameter": (w / sin(pi / 180), "171.896"),
            "land in per cent of the pitch": (100 * (1 - 180 * asin(w / 2 / R) / pi), "57.03")})
    # Opening into a deep recess, the inner end is an arc about the axis: S(R) − S(a).
    for od, t, n, wid, dep, inner, each, all_ in ((400, 50, 180, 3, 5, 200, "1500.0281", "270005.063"),
                                                  (610, 25, 120, 3, 6, 300, "2790.0229", "334802.744")):
        v = dep * (strip(mpf(od) / 2, wid) - strip(mpf(inner) / 2, wid))
        yield (f"groove into a recess, {od}", order(od, t, 127, side_a={"recess": [{"diameter": inner, "depth": dep + 3}],
                                                                       **grooves(n, wid, dep, inner - 20)}),
               side(v, **{"wheel.groove_volume": n * v}), {"one": (v, each), "all": (n * v, all_)})
    yield ("groove round end", wheel(inner_end="round"), side(d * (S - a * w - w * w / 2 + pi * w * w / 8)), {})
    yield ("groove ended short", wheel(outer_diameter=360), side(d * w * (180 - a)), {})
    rho = mpf(60)
    e = sqrt(2 * rho * d - d * d)
    under = (d - rho) * e + (e * sqrt(rho ** 2 - e ** 2) + rho ** 2 * asin(e / rho)) / 2
    yield ("groove run-out", wheel(inner_end="runout", cutter_diameter=120), side(w * under + d * (S - (a + e) * w)), {})
    s = sin(radians(20)) * R
    yield ("groove skewed", wheel(skew_deg=20), side(d * (strip(R, w, s) - sqrt(a * a - s * s) * w)), {})
    lift = lambda v: w / 2 - sqrt(w * w / 4 - v * v)
    smooth = lambda f: quad(lambda t: f(w / 2 * sin(t)) * w / 2 * cos(t), [-pi / 2, 0, pi / 2])
    yield ("groove round bottom", wheel(bottom="round"), side(smooth(lambda v: (sqrt(R * R - v * v) - a) * (d - lift(v)))), {})
    slope = 1 / tan(radians(35))
    vee = quad(lambda v: (sqrt(R * R - v * v) - a) * (d - abs(v) * slope), [-w / 2, 0, w / 2])
    yield ("groove vee", wheel(bottom="vee", vee_angle_deg=70), side(vee), {})
    # Taper from r 80 to the rim: floor along the centre line parallel to the cone's own line, surface k·(r − 80).
    k = mpf(4) / 120
    along = lambda v: quad(lambda u: d + k * (u - 80) - k * (sqrt(u * u + v * v) - 80), [a, sqrt(R * R - v * v)])
    yield ("groove over a taper", order(400, 50, 127, side_a={"taper": {"from_diameter": 160, "to_diameter": 400, "depth": 4}, **grooves(180, 3, 5, 200)}),
           side(quad(along, [-w / 2, 0, w / 2])), {})
    # Corner radius 3 below the groove's depth 5: what the corner has taken already is the spandrel over the strip.
    c = mpf(3)
    taken = quad(lambda r: 2 * r * asin(w / 2 / r) * (c - sqrt(max(mpf(0), c * c - (r - R + c) ** 2))), [R - c, R])
    yield ("groove over a corner radius", order(400, 50, 127, side_a={"corner": {"radius": 3}, **grooves(180, 3, 5, 200)}),
           side(flat - taken), {})
    # One groove alone: ∫ x dV = d/2·(w(R² − a²) − w³/12), and the polar moment it takes away.
    b = mpf(10)
    static = d / 2 * (b * (R * R - a * a) - b ** 3 / 12)
    polar = d * quad(lambda v: (sqrt(R * R - v * v) ** 3 - a ** 3) / 3 + v * v * (sqrt(R * R - v * v) - a), [-b / 2, 0, b / 2])
    yield ("one groove", order(400, 50, 127, side_a=grooves(1, 10, 5, 200, start_deg=37)),
           {"wheel.static_moment": static, "wheel.unbalance": static * RHO * mpf(10) ** -3,
            "wheel.polar_moment": pi / 2 * (R ** 4 - mpf("63.5") ** 4) * 50 - polar}, {})
    # Neighbours run into each other inside: each strip loses its two corners beyond the bisectors v = ±u·tan(π/n).
    # A place there lies nearer to the neighbour's centre line and farther along it, so the neighbour removes it too.
    n, wid, r0 = 90, mpf(5), mpf(50)
    slope = tan(pi / n)
    beyond = quad(lambda u: wid / 2 - u * slope, [r0, wid / 2 / slope])
    yield ("grooves run into each other", order(400, 50, 80, side_a=grooves(n, 5, 4, 100)),
           {"wheel.groove_volume": 4 * n * (strip(R, wid) - r0 * wid - 2 * beyond)}, {})


def face_groove_cases():
    for od, t, n, w, d, each, all_ in ((400, 50, 180, 3, 5, "749.7187", "134949.375"), (610, 25, 72, 4, 6, "599.7814", "43184.262")):
        v = (strip(mpf(od) / 2, w) - (mpf(od) / 2 - d) * w) * t
        yield (f"face groove flat, {od}", order(od, t, 127, face=grooves(n, w, d)),
               {"grooves.face.volume_each": v, "wheel.groove_volume": n * v}, {"one": (v, each), "all": (n * v, all_)})
    R, T, w, d = mpf(200), 50, mpf(4), mpf(6)
    round_ = (strip(R, w) - (R - d + w / 2) * w + pi * w * w / 8) * T
    yield ("face groove round", order(400, 50, 127, face=grooves(60, 4, 6, bottom="round")), {"grooves.face.volume_each": round_}, {})
    wide = w / cos(radians(25))
    yield ("face groove helical", order(400, 50, 127, face=grooves(60, 4, 6, helix_deg=25)),
           {"grooves.face.volume_each": (strip(R, wide) - (R - d) * wide) * T,
            "grooves.face.land_share": 1 - 60 * asin(wide / 2 / R) / pi}, {})
    oval = (strip(R, wide) - (R - d + w / 2) * wide + pi * w * wide / 8) * T
    yield ("face groove helical round", order(400, 50, 127, face=grooves(60, 4, 6, helix_deg=25, bottom="round")),
           {"grooves.face.volume_each": oval}, {})


def tolerances(name, expected):
    rel = SHARED if "run into each other" in name else TIGHT
    return {key: (float(v), rel, 1e-6 if v == 0 else 0) for key, v in expected.items()}


def judge(checks, _options):
    for name, wheel, expected, printed in cases():
        for what, (value, digits) in printed.items():
            places = len(digits.partition(".")[2])
            checks.that(f"closed form {name}: {what} is the printed {digits}", abs(value - mpf(digits)) <= mpf(10) ** -places * mpf("0.5000001"))
        checks.compare(f"closed form {name}", tolerances(name, expected), judging.properties(wheel))


def selftest(checks, _options):
    from order_model import resolve
    from integrals import one_groove
    for name, wheel, expected, printed in cases():
        judging.can_fail(checks, f"closed form {name}", tolerances(name, expected))
        for what, (value, digits) in printed.items():
            places = len(digits.partition(".")[2])
            checks.that(f"closed form {name}: {what} is the printed {digits}", abs(value - mpf(digits)) <= mpf(10) ** -places * mpf("0.5000001"))
        # The closed form against this folder's own brute force.
        model = resolve(wheel)
        for g in model.groove_sets():
            key = f"grooves.{g.where}.volume_each"
            if key in expected:
                checks.close(f"closed form {name}: brute force agrees", one_groove(model, g)["volume"], float(expected[key]), 1e-11)


if __name__ == "__main__":
    judging.main(judge, selftest)
