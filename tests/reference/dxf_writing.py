"""Writes a wheel's machine files with ezdxf: what the DXF judge proves itself on, and what speed is compared with."""

import math

import ezdxf

import dxf_wheel

RELEASES = {"r12": "R12", "r12-joined": "R12", "2000": "R2000"}
MILLIMETRES = 4         # $INSUNITS


def add_edge(space, layer, e):
    if e.centre is None:
        space.add_line(e.a, e.b, {"layer": layer})
        return
    at = lambda p: math.degrees(math.atan2(p[1] - e.centre[1], p[0] - e.centre[0])) % 360
    ends = (at(e.a), at(e.b)) if e.sweep > 0 else (at(e.b), at(e.a))
    space.add_arc(e.centre, math.dist(e.a, e.centre), *ends, dxfattribs={"layer": layer})


def add_loop(space, layer, edges, flavour):
    corners = [(*e.a, math.tan(e.sweep / 4) if e.centre else 0.0) for e in edges]
    if flavour == "r12":
        for e in edges:
            add_edge(space, layer, e)
    elif flavour == "r12-joined":
        space.add_polyline2d(corners, format="xyb", close=True, dxfattribs={"layer": layer})
    else:
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})


def operation(e, wheel):
    """Which layer an edge of the profile belongs to."""
    level = lambda i, value: e.centre is None and all(abs(p[i] - value) < 1e-12 for p in (e.a, e.b))
    if level(1, wheel.radius):
        return "TURN_FACE"
    if level(1, wheel.bore):
        return "TURN_BORE"
    return "TURN_SIDE_A" if e.middle()[0] < wheel.thickness / 2 else "TURN_SIDE_B"


def paths(wheel, flavour, groove_set, end):
    """[(layer, edges, closed)] of the profile, or of a set of grooves."""
    if groove_set is None:
        edges = dxf_wheel.profile(wheel)
        out = [(operation(e, wheel), [e], False) for e in edges]
        return out if flavour == "r12" else [*out, ("REF_SECTION", edges, True)]
    laid = dxf_wheel.Grooves(wheel, groove_set)
    return [(f"GROOVE_CENTRE_{end}", [dxf_wheel.Edge(a, b)], False) for a, b in laid.centre_lines] + \
           [(f"GROOVE_EDGE_{end}", outline, True) for outline in laid.outlines]


def document(all_paths, flavour):
    # Release 12 has no unit in its header.
    doc = ezdxf.new(RELEASES[flavour], units=MILLIMETRES if flavour == "2000" else 0)
    space = doc.modelspace()
    for layer in sorted({layer for layer, _, _ in all_paths}):
        doc.layers.add(layer)
    for layer, edges, closed in all_paths:
        if closed:
            add_loop(space, layer, edges, flavour)
        else:
            for e in edges:
                add_edge(space, layer, e)
    return doc
