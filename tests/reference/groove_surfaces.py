"""How far a place lies off the surfaces that an order's grooves have, and whether a groove has taken it away.

Places are x, y, z of the wheel with angles counter-clockwise as seen from outside side A, z from side A to side B. Written from the contract and the
grooves' own frames alone.
"""

import math

import numpy as np

from groove_frame import frame


class Side:
    """The grooves of one side."""

    def __init__(self, wheel, grooves):
        self.wheel, self.grooves, self.frame = wheel, grooves, frame(wheel, grooves)
        turned = np.radians(np.array(grooves.angles()) + grooves.skew)
        self.cos, self.sin = np.cos(turned), np.sin(turned)

    def near(self, place, slack):
        """(u, v, depth) of the place in each groove whose plan it may lie in or on the edge of."""
        x, y, z = place
        f, w = self.frame, self.wheel
        us = x * self.cos + y * self.sin - w.radius * f.cos
        vs = y * self.cos - x * self.sin + w.radius * f.sin
        stop = math.inf if f.stop is None else f.stop
        depth = z if self.grooves.where == "side_a" else w.thickness - z
        hits = (abs(vs) < f.width / 2 + slack) & (us > f.start - slack) & (us < stop + slack) & (us > -w.radius * f.cos)
        return [(us[i], vs[i], depth) for i in np.flatnonzero(hits)]

    def bottom(self, u, v, depth):
        """Distance below the bottom, towards more depth."""
        f, half = self.frame, self.frame.width / 2
        if f.bottom == "round":
            below = depth - (f.centre_floor(u) - half)
            # beside the tube's upper half is the wall
            return math.hypot(v, below) - half if below > 0 else -math.inf
        return depth - f.floor(u, max(-half, min(half, v)))

    def ends(self, u, v):
        """Distance inside the plan from its nearest edge."""
        f, half = self.frame, self.frame.width / 2
        inside = [half - abs(v)]
        if f.inner_end == "round" and u < f.start + half:
            inside.append(half - math.hypot(u - f.start - half, v))
        else:
            inside.append(u - f.start)
        if f.stop is not None:
            inside.append(f.stop - u)
        return min(inside)

    def off(self, place, slack):
        """Distances from the surfaces of grooves near the place."""
        for u, v, depth in self.near(place, slack):
            yield abs(self.bottom(u, v, depth))
            yield abs(self.ends(u, v))

    def taken(self, place, slack):
        """How deep the place lies in what a groove takes away; below 0 outside of all."""
        return max((min(-self.bottom(u, v, d), self.ends(u, v)) for u, v, d in self.near(place, slack)), default=-math.inf)


class Face:
    """The grooves of the face."""

    def __init__(self, wheel, grooves):
        self.wheel, self.grooves = wheel, grooves
        self.floor = wheel.radius - grooves.depth
        self.twist = math.tan(math.radians(grooves.helix)) / wheel.radius
        self.half = grooves.width / 2 / math.cos(math.radians(grooves.helix))
        self.angles = np.radians(np.array(grooves.angles()))

    def near(self, place, slack):
        x, y, z = place
        turned = self.angles + self.twist * z
        us, vs = x * np.cos(turned) + y * np.sin(turned), y * np.cos(turned) - x * np.sin(turned)
        hits = (abs(vs) < self.half + slack) & (us > self.floor - slack)
        return [(us[i], vs[i]) for i in np.flatnonzero(hits)]

    def inside(self, u, v):
        """Distance inside the groove's section from its nearest edge, or a bound of it."""
        if self.grooves.bottom == "round":
            across = self.grooves.width / 2
            if u < self.floor + across:
                # an ellipse across the wheel's axis, a circle across the groove
                return across - math.hypot(u - self.floor - across, v * across / self.half)
            return self.half - abs(v)
        return min(self.half - abs(v), u - self.floor)

    def off(self, place, slack):
        return (abs(self.inside(u, v)) for u, v in self.near(place, slack))

    def taken(self, place, slack):
        return max((self.inside(u, v) for u, v in self.near(place, slack)), default=-math.inf)


def of(wheel):
    """The sets of grooves of a wheel."""
    return [Face(wheel, g) if g.where == "face" else Side(wheel, g) for g in wheel.groove_sets()]
