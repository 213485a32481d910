"""Projection as a finished PDF shows it: the views of the sides and the section found by their captions and by what the order says of their size.

Nothing is asked of the program: pdfium reads the lettering and the paths of each page; diameters, thickness and projection method come from the
order. Lengths are millimetres of paper from the lower left corner. Projection: ISO 5456-2 (from memory).
"""

import ctypes
import re
from dataclasses import dataclass

import pypdfium2
from pypdfium2 import raw

from order_model import length

MM = 72 / 25.4          # points to a millimetre
NEAR = 0.1              # mm: by how much axes, centres and sizes of views in projection may differ
FAR = 20.0              # mm: a caption stands over its view, this far beside its middle at most
SIGN = 12.0             # mm: greatest extent of the sign of the projection method


@dataclass(frozen=True)
class Box:
    """The extent of a path, or of a text with its words."""
    left: float
    low: float
    right: float
    high: float
    says: str = ""

    @property
    def centre(self):
        return (self.left + self.right) / 2, (self.low + self.high) / 2

    @property
    def width(self):
        return self.right - self.left

    @property
    def height(self):
        return self.high - self.low


@dataclass(frozen=True)
class Shown:
    """A view: which, its scale, the middle of its edges and the height of its axis."""
    name: str
    scale: float
    x: float
    axis: float


def path_box(item):
    """The extent of a path's points, without the width of its line."""
    placed = item.get_matrix()
    points = []
    for i in range(raw.FPDFPath_CountSegments(item)):
        x, y = ctypes.c_float(), ctypes.c_float()
        if raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(item, i), x, y):
            points.append(placed.on_point(x.value, y.value))
    xs, ys = zip(*points) if points else ((0.0,), (0.0,))
    return Box(min(xs) / MM, min(ys) / MM, max(xs) / MM, max(ys) / MM)


def read(page):
    """(texts, paths) of a page."""
    words = page.get_textpage()
    texts, paths = [], []
    for item in page.get_objects([raw.FPDF_PAGEOBJ_TEXT, raw.FPDF_PAGEOBJ_PATH], max_depth=4):
        if item.type == raw.FPDF_PAGEOBJ_PATH:
            paths.append(path_box(item))
        else:
            bounds = item.get_bounds()
            texts.append(Box(*(v / MM for v in bounds), words.get_text_bounded(*bounds).strip()))
    return texts, paths


def sizes(order):
    """(outside diameter, thickness, bore) in mm."""
    wheel = order["wheel"]
    return tuple(length(wheel[key], order["units"], key) for key in ("outside_diameter", "thickness", "bore"))


def captions(texts):
    """[(name, scale, box)] of the side views and of the section; the scale stands in the caption, or in the line below it."""
    found = []
    for text in texts:
        told = re.fullmatch(r"(Side [AB]|A–A)(?: \((\d+):(\d+)\))?", text.says)
        if told and told[2]:
            found.append((told[1], int(told[2]) / int(told[3]), text))
        elif told and told[1] == "A–A":
            under = [t for t in texts if 0 < text.low - t.low < 10 and abs(t.centre[0] - text.centre[0]) < 1 and re.fullmatch(r"\d+:\d+", t.says)]
            scale = [int(a) / int(b) for a, b in (t.says.split(":") for t in under[:1])]
            found += [(told[1], *scale, text)] if scale else []
    return found


def side_view(paths, scale, caption, outside):
    """The middle of the circle of the outside diameter under a caption."""
    across = outside * scale
    round_ones = [p for p in paths if abs(p.width - across) < NEAR and abs(p.height - across) < NEAR]
    under = [p for p in round_ones if abs(p.centre[0] - caption.centre[0]) < FAR and p.centre[1] < caption.low]
    return min(under, key=lambda p: caption.low - p.high).centre if under else None


def section(paths, scale, caption, outside, thickness, bore):
    """The middle of the two cut faces under a caption: as high as the wheel is from its bore to its edge, as wide as it is thick or less."""
    high, wide, across = (outside - bore) / 2 * scale, thickness * scale, outside * scale
    faces = [p for p in paths if abs(p.height - high) < NEAR and 0.2 * wide < p.width < wide + NEAR
             and abs(p.centre[0] - caption.centre[0]) < FAR and p.high < caption.low]
    pairs = [(a, b) for a in faces for b in faces
             if abs(a.left - b.left) < NEAR and abs(a.right - b.right) < NEAR and abs(a.high - b.low - across) < NEAR]
    if not pairs:
        return None
    upper, lower = max(pairs, key=lambda pair: pair[0].high)
    return (upper.left + upper.right) / 2, (upper.high + lower.low) / 2


def views(texts, paths, order):
    """([Shown], names of the captions under which no view of the ordered size stands)."""
    outside, thickness, bore = sizes(order)
    found, missing = [], []
    for name, scale, caption in captions(texts):
        one = section(paths, scale, caption, outside, thickness, bore) if name == "A–A" else side_view(paths, scale, caption, outside)
        if one:
            found.append(Shown(name, scale, *one))
        else:
            missing.append(f"{name} at {scale:g}")
    return found, missing


def sign_circles(paths):
    """The two circles of the sign of the projection method, the smaller first; None where there is no sign."""
    small = [p for p in paths if 1.0 < p.height < SIGN and abs(p.width - p.height) < 0.01]
    about = lambda a, b: abs(a.centre[0] - b.centre[0]) < 0.02 and abs(a.centre[1] - b.centre[1]) < 0.02
    return next(((a, b) for a in small for b in small if abs(2 * a.height - b.height) < 0.05 and about(a, b)), None)


def sign_ends(paths, inner, outer):
    """The ends of the sign's cone: upright lines as high as the circles, on their axis."""
    on_axis = lambda p: p.width < 0.01 and abs(p.centre[1] - outer.centre[1]) < 0.05 and abs(p.centre[0] - outer.centre[0]) < 3 * SIGN
    return [p for p in paths if on_axis(p) and min(abs(p.height - inner.height), abs(p.height - outer.height)) < 0.1]


def sign_is_third(paths):
    """Whether the sign of the projection method is that of third angle, the cone's narrow end beside the circles; None where no sign is found."""
    circles = sign_circles(paths)
    ends = circles and sign_ends(paths, *circles)
    if not ends or len(ends) != 2:
        return None
    nearest = min(ends, key=lambda p: abs(p.centre[0] - circles[1].centre[0]))
    return nearest.height == min(p.height for p in ends)


@dataclass(frozen=True)
class Page:
    """What is lettered on a page, and its paths."""
    texts: list
    paths: list


def judge_projection(checks, name, order, document):
    judge_pages(checks, name, order, [Page(*read(page)) for page in document])


def judge_pages(checks, name, order, pages):
    """Side A, A–A and side B in line, at one scale, in the order that the sign says, the sign as ordered."""
    third = order.get("drawing", {}).get("projection", "third" if order["units"] == "in" else "first") == "third"
    grooved = any("grooves" in order["wheel"].get(side, {}) for side in ("side_a", "side_b"))
    sides = 0
    for i, page in enumerate(pages):
        at, texts, paths = f"{name} page {i + 1}", page.texts, page.paths
        sign = sign_is_third(paths)
        checks.that(f"{at}: the sign is that of the projection ordered", sign == third or (i > 0 and sign is None), f"third angle: {sign}")
        shown, missing = views(texts, paths, order)
        checks.that(f"{at}: under each caption stands its view at its scale", not missing, f"{missing}")
        here = [v for v in shown if v.name != "A–A"]
        sides += len(here)
        if not here:
            continue
        cuts = [v for v in shown if v.name == "A–A"]
        if not checks.that(f"{at}: the sides stand with one section", len(cuts) == 1, f"{len(cuts)}"):
            continue
        inline = sorted([*here, cuts[0]], key=lambda v: v.x)
        checks.that(f"{at}: side views and section on one axis", max(v.axis for v in inline) - min(v.axis for v in inline) <= NEAR, f"{inline}")
        checks.that(f"{at}: side views and section at one scale", len({v.scale for v in inline}) == 1, f"{inline}")
        wanted = [v for v in (["Side A", "A–A", "Side B"] if third else ["Side B", "A–A", "Side A"]) if v in {s.name for s in inline}]
        checks.that(f"{at}: side views and section in order", [v.name for v in inline] == wanted, f"{[v.name for v in inline]}")
    if grooved:
        checks.that(f"{name}: sides with grooves are shown", sides > 0)
