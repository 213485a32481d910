"""Judge: pypdf and pdfium read the drawings as PDF: words, numbers, places, projection, fonts, page sizes; pdfium draws them as our PNG does.

What must be lettered comes from the order file, the fingerprint from `properties`.
"""

import io
import json
import os
import re
import tempfile
from dataclasses import replace
from multiprocessing import Pool
from pathlib import Path

import pypdf
import pypdfium2
from fontTools.ttLib import TTFont
from PIL import Image, ImageCms
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, NumberObject, StreamObject

import dxf_picture
import judging
import pdf_projection
from order_model import length
from pdf_projection import Page

DEMO = judging.HERE.parents[1] / "demo-data"
# Drawings that differ: several sheets, inch and dual units, tiny, huge, many grooves, every groove bottom, tapers, recesses, plain.
NAMES = ["crankshaft-wheel-26-inch", "recess-three-steps-both-sides", "tiny-wheel-50-mm", "huge-wheel-1200-mm", "plain-ring-inch-fractions",
         "face-grooves-helical-round-over-corners", "three-hundred-and-sixty-grooves", "grooves-vee-bottom-runout-end",
         "grooves-ended-short-skewed-round-end", "corner-chamfer-30-and-45-degrees"]
DEMO_NAMES = ["1042", "1043", "1044", "1045", "1047"]
CUSTOMERS = ["Żółta Grań Szlifiernia", "Bruk Mølle Slibeværk", "Шлифовальный участок Кедр", "Ωμέγα Τροχοί"]
PICTURES = ["1042", "tiny-wheel-50-mm", "recess-three-steps-both-sides"]
MM = 72 / 25.4          # points to a millimetre
# Paper sizes of ISO 216 and ASME Y14.1, mm, with the margins of ISO 5457 and ASME Y14.1: left, right, above and below.
PAPER = {"A4": ((210, 297), (20, 10, 10)), "A3": ((420, 297), (20, 10, 10)), "A2": ((594, 420), (20, 10, 10)),
         "A": ((279.4, 215.9), (9.65, 9.65, 6.35)), "B": ((431.8, 279.4), (15.75, 15.75, 9.65)), "C": ((558.8, 431.8), (12.7, 12.7, 19.05))}
SIZE = 2e-4             # pt: what single precision leaves of 1190.5512
ROUNDED = 6e-4          # half of the third decimal, with room for the second rounding of dual units
SPARE = 8               # glyphs that are no character: the missing one, and the parts of letters with accents
USUAL = {chr(c) for c in range(32, 127)} | set("§°±²³·×Ø–−≤≥√…")  # every paper's font holds these, used or not
DPI = 150
STRAY, REACH = 2e-3, 2  # share of dark pixels that may lie off the other picture; pixels


def with_head(order, i):
    """The order with people and texts, in letters that not every font has."""
    head = order["order"]
    head.setdefault("customer", CUSTOMERS[i % len(CUSTOMERS)])
    head.setdefault("prepared_by", "T. Ångström-Ruiz")
    head.setdefault("notes", ["Keep the arrow of the blank on side A; 100 % of the wheels are weighed."])
    head.setdefault("date", "2026-03-02")
    return order


def squeezed(text):
    return re.sub(r"\s+", "", text)


def numbers(text):
    """(sign before it, value) of every number; decimal comma or point, and none before the point in inches."""
    found = re.findall(r"(Ø|R|×|)(\d+[.,]\d+|[.,]\d+|\d+)(°?)", text)
    return [(before, float(digits.replace(",", ".")), bool(degree)) for before, digits, degree in found]


def wanted_numbers(order):
    """[(what, sign or None for any, value in the file's unit, whether degrees)]."""
    unit, wheel, out = order["units"], order["wheel"], []
    in_unit = lambda value, what: length(value, unit, what) / (25.4 if unit == "in" else 1.0)

    def add(table, at, **signs):
        for key, sign in signs.items():
            if key in table:
                out.append((f"{at}.{key}", sign, in_unit(table[key], key), False))

    def add_degrees(table, at, *keys):
        out.extend((f"{at}.{key}", None, abs(table[key]), True) for key in keys if table.get(key))

    add(wheel, "wheel", outside_diameter="Ø", thickness=None, bore="Ø", bore_chamfer=None)
    for name in ("side_a", "side_b", "face"):
        side = wheel.get(name, {})
        for i, step in enumerate(side.get("recess", [])):
            add(step, f"{name}.recess[{i}]", diameter="Ø", depth=None, fillet_radius="R")
        add(side.get("corner", {}), f"{name}.corner", radius="R", chamfer=None)
        taper = side.get("taper", {})
        add(taper, f"{name}.taper", depth=None)
        add_degrees(taper, f"{name}.taper", "angle_deg")
        grooves = side.get("grooves", {})
        add(grooves, f"{name}.grooves", width=None, depth=None, inner_diameter="Ø", outer_diameter="Ø", cutter_diameter="Ø")
        add_degrees(grooves, f"{name}.grooves", "pitch_deg", "skew_deg", "helix_deg", "vee_angle_deg", "start_deg")
        if "count" in grooves:
            out.append((f"{name}.grooves.count", None, grooves["count"] - len(grooves.get("omit", [])), False))
    return out


def judge_text(checks, name, order, text):
    head = order["order"]
    texts = {key: [head[key]] for key in ("number", "revision", "customer", "contact", "item", "prepared_by", "date") if key in head}
    texts["notes"] = head.get("notes", [])
    for key, values in texts.items():
        missing = [value for value in values if squeezed(value) not in squeezed(text)]
        checks.that(f"{name} says {key}", not missing, f"{missing}")
    there = numbers(text)
    for what, sign, value, degrees in wanted_numbers(order):
        hit = any(abs(v - value) <= ROUNDED and (sign is None or s == sign) and (d or not degrees) for s, v, d in there)
        checks.that(f"{name} tells {what}", hit, f"no {sign or ''}{value}")


def paper_of(size):
    """The paper of exactly this size in points."""
    fits = lambda want: max(abs(a - b * MM) for a, b in zip(size, want)) <= SIZE
    return next((name for name, (want, _) in PAPER.items() if fits(want)), None)


def judge_pages(checks, name, order, reader):
    named = order.get("drawing", {}).get("sheet")
    n = len(reader.pages)
    used = len({letter for page in reader.pages for letter in page.extract_text()} | USUAL)
    for i, page in enumerate(reader.pages):
        at = f"{name} page {i + 1}"
        size = (float(page.mediabox.width), float(page.mediabox.height))
        paper = paper_of(size)
        checks.that(f"{at} is exactly a paper size", paper and tuple(map(float, page.mediabox[:2])) == (0, 0), f"{size}")
        # A named sheet may be too small for the drawing, which then is made on a larger one.
        if named and paper:
            checks.that(f"{at} is at least the paper asked for", size[0] >= PAPER[named][0][0] * MM - SIZE, f"{paper} for {named}")
        checks.that(f"{at} shows its whole", page.cropbox == page.mediabox and not page.get("/Rotate"))
        checks.that(f"{at} counts the sheets", squeezed(f"{i + 1} / {n}") in squeezed(page.extract_text()))
        kinds = [kind for kind in ("/Image", "/Form") for x in resources(page, "/XObject") if x.get("/Subtype") == kind]
        contents = page.get_contents()
        inline = contents and re.search(rb"\bBI\b.*?\bID\b.*?\bEI\b", contents.get_data(), re.S)
        checks.that(f"{at} holds no picture", "/Image" not in kinds and not inline and len(page.images) == 0, f"{kinds}")
        judge_fonts(checks, at, page, used)


def resources(page, kind):
    return [x.get_object() for x in page.get("/Resources", {}).get(kind, {}).values()]


def judge_fonts(checks, at, page, used):
    """`used`: how many different characters the document has beside the usual ones; a subset has no more glyphs, but for a few that stand for none."""
    fonts = resources(page, "/Font")
    checks.that(f"{at} has fonts", len(fonts) > 0)
    for font in fonts:
        base = font["/BaseFont"]
        checks.that(f"{at} {base} is named as a subset", re.fullmatch(r"/[A-Z]{6}\+.+", base) is not None)
        checks.that(f"{at} {base} can be searched", "/ToUnicode" in font)
        own = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        below = own["/FontDescriptor"].get_object()
        program = below.get("/FontFile2") or below.get("/FontFile3")
        if checks.that(f"{at} {base} is embedded", program is not None):
            glyphs = TTFont(io.BytesIO(program.get_object().get_data()), lazy=True)["maxp"].numGlyphs
            checks.that(f"{at} {base} is a subset", 1 < glyphs <= used + SPARE, f"{glyphs} glyphs, {used} characters")


def judge_places(checks, name, document):
    """Every text lies inside the frame; outside it only the letters and numbers of the zones, and these on the paper."""
    for i, page in enumerate(document):
        width, height = page.get_size()
        paper = paper_of((width, height))
        left_margin, right_margin, margin = (m * MM for m in (PAPER[paper][1] if paper else (0, 0, 0)))
        outside, off = [], []
        for text in page.get_objects([pypdfium2.raw.FPDF_PAGEOBJ_TEXT]):
            left, low, right, high = text.get_bounds()
            if left < 0 or low < 0 or right > width or high > height:
                off.append((left, low))
            elif left < left_margin or low < margin or right > width - right_margin or high > height - margin:
                outside.append(text)
        words = page.get_textpage()
        said = [words.get_text_bounded(*text.get_bounds()).strip() for text in outside]
        checks.that(f"{name} page {i + 1} has its text on the paper", not off, f"{off[:3]}")
        checks.that(f"{name} page {i + 1} has its text inside the frame", all(re.fullmatch(r"[A-Z]|\d\d?|", s) for s in said), f"{said}")


def judge_document(checks, name, order, reader, fingerprint):
    about = {key: str(value) for key, value in (reader.metadata or {}).items()}
    head = order["order"]
    checks.that(f"{name} title", all(head[key] in about.get("/Title", "") for key in ("number", "revision")), about.get("/Title", ""))
    checks.that(f"{name} author", about.get("/Author") == head["prepared_by"], about.get("/Author", ""))
    checks.that(f"{name} fingerprint", fingerprint in about.get("/Keywords", ""))
    dated = "D:" + head["date"].replace("-", "")
    checks.that(f"{name} date is the order's", about.get("/CreationDate", "").startswith(dated), about.get("/CreationDate", ""))
    root = reader.trailer["/Root"]
    checks.that(f"{name} does nothing by itself", not {"/OpenAction", "/AA", "/AcroForm"} & set(root) and not reader.is_encrypted)
    judge_profile(checks, name, root)
    checks.that(f"{name} is archival", "/Metadata" in root and "/OutputIntents" in root and b"pdfaid" in root["/Metadata"].get_object().get_data())


def judge_profile(checks, name, root):
    """The colours of an archival file are those of a profile that a colour library reads; all of the drawing is grey."""
    try:
        stream = root["/OutputIntents"][0].get_object()["/DestOutputProfile"].get_object()
        profile = ImageCms.ImageCmsProfile(io.BytesIO(stream.get_data())).profile
        told = f"{profile.xcolor_space} {profile.version} {profile.profile_description}"
        checks.that(f"{name} has a profile of its greys", stream["/N"] == 1 and profile.xcolor_space == "GRAY", told)
    except Exception as fault:
        checks.that(f"{name} has a profile of its greys", False, f"{type(fault).__name__}: {fault}")


def judge_file(checks, name, path, order, fingerprint):
    try:
        reader = pypdf.PdfReader(path, strict=True)
        text = "\n".join(page.extract_text() for page in reader.pages)
        document = pypdfium2.PdfDocument(path)
    except Exception as fault:
        checks.that(f"{name} is read", False, f"{type(fault).__name__}: {fault}")
        return
    judge_document(checks, name, order, reader, fingerprint)
    judge_pages(checks, name, order, reader)
    judge_text(checks, name, order, text)
    judge_places(checks, name, document)
    pdf_projection.judge_projection(checks, name, order, document)
    for page, there in zip(document, reader.pages):
        seen = page.get_textpage().get_text_range()
        checks.that(f"{name} both readers see the same letters", sorted(squeezed(seen)) == sorted(squeezed(there.extract_text())))


def judge_picture(checks, name, order_path, pdf, folder):
    """The first page as pdfium draws it against the tool's own picture."""
    png = Path(folder) / f"{name}.png"
    judging.run("draw", order_path, "-o", png, "--dpi", DPI, "-q")
    ours = Image.open(png).convert("L")
    theirs = pypdfium2.PdfDocument(pdf)[0].render(scale=DPI / 72).to_pil().convert("L").resize(ours.size)
    off = max(dxf_picture.strays(ours, theirs, REACH), dxf_picture.strays(theirs, ours, REACH))
    checks.that(f"{name} drawn by pdfium is our picture", off <= STRAY, f"{off:.1e} of the dark pixels lie elsewhere")


def orders():
    paths = [judging.ORDERS / f"{name}.json" for name in NAMES] + [DEMO / f"{name}.json" for name in DEMO_NAMES]
    return [(path.stem, with_head(json.loads(path.read_text(encoding="utf-8")), i)) for i, path in enumerate(paths)]


def draw(path, pdf):
    judging.run("draw", path, "-o", pdf, "-q")
    return pdf


def judge_order(item):
    name, order = item
    lines = judging.Gathered()
    with tempfile.TemporaryDirectory() as folder:
        try:
            path = Path(folder) / "order.json"
            path.write_text(json.dumps(order, ensure_ascii=False), encoding="utf-8")
            first = draw(path, Path(folder) / "first.pdf")
            os.environ["TZ"] = "Pacific/Auckland"
            second = draw(path, Path(folder) / "other-name.pdf")
            lines.that(f"{name} has the same bytes a second time", first.read_bytes() == second.read_bytes())
            judge_file(lines, name, first, order, judging.properties(path)["fingerprint"])
            if name in PICTURES:
                judge_picture(lines, name, path, first, folder)
        except Exception as fault:
            lines.that(name, False, f"{type(fault).__name__}: {fault}")
    return lines.lines


def judge(checks, _options):
    several = 0
    with Pool() as pool:
        for lines in pool.imap(judge_order, orders()):
            checks.absorb(lines)
            several += any(name.endswith("page 2 counts the sheets") for name, _, _ in lines)
    checks.that("some drawings have several sheets", several >= 2, f"{several}")


# --- proving that the judge can fail -----------------------------------------------------------

def changed(content):
    """A fault made in the content stream of every page: what one sheet no longer says, another may."""
    def change(writer):
        for page in writer.pages:
            stream = StreamObject()
            stream.set_data(content(page.get_contents().get_data()))
            page[NameObject("/Contents")] = writer._add_object(stream)
    return change


def font_of(writer):
    return resources(writer.pages[0], "/Font")[0]


def descriptor(writer):
    return font_of(writer)["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()


def with_picture(writer):
    image = StreamObject()
    image.set_data(b"\0")
    for key, value in {"/Type": "/XObject", "/Subtype": "/Image", "/ColorSpace": "/DeviceGray"}.items():
        image[NameObject(key)] = NameObject(value)
    for key in ("/Width", "/Height"):
        image[NameObject(key)] = NumberObject(1)
    image[NameObject("/BitsPerComponent")] = NumberObject(8)
    found = DictionaryObject({NameObject("/picture"): writer._add_object(image)})
    writer.pages[0]["/Resources"].get_object()[NameObject("/XObject")] = found


def other_size(writer):
    box = writer.pages[0].mediabox
    sides = [0, 0, float(box.width) + 0.01, float(box.height)]
    writer.pages[0][NameObject("/MediaBox")] = ArrayObject([FloatObject(side) for side in sides])


def about(key, value):
    return lambda writer: writer.add_metadata({key: value})


# Fault, words of the check that must notice it, change of the file.
FAULTS = [
    ("a page 0.01 pt too wide", "exactly a paper size", other_size),
    ("a turned page", "shows its whole", lambda w: w.pages[0].rotate(90)),
    ("a raster picture", "no picture", with_picture),
    ("a picture in line", "no picture", changed(lambda c: c + b"\nq BI /W 1 /H 1 /CS /G /BPC 8 ID \0 EI Q\n")),
    ("a font that is not embedded", "is embedded", lambda w: descriptor(w).pop("/FontFile2")),
    ("a font without its characters", "can be searched", lambda w: font_of(w).pop("/ToUnicode")),
    ("a font that is no subset by name", "named as a subset", lambda w: font_of(w).__setitem__(NameObject("/BaseFont"), NameObject("/DejaVuSans"))),
    ("no words", "says number", changed(lambda c: re.sub(rb"BT.*?ET", b"", c, flags=re.S))),
    ("no dimensions", "tells wheel.outside_diameter", changed(lambda c: re.sub(rb"BT.*?ET", b"", c, flags=re.S))),
    ("everything moved by 40 mm", "inside the frame", changed(lambda c: b"1 0 0 1 -113 0 cm\n" + c)),
    ("everything moved off the paper", "on the paper", changed(lambda c: b"1 0 0 1 -150 0 cm\n" + c)),
    ("another title", "title", about("/Title", "A drawing")),
    ("another author", "author", about("/Author", "Nobody")),
    ("another fingerprint", "fingerprint", about("/Keywords", "fingerprint 0")),
    ("a date of today", "date is the order's", about("/CreationDate", "D:20300101000000Z")),
    ("something done at opening", "by itself", lambda w: w._root_object.__setitem__(NameObject("/OpenAction"), DictionaryObject())),
    ("no archival mark", "archival", lambda w: w._root_object.pop("/Metadata")),
    ("greys without a profile", "profile of its greys", lambda w: w._root_object.pop("/OutputIntents")),
    ("a missing sheet count", "counts the sheets", lambda w: w.add_blank_page()),
]


def selftest(checks, _options):
    """The tool's own drawing passes; each fault put into it is noticed."""
    with tempfile.TemporaryDirectory() as folder:
        name = "tiny-wheel-50-mm"
        order = with_head(json.loads((judging.ORDERS / f"{name}.json").read_text(encoding="utf-8")), 2)
        path, doctored = Path(folder) / "order.json", Path(folder) / "doctored.pdf"
        path.write_text(json.dumps(order, ensure_ascii=False), encoding="utf-8")
        right = draw(path, Path(folder) / "right.pdf")
        fingerprint = judging.properties(path)["fingerprint"]
        lines = judging.Gathered()
        judge_file(lines, "right", right, order, fingerprint)
        failed = [line for line in lines.lines if not line[1]]
        checks.that("the right file passes", not failed and len(lines.lines) > 20, f"{failed}")
        for fault, by, change in FAULTS:
            writer = pypdf.PdfWriter(clone_from=right)
            change(writer)
            writer.write(doctored)
            lines = judging.Gathered()
            judge_file(lines, "doctored", doctored, order, fingerprint)
            failed = [name for name, ok, _ in lines.lines if not ok]
            checks.that(f"{fault} is noticed", any(by in name for name in failed), f"by {by!r}, not {failed}")
        whole = right.read_bytes()
        doctored.write_bytes(whole[:-2000])
        lines = judging.Gathered()
        judge_file(lines, "doctored", doctored, order, fingerprint)
        checks.that("half a file is noticed", any(not ok for _, ok, _ in lines.lines))
    there = numbers("D Ø304,8 (=360°) .06 R1.524")
    want = [("Ø", 304.8, False), ("", 360.0, True), ("", 0.06, False), ("R", 1.524, False)]
    checks.that("numbers are read in both styles", there == want, f"{there}")
    lines = judging.Gathered()
    judge_fonts(lines, "page", pypdf.PdfReader(io.BytesIO(whole)).pages[0], used=12)
    checks.that("a font with more than its letters is noticed", any("is a subset" in name for name, ok, _ in lines.lines if not ok))
    projection_faults(checks)
    missing = json.loads(json.dumps(order))
    missing["wheel"]["bore"] = 17.777
    lines = judging.Gathered()
    judge_text(lines, "other", missing, "D Ø50 T 10")
    checks.that("a dimension that is not there is noticed", "other tells wheel.bore" in [name for name, ok, _ in lines.lines if not ok])


# Fault, words of the check that must notice it, change of the texts and paths of a page with a side beside the section.
PLANTED = [
    ("a side view off the axis", "on one axis", lambda p, side, cut: moved(p, side, 0.0, 0.3)),
    ("a side view without its circle", "stands its view", lambda p, side, cut: moved(p, side, 0.0, 200.0)),
    ("a side view on the other side", "in order", lambda p, side, cut: moved(p, side, 2 * (cut - side), 0.0)),
    ("another scale in a caption", "stands its view", lambda p, side, cut: said(p, side, r"\(\d+:\d+\)", "(1:3)")),
    ("the other side's name", "in order", lambda p, side, cut: said(p, side, r"Side A", "Side B")),
    ("a section gone", "with one section", lambda p, side, cut: Page([t for t in p.texts if "A–A" not in t.says], p.paths)),
    ("the other projection's sign", "the sign is that", lambda p, side, cut: turned(p)),
]


def moved(page, x, by, up):
    """Everything about this place moved."""
    near = lambda b: abs(b.centre[0] - x) < 0.2 or b.says.startswith("Side A")
    shift = lambda b: replace(b, left=b.left + by, right=b.right + by, low=b.low + up * (not b.says), high=b.high + up * (not b.says)) if near(b) else b
    return Page([shift(t) for t in page.texts], [shift(p) for p in page.paths])


def said(page, x, old, new):
    near = lambda t: t.says.startswith("Side") and abs(t.centre[0] - x) < pdf_projection.FAR
    return Page([replace(t, says=re.sub(old, new, t.says)) if near(t) else t for t in page.texts], page.paths)


def turned(page):
    """The cone of the sign with its ends exchanged: the uprights mirrored about the middle between them."""
    inner, outer = pdf_projection.sign_circles(page.paths)
    ends = pdf_projection.sign_ends(page.paths, inner, outer)
    middle = sum(p.centre[0] for p in ends) / len(ends)
    flip = lambda p: replace(p, left=2 * middle - p.right, right=2 * middle - p.left) if p in ends else p
    return Page(page.texts, [flip(p) for p in page.paths])


def projection_faults(checks):
    """Side views that stand wrong are noticed."""
    order = with_head(json.loads((DEMO.parent / "tests/cases/sheet/dual-units.json").read_text(encoding="utf-8")), 0)
    order["drawing"]["sheet"] = "A2"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "order.json"
        path.write_text(json.dumps(order, ensure_ascii=False), encoding="utf-8")
        pages = [Page(*pdf_projection.read(page)) for page in pypdfium2.PdfDocument(draw(path, Path(folder) / "right.pdf"))]
    judged = lambda pages: [(name, ok) for name, ok, _ in gathered(lambda lines: pdf_projection.judge_pages(lines, "pages", order, pages))]
    right = judged(pages)
    checks.that("views in projection pass", len(right) > 5 and all(ok for _, ok in right), f"{[name for name, ok in right if not ok]}")
    shown = pdf_projection.views(pages[0].texts, pages[0].paths, order)[0]
    place = {v.name: v.x for v in shown}
    for fault, by, change in PLANTED:
        failed = [name for name, ok in judged([change(pages[0], place["Side A"], place["A–A"]), *pages[1:]]) if not ok]
        checks.that(f"{fault} is noticed", any(by in name for name in failed), f"by {by!r}, not {failed}")


def gathered(judge):
    lines = judging.Gathered()
    judge(lines)
    return lines.lines


if __name__ == "__main__":
    judging.main(judge, selftest)
