"""Removed volume and moments of one groove by brute-force quadrature (SciPy).

Over the plan, the removed depth is max(0, floor - actual surface), cut off at
the outside diameter and at the bore. For every v the line along u is split
where it crosses a circle on which the section changes, where the floor changes,
and where floor and surface cross; between the splits Gauss-Legendre is used,
across v an adaptive rule with the breaks the shape has.
"""

import math

import numpy as np
from scipy.integrate import quad_vec
from scipy.optimize import brentq

from groove_frame import frame
from half_section import profile, surface_depth

NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)
KEYS = ("volume", "r2", "w", "w2", "u", "v")


class SideGroove:
    """Integrals over one side groove, z counted as depth from the datum."""

    def __init__(self, wheel, grooves):
        self.wheel, self.grooves = wheel, grooves
        self.frame = frame(wheel, grooves)
        self.pieces = [p for p in profile(wheel, wheel.side_of(grooves)) if p.a[0] < p.b[0]]
        self.radii = sorted({p.a[0] for p in self.pieces} | {p.b[0] for p in self.pieces})

    def surface(self, r):
        for p in self.pieces:
            if p.a[0] <= r <= p.b[0]:
                return p.depth(r)
        return math.inf

    def spans(self, v):
        """Pieces of the line at v with a positive removed depth."""
        f = self.frame
        low, high = f.plan_start(v), f.u_at(self.wheel.radius, v)
        if f.stop is not None:
            high = min(high, f.stop)
        cuts = [u for r in self.radii for u in (f.u_at(r, v), f.u_inner(r, v)) if u is not None]
        if f.arc:
            cuts.append(f.arc[2])
        cuts = [low, *sorted(u for u in cuts if low < u < high), high]
        gap = lambda u: f.floor(u, v) - self.surface(f.r(u, v))
        for a, b in zip(cuts, cuts[1:]):
            if b - a < 1e-14 or f.r((a + b) / 2, v) < self.wheel.bore:
                continue
            eps = (b - a) * 1e-13
            grid = [a + eps, *np.linspace(a, b, 9)[1:-1], b - eps]
            values = [gap(u) for u in grid]
            roots = [brentq(gap, p, q, xtol=1e-15, rtol=1e-15)
                     for p, q, x, y in zip(grid, grid[1:], values, values[1:]) if x * y < 0]
            ends = [a, *roots, b]
            for p, q in zip(ends, ends[1:]):
                if gap((p + q) / 2) > 0:
                    yield p, q

    def line(self, v):
        """The integrals along u at one v."""
        f, total = self.frame, np.zeros(len(KEYS))
        y = v - f.radius * f.sin
        for a, b in self.spans(v):
            # A square-root end (a corner arc's wall) needs the nodes drawn towards it.
            half = (b - a) / 2
            t = (a + b) / 2 + half * np.sin(NODES * math.pi / 2)
            weight = WEIGHTS * np.cos(NODES * math.pi / 2) * math.pi / 2 * half
            r2 = (f.radius * f.cos + t) ** 2 + y * y
            w0, w1 = self.surface_along((a + b) / 2, v, np.sqrt(r2)), self.floor_along((a + b) / 2, t) - f.lift(v)
            d = w1 - w0
            total += np.array([weight @ k for k in (d, d * r2, (w1 ** 2 - w0 ** 2) / 2, (w1 ** 3 - w0 ** 3) / 3, d * t, d * v)])
        return total

    def surface_along(self, middle, v, r):
        """Surface at the radii r, all on the piece of the profile that holds the span's middle."""
        at = self.frame.r(middle, v)
        p = next(p for p in self.pieces if p.a[0] <= at <= p.b[0])
        if p.centre is None:
            return p.depth(r)
        return p.centre[1] + p.bulge * np.sqrt(np.maximum(0.0, p.radius ** 2 - (r - p.centre[0]) ** 2))

    def floor_along(self, middle, u):
        """Floor on the centre line at the places u, all on the middle's side of the run-out's end."""
        arc = self.frame.arc
        if arc and middle < arc[2]:
            return arc[1] + np.sqrt(np.maximum(0.0, arc[3] ** 2 - (u - arc[0]) ** 2))
        return self.frame.line(u)

    def breaks(self):
        """Values of v where the shape of the integrand changes."""
        f, half = self.frame, self.frame.width / 2
        found = {0.0}
        us = [f.start] + ([f.stop] if f.stop is not None else []) + ([f.arc[2]] if f.arc else [])
        for r in self.radii:
            for u in us:
                h = r * r - (f.radius * f.cos + u) ** 2
                if h >= 0:
                    found |= {f.radius * f.sin + math.sqrt(h), f.radius * f.sin - math.sqrt(h)}
            found |= {f.radius * f.sin + r, f.radius * f.sin - r}
        # Where the removed depth vanishes on the ends and along the rim.
        vs = np.linspace(-half, half, 201)
        curves = [lambda v, u=u: f.floor(u + 1e-12, v) - self.surface(f.r(u, v)) for u in us]
        for r in self.radii:
            for side in (-1, 1):
                def on_circle(v, r=r * (1 + side * 1e-14)):
                    u = f.u_at(r, v)
                    return math.nan if u is None else f.floor(u, v) - self.surface(min(r, self.wheel.radius))
                curves.append(on_circle)
        for g in curves:
            ys = [g(v) for v in vs]
            for a, b, x, y in zip(vs, vs[1:], ys, ys[1:]):
                if math.isfinite(x) and math.isfinite(y) and x * y < 0:
                    found.add(brentq(g, a, b, xtol=1e-14))
        return sorted({-half, half} | {v for v in found if -half < v < half})

    def total(self, epsrel=1e-10):
        """All integrals as a dictionary; u and v are about the frame's origin."""
        ends, out = self.breaks(), np.zeros(len(KEYS))
        for a, b in zip(ends, ends[1:]):
            if b - a < 1e-13:
                continue
            # v = mid + half sin(t): the wall slope at a round bottom or a round end becomes smooth.
            mid, half = (a + b) / 2, (b - a) / 2
            g = lambda t: self.line(mid + half * math.sin(t)) * half * math.cos(t)
            value, _ = quad_vec(g, -math.pi / 2, math.pi / 2, epsrel=epsrel, epsabs=0, norm="max", limit=400)
            out += value
        return dict(zip(KEYS, out))


class FaceGroove:
    """One face groove. The plain wheel is round, so a helix only turns each
    transverse section in its own plane: the radius and depth integrals are those
    of a straight groove of the same transverse section."""

    def __init__(self, wheel, grooves):
        self.wheel, self.grooves = wheel, grooves
        self.half = grooves.width / 2 / math.cos(math.radians(grooves.helix))
        self.a = profile(wheel, wheel.side_a)
        self.b = profile(wheel, wheel.side_b)
        self.radii = sorted({e[0] for p in self.a + self.b for e in (p.a, p.b)})

    def floor(self, y):
        """x of the groove's floor at the tangential place y."""
        g = self.grooves
        x = self.wheel.radius - g.depth
        if g.bottom == "round":
            x += g.width / 2 * (1 - math.sqrt(max(0.0, 1 - (y / self.half) ** 2)))
        return x

    def line(self, y):
        total, R, T = np.zeros(5), self.wheel.radius, self.wheel.thickness
        low, high = self.floor(y), math.sqrt(R * R - y * y)
        cuts = [math.sqrt(r * r - y * y) for r in self.radii if r > abs(y)]
        cuts = [low, *sorted(x for x in cuts if low < x < high), high]
        for a, b in zip(cuts, cuts[1:]):
            half = (b - a) / 2
            if half <= 0:
                continue
            x = (a + b) / 2 + half * np.sin(NODES * math.pi / 2)
            jac = WEIGHTS * np.cos(NODES * math.pi / 2) * math.pi / 2 * half
            for t, weight in zip(x, jac):
                r = math.hypot(t, y)
                z0, z1 = surface_depth(self.a, r), T - surface_depth(self.b, r)
                d = z1 - z0
                total += weight * np.array([d, d * r * r, (z1 * z1 - z0 * z0) / 2, (z1 ** 3 - z0 ** 3) / 3, d * t])
        return total

    def total(self, epsrel=1e-10):
        ends = {-self.half, 0.0, self.half}
        # Where the floor passes a circle on which the section changes.
        ys = np.linspace(-self.half, self.half, 201)
        for r in self.radii:
            g = lambda y: math.hypot(self.floor(y), y) - r
            for p, q in zip(ys, ys[1:]):
                if g(p) * g(q) < 0:
                    ends.add(brentq(g, p, q, xtol=1e-14))
        ends, out = sorted(ends), np.zeros(5)
        for a, b in zip(ends, ends[1:]):
            mid, half = (a + b) / 2, (b - a) / 2
            g = lambda t: self.line(mid + half * math.sin(t)) * half * math.cos(t)
            out += quad_vec(g, -math.pi / 2, math.pi / 2, epsrel=epsrel, epsabs=0, norm="max", limit=400)[0]
        return dict(zip(("volume", "r2", "z", "z2", "x"), out))


def one_groove(wheel, grooves):
    """The groove removed alone, by brute force."""
    kind = FaceGroove if grooves.where == "face" else SideGroove
    return kind(wheel, grooves).total()
