"""Reads a machine DXF strictly and rebuilds what a receiving program would: contours, lengths, areas."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass, field

import ezdxf

CUT_KINDS = {"LINE", "ARC", "CIRCLE", "POLYLINE", "LWPOLYLINE"}
STEP = 1e-6         # the printed decimals


@dataclass
class Edge:
    """A straight piece, or an arc with its centre, radius and swept angle (counter-clockwise positive)."""
    a: tuple
    b: tuple
    centre: tuple | None = None
    sweep: float = 0.0

    def length(self):
        if self.centre is None:
            return math.dist(self.a, self.b)
        return math.dist(self.a, self.centre) * abs(self.sweep)

    def area(self):
        """½∮(x dy − y dx) along the edge."""
        chord = (self.a[0] * self.b[1] - self.b[0] * self.a[1]) / 2
        if self.centre is None:
            return chord
        r = math.dist(self.a, self.centre)
        return chord + r * r / 2 * (self.sweep - math.sin(self.sweep))

    def moments(self):
        """∬x dA and ∬y dA of the area between the edge and the origin: a triangle, and a circle's segment on its chord."""
        triangle = (self.a[0] * self.b[1] - self.b[0] * self.a[1]) / 2
        out = [triangle * (p + q) / 3 for p, q in zip(self.a, self.b)]
        if self.centre is None:
            return out
        r, t = math.dist(self.a, self.centre), math.atan2(self.a[1] - self.centre[1], self.a[0] - self.centre[0]) + self.sweep / 2
        segment = r * r / 2 * (self.sweep - math.sin(self.sweep))
        # Segment area times its centroid's distance from the centre is 2/3 (r sin(sweep/2))^3 (textbooks of mechanics).
        away = 2 / 3 * (r * math.sin(self.sweep / 2)) ** 3
        return [o + segment * c + away * d for o, c, d in zip(out, self.centre, (math.cos(t), math.sin(t)))]

    def middle(self):
        return self.points(2)[1] if self.centre else ((self.a[0] + self.b[0]) / 2, (self.a[1] + self.b[1]) / 2)

    def reversed(self):
        return Edge(self.b, self.a, self.centre, -self.sweep)

    def points(self, n=64):
        """Places along it, for a picture."""
        if self.centre is None:
            return [self.a, self.b]
        r, t = math.dist(self.a, self.centre), math.atan2(self.a[1] - self.centre[1], self.a[0] - self.centre[0])
        return [(self.centre[0] + r * math.cos(t + self.sweep * i / n), self.centre[1] + r * math.sin(t + self.sweep * i / n))
                for i in range(n + 1)]


def bulged(a, b, bulge):
    if not bulge:
        return Edge(a, b)
    sweep = 4 * math.atan(bulge)
    # The centre lies on the chord's bisector, (1/b − b)/4 chords to the left of it.
    k = (1 / bulge - bulge) / 4
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    return Edge(a, b, (mx - (b[1] - a[1]) * k, my + (b[0] - a[0]) * k), sweep)


@dataclass
class Layer:
    """`loops` are closed by themselves, `runs` open polylines, `loose` single lines and arcs."""
    loops: list = field(default_factory=list)
    runs: list = field(default_factory=list)
    loose: list = field(default_factory=list)
    kinds: Counter = field(default_factory=Counter)

    def edges(self):
        return [e for run in self.loops + self.runs for e in run] + self.loose


def read(path):
    """The document, layers by name, and complaints about places off z = 0."""
    doc = ezdxf.readfile(path)
    layers, complaints = defaultdict(Layer), []
    for e in doc.modelspace():
        layer, kind = layers[e.dxf.layer], e.dxftype()
        layer.kinds[kind] += 1
        flat = lambda p: (p[0], p[1])
        if kind == "LINE":
            layer.loose.append(Edge(flat(e.dxf.start), flat(e.dxf.end)))
            if e.dxf.start[2] or e.dxf.end[2]:
                complaints.append("a LINE off z = 0")
        elif kind in ("ARC", "CIRCLE"):
            c, r = flat(e.dxf.center), e.dxf.radius
            if e.dxf.center[2] or tuple(e.dxf.extrusion) != (0, 0, 1):
                complaints.append(f"{kind} off z = 0")
            if kind == "CIRCLE":
                start = (c[0] + r, c[1])
                layer.loops.append([Edge(start, start, c, 2 * math.pi)])
            else:
                a0 = math.radians(e.dxf.start_angle)
                sweep = math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360)
                at = lambda t: (c[0] + r * math.cos(t), c[1] + r * math.sin(t))
                layer.loose.append(Edge(at(a0), at(a0 + sweep), c, sweep))
        elif kind in ("POLYLINE", "LWPOLYLINE"):
            if kind == "POLYLINE":
                pts = [((v.dxf.location[0], v.dxf.location[1]), v.dxf.get("bulge", 0)) for v in e.vertices]
                closed = e.is_closed
            else:
                pts = [((x, y), b) for x, y, b in e.get_points("xyb")]
                closed = e.closed
            pairs = list(zip(pts, pts[1:])) + ([(pts[-1], pts[0])] if closed else [])
            run = [bulged(p, q, b) for (p, b), (q, _) in pairs]
            (layer.loops if closed else layer.runs).append(run)
    return doc, dict(layers), complaints


def joined(edges, reach=2 * STEP):
    """Chains loose edges end to end: closed loops and open runs."""
    ends = defaultdict(list)
    key = lambda p: (round(p[0] / reach), round(p[1] / reach))
    around = lambda p: [(key(p)[0] + i, key(p)[1] + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    for i, e in enumerate(edges):
        ends[key(e.a)].append(i)
        ends[key(e.b)].append(i)
    free, loops, runs = set(range(len(edges))), [], []

    def next_at(p):
        for k in around(p):
            for i in ends[k]:
                if i in free and (math.dist(edges[i].a, p) <= reach or math.dist(edges[i].b, p) <= reach):
                    return i
        return None

    while free:
        i = min(free)
        free.remove(i)
        chain = [edges[i]]
        while (j := next_at(chain[-1].b)) is not None:
            free.remove(j)
            e = edges[j]
            chain.append(e if math.dist(e.a, chain[-1].b) <= reach else e.reversed())
        while (j := next_at(chain[0].a)) is not None:
            free.remove(j)
            e = edges[j]
            chain.insert(0, e if math.dist(e.b, chain[0].a) <= reach else e.reversed())
        (loops if math.dist(chain[0].a, chain[-1].b) <= reach else runs).append(chain)
    return loops, runs


def contours(layer):
    """Closed loops and open runs of a layer, loose edges joined."""
    loops, runs = joined(layer.loose)
    for run in layer.runs:
        (loops if math.dist(run[0].a, run[-1].b) <= STEP / 10 else runs).append(run)
    return layer.loops + loops, runs


def area(loop):
    return math.fsum(e.area() for e in loop)


def centroid(loop):
    whole = area(loop)
    return tuple(math.fsum(e.moments()[i] for e in loop) / whole for i in (0, 1))


def duplicates(layer):
    """Edges drawn twice, in either direction."""
    def key(e):
        ends = sorted([tuple(round(c, 5) for c in e.a), tuple(round(c, 5) for c in e.b)])
        return (*ends, tuple(round(c, 4) for c in e.middle()))
    return [k for k, n in Counter(map(key, layer.edges())).items() if n > 1]


def shortest(layer):
    return min((e.length() for e in layer.edges()), default=math.inf)


def audit(doc):
    auditor = doc.audit()
    return len(auditor.errors), len(auditor.fixes)
