"""One side groove in its own frame: u along the centre line, v to its left.

u = 0 where the centre line meets the outside diameter and grows outwards; the
depth w is counted from the side's datum plane into the material. The removed
material is where the plan region's floor(u, v) lies deeper than the surface.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Frame:
    radius: float
    sin: float
    cos: float
    width: float
    start: float
    stop: float | None
    depth_start: float
    slope: float
    bottom: str
    tan_half_vee: float | None
    inner_end: str
    arc: tuple | None

    def r(self, u, v):
        """Distance of a place from the axis."""
        return math.hypot(self.radius * self.cos + u, v - self.radius * self.sin)

    def u_at(self, r, v):
        """Where the line at v crosses the circle of radius r, outer crossing; None if it misses."""
        h = r * r - (v - self.radius * self.sin) ** 2
        return None if h < 0 else math.sqrt(h) - self.radius * self.cos

    def u_inner(self, r, v):
        """The inner crossing of the same."""
        h = r * r - (v - self.radius * self.sin) ** 2
        return None if h < 0 else -math.sqrt(h) - self.radius * self.cos

    def line(self, u):
        return self.depth_start + self.slope * (u - self.start)

    def centre_floor(self, u):
        """Floor on the centre line: the straight line, or the cutter's arc at a run-out."""
        if self.arc and u < self.arc[2]:
            cu, cd, _, rho = self.arc
            return cd + math.sqrt(max(0.0, rho * rho - (u - cu) ** 2))
        return self.line(u)

    def lift(self, v):
        half = self.width / 2
        if self.bottom == "round":
            return half - math.sqrt(max(0.0, half * half - v * v))
        if self.bottom == "vee":
            return abs(v) / self.tan_half_vee
        return 0.0

    def floor(self, u, v):
        return self.centre_floor(u) - self.lift(v)

    def plan_start(self, v):
        """Smallest u of the plan region at v."""
        if self.inner_end != "round":
            return self.start
        half = self.width / 2
        return self.start + half - math.sqrt(max(0.0, half * half - v * v))

    def to_world(self, u, v, angle):
        """x, y of a place of the groove that lies at `angle` radians."""
        x, y = self.radius * self.cos + u, v - self.radius * self.sin
        a = angle + math.atan2(self.sin, self.cos)
        return (x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a))


def frame(wheel, grooves):
    side = wheel.side_of(grooves)
    R, s = wheel.radius, math.radians(grooves.skew)
    on_line = lambda r: -R * math.cos(s) + math.sqrt(r * r - (R * math.sin(s)) ** 2)
    start = on_line(grooves.inner_radius)
    stop = on_line(grooves.outer_radius) if grooves.outer_radius else None
    outer = grooves.outer_radius or R
    d0 = side.nominal_depth(grooves.inner_radius) + grooves.depth
    d1 = side.nominal_depth(outer) + grooves.depth
    slope = (d1 - d0) / ((stop or 0.0) - start)
    arc = None
    if grooves.inner_end == "runout":
        # Circle above the floor line, tangent to it, through the point one depth above the line's start.
        rho, root = grooves.cutter_radius, math.hypot(1, slope)
        h = grooves.depth / root
        along = math.sqrt(2 * rho * h - h * h)
        # From that point: `h` deeper across the line gives its foot; the tangent point lies `along` further on.
        du, dd = 1 / root, slope / root          # along the line
        nu, nd = -slope / root, 1 / root         # across it, towards more depth
        pu, pd = start, d0 - grooves.depth
        tu, td = pu + h * nu + along * du, pd + h * nd + along * dd
        arc = (tu - rho * nu, td - rho * nd, tu, rho)
    tan_half = math.tan(math.radians(grooves.vee_angle) / 2) if grooves.bottom == "vee" else None
    return Frame(R, math.sin(s), math.cos(s), grooves.width, start, stop, d0, slope,
                 grooves.bottom, tan_half, grooves.inner_end, arc)
