"""Faults of machine files, each with the words of the check that must notice it."""

import math
from dataclasses import replace

from dxf_reading import Edge


def moved(e, place):
    """An edge with each of its points moved by a rigid map."""
    return replace(e, a=place(e.a), b=place(e.b), centre=e.centre and place(e.centre))


def all_moved(place, mirrors=False):
    def change(paths):
        out = []
        for layer, edges, closed in paths:
            edges = [moved(e, place) for e in edges]
            if mirrors:
                edges = [replace(e, sweep=-e.sweep) for e in edges]
            out.append((layer, edges, closed))
        return out
    return change


def turned(degrees):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return lambda p: (p[0] * c - p[1] * s, p[0] * s + p[1] * c)


def rolled(radius):
    """The same turn on the periphery rolled out."""
    return lambda degrees: lambda p: (p[0], p[1] + radius * math.radians(degrees))


def one(layer, change, nth=1, round_one=False):
    """The nth path of a layer changed; `change` takes (layer, edges, closed) and gives a list of such."""
    def apply(paths):
        at = [i for i, path in enumerate(paths) if path[0].startswith(layer) and (path[1][0].centre or not round_one)][nth]
        return paths[:at] + change(*paths[at]) + paths[at + 1:]
    return apply


def shortened(layer, edges, closed):
    e = edges[0]
    k = 1 - 5e-3 / e.length()
    return [(layer, [Edge(e.a, (e.a[0] + (e.b[0] - e.a[0]) * k, e.a[1] + (e.b[1] - e.a[1]) * k)), *edges[1:]], closed)]


def split(layer, edges, closed):
    """The first edge in two, the second part 5 µm long."""
    (_, [short, *rest], _), = shortened(layer, edges, closed)
    return [(layer, [short, Edge(short.b, edges[0].b), *rest], closed)]


def opened(layer, edges, closed):
    return [(layer, [e], False) for e in edges[:-1]]


def there_and_back(layer, edges, closed):
    return [(layer, edges, closed), (layer, [edges[0].reversed()], closed)]


def shifted(by):
    """A path moved by a vector."""
    return lambda layer, edges, closed: [(layer, [moved(e, lambda p: (p[0] + by[0], p[1] + by[1])) for e in edges], closed)]


def reversed_ones(layer):
    """Every path of layers that begin so runs the other way; with no name, every closed one."""
    wanted = lambda k, closed: k.startswith(layer) if layer else closed
    return lambda paths: [(k, [e.reversed() for e in reversed(edges)] if wanted(k, c) else edges, c) for k, edges, c in paths]


def bulged_out(layer, edges, closed):
    """A round inner end that bulges into the groove."""
    return [(layer, [replace(e, sweep=-e.sweep) if e.centre and abs(abs(e.sweep) - math.pi) < 1e-9 else e for e in edges], closed)]


def summed(turn, count, digits=3):
    """Angles added up from a rounded pitch: place k is turned by k times the rounding."""
    error = round(360 / count, digits) - 360 / count

    def change(paths):
        seen, out = {}, []
        for layer, edges, closed in paths:
            k = seen[layer] = seen.get(layer, -1) + 1
            out.append((layer, [moved(e, turn(k * error)) for e in edges], closed))
        return out
    return change


PROFILE = [
    ("inches", "area", all_moved(lambda p: (p[0] / 25.4, p[1] / 25.4))),
    ("a shift of 2 µm", "centroid", all_moved(lambda p: (p[0] + 2e-3, p[1]))),
    ("sides exchanged", "corners", all_moved(lambda p: (40 - p[0], p[1]), mirrors=True)),
    ("a missing edge", "closes", one("TURN_", lambda *_: [])),
    ("an edge twice", "twice", one("TURN_SIDE_A", lambda *path: [path, path])),
    ("an edge twice, the second turned round", "twice", one("TURN_SIDE_B", there_and_back)),
    ("a gap of 5 µm", "closes", one("TURN_BORE", shortened, 0)),
    ("an edge of 5 µm", "tiny", one("TURN_FACE", split, 0)),
    ("a sharp edge for a round one", "area", one("TURN_SIDE_A", lambda layer, e, c: [(layer, [Edge(e[0].a, e[0].b)], c)], 0, True)),
    ("an operation on a layer of another name", "layers", one("TURN_FACE", lambda _, e, c: [("FACE", e, c)], 0)),
]


def grooves(turn, has_round_end):
    """Faults of grooves; `turn` makes a rigid map of degrees about the wheel."""
    out = [
        ("a missing outline", "outline for each", one("GROOVE_EDGE", lambda *_: [])),
        ("a missing centre line", "centre line for each", one("GROOVE_CENTRE", lambda *_: [])),
        ("an outline twice", "twice", one("GROOVE_EDGE", lambda *path: [path, path])),
        ("a groove turned by 0.001°", "pitch", one("GROOVE_CENTRE", lambda layer, e, c: [(layer, [moved(e[0], turn(1e-3))], c)])),
        ("all turned by 0.01°", "centre lines", all_moved(turn(1e-2))),
        ("seen from the wrong side", "centre lines", all_moved(lambda p: (p[0], -p[1]), mirrors=True)),
        ("an outline moved by 2 µm", "outlines' corners", one("GROOVE_EDGE", shifted((0, 2e-3)))),
        ("an open outline", "outline for each", one("GROOVE_EDGE", opened)),
        ("angles summed from a rounded pitch", "pitch", summed(turn, 14)),
        ("centre lines that run inwards", "centre lines", reversed_ones("GROOVE_CENTRE")),
    ]
    return out + [("a round end that bulges inwards", "areas", one("GROOVE_EDGE", bulged_out))] if has_round_end else out


# Of closed paths, which the plain flavour has not.
JOINED = [
    ("outlines that run clockwise", "counter-clockwise", reversed_ones("")),
]


def off_plane(doc):
    next(e for e in doc.modelspace() if e.dxftype() == "LINE").translate(0, 0, 1)


def added(make):
    return lambda doc: make(doc.modelspace())


def with_block(doc):
    doc.blocks.new("PART").add_line((0, 0), (1, 0))
    doc.modelspace().add_blockref("PART", (0, 0))


ATTRIBUTES = {"layer": "TURN_FACE"}
DOCUMENT = [
    ("lettering", "kinds", added(lambda space: space.add_text("SIDE A", dxfattribs=ATTRIBUTES))),
    ("a point", "kinds", added(lambda space: space.add_point((0, 0), ATTRIBUTES))),
    ("a block", "kinds", with_block),
    ("a line off the plane", "kinds", off_plane),
    ("an undeclared layer", "declared", lambda doc: doc.layers.remove(next(iter(doc.modelspace())).dxf.layer)),
]
DOCUMENT_2000 = [
    ("a spline", "kinds", added(lambda space: space.add_spline([(0, 0, 0), (1, 1, 0), (2, 0, 0)], dxfattribs=ATTRIBUTES))),
    ("an ellipse", "kinds", added(lambda space: space.add_ellipse((0, 0), (5, 0), 0.5, dxfattribs=ATTRIBUTES))),
    ("inches in the header", "unit", lambda doc: doc.header.__setitem__("$INSUNITS", 1)),
    ("something on the paper", "model space", lambda doc: doc.layout("Layout1").add_line((0, 0), (1, 0))),
]


def text_replaced(old, new):
    def change(text):
        changed = text.replace(old, new, 1)
        assert changed != text, old
        return changed
    return change


# Of the written text.
TEXT = [
    ("half a file", "is read", lambda text: text[:len(text) // 2]),
    ("a colour that is none", "audit", text_replaced("LINE\n", "LINE\n 62\n300\n")),
    ("a line type that is not there", "audit", text_replaced("  0\nLINE\n", "  0\nLINE\n  6\nNOWHERE\n")),
    ("a number that is none", "is read", text_replaced("\n 10\n", "\n 10\nten")),
]

RELEASE = ("another release", "release", "R2007")


def saved(doc, path, change=None, release=None):
    if release:
        doc.dxfversion = release
    doc.saveas(path)
    if change:
        text = change(path.read_text(encoding="cp1252", errors="replace"))
        path.write_text(text, encoding="cp1252")


