"""What the machine files of a wheel must hold, worked out from the order file's words alone.

The frames are those the files state: the profile with x along the axis from side A and y the radius; the grooves of a side as
seen from outside that side, groove 1 on +x (side B mirrored); the face rolled out at the outside diameter, groove 1 at the origin.
"""

import math

from dxf_reading import Edge
from groove_frame import frame
from half_section import contour


def profile(wheel):
    """Edges of the half-section in (z, r), counter-clockwise."""
    def edge(start, mid, end):
        a, b = (start[1], start[0]), (end[1], end[0])
        if mid is None:
            return Edge(a, b)
        m = (mid[1], mid[0])
        # Centre of the circle through three places: where two bisectors cross.
        (ux, uy), (vx, vy) = (m[0] - a[0], m[1] - a[1]), (b[0] - a[0], b[1] - a[1])
        d, uu, vv = 2 * (ux * vy - uy * vx), ux * ux + uy * uy, vx * vx + vy * vy
        c = (a[0] + (vy * uu - uy * vv) / d, a[1] + (ux * vv - vx * uu) / d)
        turn = math.atan2(b[1] - c[1], b[0] - c[0]) - math.atan2(a[1] - c[1], a[0] - c[0])
        turn = (turn + math.pi) % (2 * math.pi) - math.pi
        return Edge(a, b, c, turn)
    return [edge(*e).reversed() for e in reversed(contour(wheel))]


class Grooves:
    """The grooves of one set as their file shows them: `centre_lines` and `outlines`, in the order of their numbers."""

    def __init__(self, wheel, grooves):
        self.wheel, self.grooves = wheel, grooves
        # From groove 1, from the number and never from a sum.
        self.turns = [2 * math.pi * (k - 1) / grooves.count for k in range(1, grooves.count + 1) if k not in grooves.omit]
        if grooves.where == "face":
            self.centre_lines = [self.face_line(t) for t in self.turns]
            self.outlines = [self.face_outline(t) for t in self.turns]
        else:
            self.frame = frame(wheel, grooves)
            self.centre_lines = [self.side_line(t) for t in self.turns]
            self.outlines = [self.side_outline(t) for t in self.turns]

    def face_line(self, turn):
        w, y = self.wheel, self.wheel.radius * turn
        return (0.0, y), (w.thickness, y + w.thickness * math.tan(math.radians(self.grooves.helix)))

    def face_outline(self, turn):
        (x0, y0), (x1, y1) = self.face_line(turn)
        half = self.grooves.width / math.cos(math.radians(self.grooves.helix)) / 2
        corners = [(x0, y0 - half), (x1, y1 - half), (x1, y1 + half), (x0, y0 + half)]
        return [Edge(a, b) for a, b in zip(corners, corners[1:] + corners[:1])]

    def laid(self, u, v, turn):
        x, y = self.frame.to_world(u, v, turn)
        return (x, -y) if self.grooves.where == "side_b" else (x, y)

    def side_line(self, turn):
        f = self.frame
        return self.laid(f.start, 0.0, turn), self.laid(f.stop or 0.0, 0.0, turn)

    def side_outline(self, turn):
        f, half = self.frame, self.frame.width / 2
        at = lambda u, v: self.laid(u, v, turn)
        mirrored = -1 if self.grooves.where == "side_b" else 1
        inner = f.start + (half if f.inner_end == "round" else 0.0)
        low, high = (f.stop, f.stop) if f.stop else (f.u_at(f.radius, -half), f.u_at(f.radius, half))
        edges = [Edge(at(inner, -half), at(low, -half)), Edge(at(low, -half), at(high, half)),
                 Edge(at(high, half), at(inner, half)), Edge(at(inner, half), at(inner, -half))]
        if not f.stop:
            ends = [math.atan2(v - f.radius * f.sin, u + f.radius * f.cos) for u, v in ((low, -half), (high, half))]
            edges[1] = Edge(edges[1].a, edges[1].b, (0.0, 0.0), mirrored * (ends[1] - ends[0]))
        if f.inner_end == "round":
            edges[3] = Edge(edges[3].a, edges[3].b, at(inner, 0.0), mirrored * math.pi)
        return edges if mirrored > 0 else [e.reversed() for e in reversed(edges)]


def parts(wheel):
    """(word in the file's name, end of its layers' names, grooves or None for the profile), in the order they are cut."""
    ends = {"side_a": "SIDE_A", "side_b": "SIDE_B", "face": "FACE"}
    sets = [("grooves-" + g.where.replace("_", "-"), ends[g.where], g) for g in wheel.groove_sets()]
    return [("profile", "", None), *sets]
