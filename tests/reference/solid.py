"""The wheel as a solid in a solid-modelling kernel (Open CASCADE, through OCP).

The half-section is revolved, one tool is built per set of grooves and copied to
every angle, and all of them are cut in one boolean. Where the pattern repeats m
times round the wheel, one sector of 360/m degrees is built: everything below is
then m times the sector's, and the static moment is zero.

Tools whose floor is a sum of two curves (a round bottom on a cutter's arc) and
helical tools are sewn from rational Bezier surfaces, which hold both exactly
(the helix to 1e-15 of a turn, by a polynomial), so nothing is approximated but
the kernel's own intersection curves.
"""

import math
from dataclasses import dataclass

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import (BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeSolid,
                                BRepBuilderAPI_MakeWire, BRepBuilderAPI_Sewing, BRepBuilderAPI_Transform)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.GC import GC_MakeArcOfCircle
from OCP.Geom import Geom_BezierCurve, Geom_BezierSurface
from OCP.GProp import GProp_GProps
from OCP.collections import Array1_double, Array1_gp_Pnt, Array2_double, Array2_gp_Pnt, List_TopoDS_Shape
from OCP.TopAbs import TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec

from groove_frame import frame
from half_section import contour

AXIS = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
EPS = 1e-10     # relative, asked of the kernel's integration


class KernelError(Exception):
    """The kernel did not build what was asked; the comparison must fail, not pass."""


# --- small shape helpers -----------------------------------------------------------------

def line_edge(p, q):
    return BRepBuilderAPI_MakeEdge(gp_Pnt(*p), gp_Pnt(*q)).Edge()


def arc_edge(p, m, q):
    return BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(gp_Pnt(*p), gp_Pnt(*m), gp_Pnt(*q)).Value()).Edge()


def planar_face(edges):
    wire = BRepBuilderAPI_MakeWire()
    for edge in edges:
        wire.Add(edge)
    if not wire.IsDone():
        raise KernelError("a wire does not close")
    face = BRepBuilderAPI_MakeFace(wire.Wire(), True)
    if not face.IsDone():
        raise KernelError("a wire is not plane")
    return face.Face()


def polygon_face(points):
    return planar_face([line_edge(p, q) for p, q in zip(points, points[1:] + points[:1])])


def prism(face, vector):
    return BRepPrimAPI_MakePrism(face, gp_Vec(*vector)).Shape()


def moved(shape, trsf):
    return BRepBuilderAPI_Transform(shape, trsf, True).Shape()


def turned(shape, angle):
    trsf = gp_Trsf()
    trsf.SetRotation(AXIS, angle)
    return moved(shape, trsf)


def shapes(*items):
    out = List_TopoDS_Shape()
    for item in items:
        out.Append(item)
    return out


def boolean(kind, base, tools):
    op = kind()
    op.SetArguments(shapes(base))
    op.SetTools(shapes(*tools))
    op.SetRunParallel(False)
    op.Build()
    if not op.IsDone():
        raise KernelError("the boolean did not finish")
    result = op.Shape()
    if not BRepCheck_Analyzer(result).IsValid():
        raise KernelError("the boolean's result is not a valid solid")
    return result


def explore(shape, kind):
    out, walk = [], TopExp_Explorer(shape, kind)
    while walk.More():
        out.append(walk.Current())
        walk.Next()
    return out


# --- rational Bezier pieces ----------------------------------------------------------------
# A segment is a list of (point, weight), point in any dimension.

def straight(p, q):
    return [(p, 1.0), (q, 1.0)]


def round_arc(centre, radius, a0, a1):
    """Circular arc in the plane, less than half a turn."""
    mid, half = (a0 + a1) / 2, (a1 - a0) / 2
    w = math.cos(half)
    at = lambda a, k: (centre[0] + k * math.cos(a), centre[1] + k * math.sin(a))
    return [(at(a0, radius), 1.0), (at(mid, radius / w), w), (at(a1, radius), 1.0)]


def bezier_face(grid):
    """Face of a grid of (point, weight); a parallelogram becomes a plane face."""
    if len(grid) == 2 == len(grid[0]):
        (a, b), (d, c) = [[p for p, _ in row] for row in grid]
        return polygon_face([a, b, c, d])
    poles, weights = Array2_gp_Pnt(1, len(grid), 1, len(grid[0])), Array2_double(1, len(grid), 1, len(grid[0]))
    for i, row in enumerate(grid, 1):
        for j, (p, w) in enumerate(row, 1):
            poles.SetValue(i, j, gp_Pnt(*p))
            weights.SetValue(i, j, w)
    return BRepBuilderAPI_MakeFace(Geom_BezierSurface(poles, weights), 1e-9).Face()


def bezier_edge(segment):
    if len(segment) == 2:
        return line_edge(segment[0][0], segment[1][0])
    poles, weights = Array1_gp_Pnt(1, len(segment)), Array1_double(1, len(segment))
    for i, (p, w) in enumerate(segment, 1):
        poles.SetValue(i, gp_Pnt(*p))
        weights.SetValue(i, w)
    return BRepBuilderAPI_MakeEdge(Geom_BezierCurve(poles, weights)).Edge()


def sewn(faces):
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    if sewing.NbFreeEdges():
        raise KernelError("a sewn tool is open")
    shells = explore(sewing.SewedShape(), TopAbs_SHELL)
    if len(shells) != 1:
        raise KernelError("a sewn tool is not one shell")
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shells[0])).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    if not BRepCheck_Analyzer(solid).IsValid():
        raise KernelError("a sewn tool is not valid")
    return solid


# --- side groove tools, in the frame x = R cos s + u, y = v - R sin s, z = depth --------------

def side_tool(wheel, grooves):
    """Solids that together are the tool."""
    f = frame(wheel, grooves)
    end = f.stop if f.stop is not None else f.radius * (1 - f.cos) + wheel.radius * 0.02 + 1
    ox, oy, half = f.radius * f.cos, -f.radius * f.sin, f.width / 2
    at = lambda u, v, w: (ox + u, oy + v, w)
    high = -(1 + f.width + abs(f.slope) * (end - f.start))
    tip = run_out_tip(wheel, grooves, f)
    if f.arc and f.bottom != "flat":
        return [run_out_tool(f, tip, end, high, at)]
    if f.bottom == "flat":
        span = half if f.inner_end != "round" else f.width
        edges = flat_outline(f, tip, end, high, lambda u, w: at(u, -span, w))
        tool = prism(planar_face(edges), (0, 2 * span, 0))
    else:
        wide = f.inner_end == "round" and f.bottom == "vee"
        face = planar_face(cross_profile(f, f.start, high, at, f.width if wide else half))
        tool = prism(face, (end - f.start, 0, f.slope * (end - f.start)))
    if f.inner_end != "round":
        return [tool]
    c, low = f.start + half, max(f.line(f.start), f.line(end)) + 1 + f.width
    plan = prism(planar_face([
        line_edge(at(end, -half, high), at(c, -half, high)),
        arc_edge(at(c, -half, high), at(f.start, 0, high), at(c, half, high)),
        line_edge(at(c, half, high), at(end, half, high)),
        line_edge(at(end, half, high), at(end, -half, high))]), (0, 0, low - high))
    if f.bottom != "round":
        return [boolean(BRepAlgoAPI_Common, tool, [plan])]
    # The round bottom meets the round end in a plane curve, on w = line(u) - half + (c - u). Each part is taken on
    # its own side of that plane: the kernel cannot be trusted with two curved surfaces touching along the walls.
    split = lambda u: f.line(u) - half + c - u
    reach = 2 * (end - f.start) + 4 * f.width
    u0, u1 = f.start - reach, end + reach
    far = reach * 4 * (1 + abs(f.slope)) + abs(low) + abs(high)
    side = lambda w: prism(polygon_face([at(u0, -2 * f.width, split(u0)), at(u1, -2 * f.width, split(u1)),
                                         at(u1, -2 * f.width, w), at(u0, -2 * f.width, w)]), (0, 4 * f.width, 0))
    return [boolean(BRepAlgoAPI_Common, tool, [side(far)]), boolean(BRepAlgoAPI_Common, plan, [side(-far)])]


def run_out_tip(wheel, grooves, f):
    """(u, depth) where the tool's arc begins.

    The groove ends in an edge that touches the surface in one point, from above or from below: the kernel loses
    accuracy there, or the whole groove. So the arc is led on above the surface where that removes nothing more, or
    no more than a sliver of 2e-7 of the groove: on a taper the surface at the ends of that edge may stand a little
    above its middle, by `step`, and the arc leaves it within step / (rise - fall). Where a skewed edge stands out at
    one end, the sliver is a pyramid over half the width: step² / (12 (rise - fall)) for each mm of the width.
    """
    if not f.arc:
        return None
    side, r, d = wheel.side_of(grooves), grooves.inner_radius, 1e-6 * wheel.radius
    cu, cd, _, rho = f.arc
    tip = (f.start, f.centre_floor(f.start))
    across = math.sqrt(max(0.0, rho * rho - (cu - f.start) ** 2))
    if across < 1e-6 * rho:      # the arc begins upright and cannot be led on
        return tip
    rise, at = (cu - f.start) / across, side.nominal_depth
    fall = max(abs(at(r + d) - at(r)), abs(at(r) - at(r - d))) / d
    step = max(0.0, *(at(r) - at(f.r(f.start, v)) for v in (-f.width / 2, f.width / 2)))
    length = (f.stop if f.stop is not None else 0.0) - f.start
    if fall > rise / 2 or step * step / (12 * (rise - fall)) > 2e-7 * grooves.depth * length:
        return tip
    w = tip[1] - min(0.1 * rho, 1.0)
    return (cu - math.sqrt(rho * rho - (w - cd) ** 2), w)


def flat_outline(f, tip, end, high, at):
    """Outline of a flat-bottomed groove along its centre line."""
    if not f.arc:
        pts = [at(f.start, high), at(end, high), at(end, f.line(end)), at(f.start, f.line(f.start))]
        return [line_edge(p, q) for p, q in zip(pts, pts[1:] + pts[:1])]
    cu, cd, tu, rho = f.arc
    a0, a1 = (math.atan2(w - cd, u - cu) for u, w in (tip, (tu, f.line(tu))))
    mid = (cu + rho * math.cos((a0 + a1) / 2), cd + rho * math.sin((a0 + a1) / 2))
    touch = at(tu, f.line(tu))
    corners = [touch, at(end, f.line(end)), at(end, high), at(tip[0], high), at(*tip)]
    return [arc_edge(at(*tip), at(*mid), touch)] + [line_edge(p, q) for p, q in zip(corners, corners[1:])]


def cross_profile(f, u, high, at, span):
    """Outline of the groove across its centre line, at u."""
    w = f.line(u)
    if f.bottom == "vee":
        low = w - span / f.tan_half_vee
        pts = [at(u, -span, high - f.width / f.tan_half_vee), at(u, -span, low), at(u, 0, w),
               at(u, span, low), at(u, span, high - f.width / f.tan_half_vee)]
        return [line_edge(p, q) for p, q in zip(pts, pts[1:] + pts[:1])]
    top, low = high, w - span
    return [line_edge(at(u, -span, top), at(u, -span, low)),
            arc_edge(at(u, -span, low), at(u, 0, w), at(u, span, low)),
            line_edge(at(u, span, low), at(u, span, top)), line_edge(at(u, span, top), at(u, -span, top))]


def run_out_tool(f, tip, end, high, at):
    """A groove whose cross-section (round or vee) follows the cutter's arc, then the straight line."""
    cu, cd, tu, rho = f.arc
    half = f.width / 2
    a0, a1 = math.atan2(tip[1] - cd, tip[0] - cu), math.atan2(f.line(tu) - cd, tu - cu)
    path = [round_arc((cu, cd), rho, a0, a1), straight((tu, f.line(tu)), (end, f.line(end)))]
    if f.bottom == "vee":
        lift = half / f.tan_half_vee
        across = [straight((-half, -lift), (0, 0)), straight((0, 0), (half, -lift))]
    else:
        lift = half
        # Depth grows downwards: the half circle is the lower one about (0, -half).
        across = [round_arc((0, -half), half, math.pi, math.pi / 2), round_arc((0, -half), half, math.pi / 2, 0)]
    high = min(high, tip[1] - lift - 1)
    add = lambda p, c: at(p[0], c[0], p[1] + c[1])
    faces = [bezier_face([[(add(p, c), wp * wc) for c, wc in s] for p, wp in t]) for t in path for s in across]
    for v in (-half, half):
        edges = [bezier_edge([(add(p, (v, -lift)), w) for p, w in t]) for t in path]
        last, first = add(path[-1][-1][0], (v, -lift)), add(tip, (v, -lift))
        pts = [last, at(end, v, high), at(tip[0], v, high), first]
        faces.append(planar_face(edges + [line_edge(p, q) for p, q in zip(pts, pts[1:])]))
    for u, w in (tip, path[-1][-1][0]):
        edges = [bezier_edge([(add((u, w), c), wc) for c, wc in s]) for s in across]
        pts = [at(u, half, w - lift), at(u, half, high), at(u, -half, high), at(u, -half, w - lift)]
        faces.append(planar_face(edges + [line_edge(p, q) for p, q in zip(pts, pts[1:])]))
    faces.append(polygon_face([at(tip[0], -half, high), at(end, -half, high), at(end, half, high), at(tip[0], half, high)]))
    return sewn(faces)


# --- face groove tools, groove at angle 0 at z = 0 ---------------------------------------------

def face_tool(wheel, grooves):
    R, T, helix = wheel.radius, wheel.thickness, math.radians(grooves.helix)
    half = grooves.width / 2 / math.cos(helix)
    low, high = R - grooves.depth, R * 1.05 + 2
    if grooves.bottom == "flat":
        rim = [straight((low, -half), (low, half))]
        ends = (low, low)
    else:
        rho = grooves.width / 2
        squash = lambda seg: [((p[0], p[1] * half / rho), w) for p, w in seg]
        c = (low + rho, 0.0)
        rim = [squash(round_arc(c, rho, -math.pi / 2, -math.pi)), squash(round_arc(c, rho, math.pi, math.pi / 2))]
        ends = (low + rho, low + rho)
    outline = rim + [straight((ends[1], half), (high, half)), straight((high, half), (high, -half)),
                     straight((high, -half), (ends[0], -half))]
    z0, z1 = -1.0, T + 1.0
    if helix == 0:
        face = planar_face([bezier_edge([((*p, z0), w) for p, w in s]) for s in outline])
        return prism(face, (0, 0, z1 - z0))
    rate = math.tan(helix) / R
    # The interpolation error of a sine over the half range h is below h^(n+1) / (2^n (n+1)!).
    h = abs(rate) * (z1 - z0) / 2
    degree = next(n for n in range(2, 40) if h ** (n + 1) / 2 ** n / math.factorial(n + 1) < 1e-15)
    cos, sin = (bezier_of(lambda z: f(rate * z), z0, z1, degree) for f in (math.cos, math.sin))
    n = len(cos) - 1
    spin = lambda p, i: (p[0] * cos[i] - p[1] * sin[i], p[0] * sin[i] + p[1] * cos[i], z0 + (z1 - z0) * i / n)
    faces = [bezier_face([[(spin(p, i), w) for p, w in s] for i in range(n + 1)]) for s in outline]
    for i in (0, n):
        faces.append(planar_face([bezier_edge([(spin(p, i), w) for p, w in s]) for s in outline]))
    return sewn(faces)


def bezier_of(f, a, b, degree):
    """Bezier coefficients of the polynomial through f at Chebyshev nodes."""
    t = (1 - np.cos(np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1))) / 2
    basis = np.array([[math.comb(degree, i) * x ** i * (1 - x) ** (degree - i) for i in range(degree + 1)] for x in t])
    return np.linalg.solve(basis, [f(a + (b - a) * x) for x in t]).tolist()


# --- the wheel -----------------------------------------------------------------------------

@dataclass(frozen=True)
class Mass:
    """Volume and moments of a solid of unit density, z from side A's datum."""
    volume: float
    centroid: tuple
    polar: float
    transverse: float

    @property
    def static(self):
        return self.volume * math.hypot(*self.centroid[:2])


def measured(shape, repeats=1):
    g = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, g, EPS, True, False)
    v, c, m = g.Mass(), g.CentreOfMass(), g.MatrixOfInertia()
    off = v * (c.X() ** 2 + c.Y() ** 2)
    polar = m.Value(3, 3) + off
    zz = (m.Value(1, 1) + m.Value(2, 2) - m.Value(3, 3)) / 2
    # a whole wheel's own centroid; sectors that repeat have theirs on the axis. The transverse moment is about it, the mean over all directions
    xy, to_centroid = ((c.X(), c.Y()), off / 2) if repeats == 1 else ((0.0, 0.0), 0.0)
    return Mass(v * repeats, (*xy, c.Z()), polar * repeats, (polar / 2 + zz - to_centroid) * repeats)


def section_face(wheel):
    edges = []
    for a, m, b in contour(wheel):
        to3 = lambda p: (p[0], 0.0, p[1])
        edges.append(arc_edge(to3(a), to3(m), to3(b)) if m else line_edge(to3(a), to3(b)))
    return planar_face(edges)


def section_properties(wheel):
    """Area, centroid r and z of the half-section."""
    g = GProp_GProps()
    BRepGProp.SurfaceProperties_s(section_face(wheel), g, EPS, False)
    return g.Mass(), g.CentreOfMass().X(), g.CentreOfMass().Z()


def plain(wheel, angle=2 * math.pi, first=0.0):
    """The solid of revolution from the angle `first` on, or a sector of it."""
    face = section_face(wheel)
    make = BRepPrimAPI_MakeRevol(face, AXIS) if angle >= 2 * math.pi else BRepPrimAPI_MakeRevol(face, AXIS, angle)
    return turned(make.Shape(), first)


def repeats(wheel):
    sets = wheel.groove_sets()
    if not sets or any(g.omit for g in sets):
        return 1
    return math.gcd(*(g.count for g in sets))


def tool_of(wheel, grooves):
    """Tool of one set at angle 0, in the wheel's own axes."""
    if grooves.where == "face":
        return [face_tool(wheel, grooves)]
    tools = [turned(t, math.radians(grooves.skew)) for t in side_tool(wheel, grooves)]
    if grooves.where == "side_b":
        mirror, shift = gp_Trsf(), gp_Trsf()
        mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)))
        shift.SetTranslation(gp_Vec(0, 0, wheel.thickness))
        tools = [moved(moved(t, mirror), shift) for t in tools]
    return tools


def reach(wheel, grooves):
    """Range of angles, relative to its own, that one groove covers (radians, generous)."""
    if grooves.where == "face":
        half = math.asin(min(1.0, grooves.width / math.cos(math.radians(grooves.helix)) / (wheel.radius - grooves.depth)))
        turn = math.tan(math.radians(grooves.helix)) * wheel.thickness / wheel.radius
        return min(0.0, turn) - half, max(0.0, turn) + half
    f = frame(wheel, grooves)
    end = f.stop if f.stop is not None else f.radius * (1 - f.cos)
    span = [math.atan2(y, x) for i in range(41) for v in (-f.width, f.width)
            for x, y in [f.to_world(f.start + (end - f.start) * i / 40, v, 0.0)]]
    return min(span) - 0.002, max(span) + 0.002


def clearest_angle(spans, sector):
    """The angle within a sector that is farthest from every groove.

    A groove across the seam of the closed faces, or across a sector's wall, costs the kernel accuracy and has
    been seen to make it lose the groove altogether.
    """
    gap = lambda x, low, high: min(((low - x) % sector), ((x - high) % sector)) if (x - low) % sector > high - low else 0.0
    tries = [sector * (i + 0.4137) / 997 for i in range(997)]
    return max(tries, key=lambda x: min((gap(x, *s) for s in spans), default=0.0))


def stock_and_tools(wheel, m=None):
    """The plain wheel, or one of its m equal sectors, every tool that reaches it, and m."""
    m = repeats(wheel) if m is None else m
    sector = 2 * math.pi / m
    placed = [(g, math.radians(angle), reach(wheel, g)) for g in wheel.groove_sets() for angle in g.angles()]
    first = clearest_angle({(a + low, a + high) for _, a, (low, high) in placed}, sector)
    tools, protos = [], {g.where: tool_of(wheel, g) for g in wheel.groove_sets()}
    for g, a, (low, high) in placed:
        turns = (first - a - high) // (2 * math.pi)
        hits = [a + k * 2 * math.pi for k in range(int(turns), int(turns) + 3)]
        if m == 1 or any(x + high > first and x + low < first + sector for x in hits):
            tools += [turned(t, a) for t in protos[g.where]]
    return plain(wheel, sector, first), tools, m


def removed_alone(wheel, grooves):
    """Volume one groove removes when it is the only one; the seam lies opposite."""
    low, high = reach(wheel, grooves)
    return measured(boolean(BRepAlgoAPI_Common, plain(wheel, first=math.pi + (low + high) / 2), tool_of(wheel, grooves))).volume


def wheel_properties(wheel, m=None):
    """The finished wheel's Mass, and the volume all grooves remove (by a boolean of its own)."""
    base, tools, m = stock_and_tools(wheel, m)
    if not tools:
        return measured(base, m), 0.0
    cut = boolean(BRepAlgoAPI_Cut, base, tools)
    if len(explore(cut, TopAbs_SOLID)) != 1:
        raise KernelError("the wheel is not one solid")
    mass = measured(cut, m)
    removed = measured(boolean(BRepAlgoAPI_Common, base, tools), m).volume
    whole = measured(base, m).volume
    if abs(whole - removed - mass.volume) > 1e-7 * whole:
        raise KernelError("what is cut and what is left do not add up to the plain wheel")
    return mass, removed
