"""The half-section of a wheel as exact lines and arcs, without grooves.

A profile is one side of it, from the bore outwards, in (r, depth below that
side's datum plane). Its pieces are either a line or an arc of a circle; an arc
also tells whether it is the void's (`fillet`, centre outside the material) or
the material's (`corner`, centre inside).
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Piece:
    """From `a` to `b`, r never falling; `centre` and `bulge` only for arcs.

    `bulge` is -1 where the arc lies at less depth than its centre (a convex
    corner), +1 where it lies deeper (a concave fillet).
    """
    a: tuple
    b: tuple
    centre: tuple | None = None
    bulge: int = 0

    @property
    def radius(self):
        return math.dist(self.a, self.centre)

    def depth(self, r):
        """Depth at r; meaningless for a wall, which has no single depth."""
        if self.centre is None:
            (r0, d0), (r1, d1) = self.a, self.b
            return d0 + (d1 - d0) * (r - r0) / (r1 - r0)
        dr = r - self.centre[0]
        return self.centre[1] + self.bulge * math.sqrt(max(0.0, self.radius ** 2 - dr * dr))

    def middle(self):
        """A point on the piece between its ends."""
        if self.centre is None:
            return ((self.a[0] + self.b[0]) / 2, (self.a[1] + self.b[1]) / 2)
        mx, my = (self.a[0] + self.b[0]) / 2 - self.centre[0], (self.a[1] + self.b[1]) / 2 - self.centre[1]
        k = self.radius / math.hypot(mx, my)
        return (self.centre[0] + k * mx, self.centre[1] + k * my)


def corner_pieces(wheel, side):
    """Where the nominal line stops, and what follows to the outside diameter."""
    R = wheel.radius
    if side.corner is None:
        return R, [], (R, side.nominal_depth(R))
    if side.corner[0] == "chamfer":
        _, run, angle = side.corner
        stop = (R - run, side.nominal_depth(R - run))
        end = (R, side.nominal_depth(R) + run * math.tan(math.radians(angle)))
        return R - run, [Piece(stop, end)], end
    rho = side.corner[1]
    # The nominal line may have a kink near the rim: take the straight stretch the tangent point falls on.
    kinks = [r for r, _ in side.nominal if wheel.bore < r < R]
    stretches = list(zip([wheel.bore, *kinks], [*kinks, R]))
    for r0, r1 in reversed(stretches):
        slope = (side.nominal_depth(r1) - side.nominal_depth(r0)) / (r1 - r0)
        root = math.hypot(1, slope)
        centre = (R - rho, side.nominal_depth(r0) + slope * (R - rho - r0) + rho * root)
        touch = centre[0] + rho * slope / root
        if r0 - 1e-12 <= touch <= r1 + 1e-12:
            end = (R, centre[1])
            return touch, [Piece((touch, centre[1] - rho / root), end, centre, -1)], end
    raise ValueError(f"{wheel.name}: the corner radius is tangent to no stretch of the side")


def profile(wheel, side):
    """Pieces of one side from the bore to the outside diameter, walls included."""
    stop, corner, _ = corner_pieces(wheel, side)
    pts = []
    pieces = []

    def go(point):
        if pts and math.dist(pts[-1], point) > 1e-12:
            pieces.append(Piece(pts[-1], point))
        pts.append(point)

    steps = side.recess
    floor = steps[-1].depth if steps else None
    b, c = wheel.bore, wheel.bore_chamfer
    at = lambda r: floor if floor is not None else side.nominal_depth(r)
    if c > 0:
        go((b, at(b) + c))
        go((b + c, at(b + c)))
    else:
        go((b, at(b)))
    for i in reversed(range(len(steps))):
        s = steps[i]
        top = steps[i - 1].depth if i else side.nominal_depth(s.radius)
        go((s.radius - s.fillet, s.depth))
        if s.fillet:
            end = (s.radius, s.depth - s.fillet)
            pieces.append(Piece(pts[-1], end, (s.radius - s.fillet, s.depth - s.fillet), +1))
            pts.append(end)
        go((s.radius, top))
    for r, d in side.nominal:
        if pts[-1][0] < r < stop:
            go((r, d))
    if corner:
        go(corner[0].a)
        pieces += corner
    else:
        go((wheel.radius, side.nominal_depth(wheel.radius)))
    return pieces


def surface_depth(pieces, r):
    """Actual depth of the surface below the datum at r, the shallower one at a wall."""
    found = [p.depth(r) for p in pieces if p.a[0] < p.b[0] and p.a[0] <= r <= p.b[0]]
    return min(found) if found else None


def contour(wheel):
    """Closed contour in (r, z), counter-clockwise: (start, mid or None, end) each."""
    t = wheel.thickness
    edges = [(p.a, p.middle() if p.centre else None, p.b) for p in profile(wheel, wheel.side_a)]
    back = []
    for p in reversed(profile(wheel, wheel.side_b)):
        flip = lambda q: (q[0], t - q[1])
        back.append((flip(p.b), flip(p.middle()) if p.centre else None, flip(p.a)))
    edges.append((edges[-1][2], None, back[0][0]))
    edges += back
    edges.append((edges[-1][2], None, edges[0][0]))
    for (_, _, end), (start, _, _) in zip(edges, edges[1:]):
        assert math.dist(end, start) < 1e-12, "open contour"
    return [e for e in edges if math.dist(e[0], e[2]) > 1e-12]
