"""Judge: ZXing reads the code of labels as a phone would, from the picture and from the printed page; pypdf reads the words.

What the code must say comes from the order file and from the fingerprint that `properties` prints; the rotation is reckoned anew.
"""

import json
import math
import re
import tempfile
from pathlib import Path

import pypdf
import pypdfium2
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

import judging
from order_model import length

# Orders whose labels differ: plain, grooved, skewed, tiny, huge, in inches.
NAMES = ["plain-ring", "plain-ring-inch-fractions", "grooves-both-sides-staggered", "grooves-skewed-counter-clockwise",
         "tiny-wheel-50-mm", "huge-wheel-1200-mm", "crankshaft-wheel-26-inch", "face-grooves-flat"]
SPEEDS = {"33 m/s": 33.0, "50 m/s": 50.0, "6500 ft/min": 6500 * 0.3048 / 60, None: None}
DPI = 150


def fields(order, wheel, fingerprint):
    return {"order": order["order"]["number"], "revision": order["order"]["revision"], "wheel": str(wheel), "fingerprint": fingerprint}


def decoded(image):
    """The fields of the one code in a picture; None where none or several are read."""
    found = zxingcpp.read_barcodes(image)
    if len(found) != 1:
        return None
    return dict(part.split("=", 1) for part in found[0].text.split(";"))


def worn(image):
    """As a label looks after a while: smaller, turned a little, out of focus, low in contrast, scratched."""
    half = image.convert("L").resize((image.width * 2 // 3, image.height * 2 // 3), Image.LANCZOS)
    out = half.rotate(3, expand=True, fillcolor=255).filter(ImageFilter.GaussianBlur(0.7)).point(lambda v: 60 + v // 2)
    ImageDraw.Draw(out).line([(0, 0), (out.width, out.height)], fill=200, width=2)
    return out


def page(path):
    return pypdfium2.PdfDocument(path)[0].render(scale=DPI / 72).to_pil()


def words(path):
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
    return re.sub(r"\s+", " ", text)


def rotation(order, speed):
    """Revolutions per minute, rounded down; None without a marked speed."""
    if speed is None:
        return None
    diameter = length(order["wheel"]["outside_diameter"], order["units"], "outside_diameter")
    return math.floor(speed * 60000 / (math.pi * diameter) * (1 + 1e-12))


def with_speed(order, speed):
    order = json.loads(json.dumps(order))
    blank = order.setdefault("blank", {})
    blank.pop("max_operating_speed", None)
    if speed:
        blank["max_operating_speed"] = speed
    order["order"]["quantity"] = 3
    return order


def grooved(order):
    wheel = order["wheel"]
    return any("grooves" in wheel.get(part, {}) for part in ("side_a", "side_b", "face"))


def judge_one(checks, name, order, speed, folder):
    path = Path(folder) / "order.json"
    path.write_text(json.dumps(order), encoding="utf-8")
    fingerprint = judging.properties(order)["fingerprint"]
    picture, paper = Path(folder) / "label.png", Path(folder) / "label.pdf"
    judging.run("label", path, "-o", picture, "--wheel", 2)
    judging.run("label", path, "-o", paper, "--wheel", 2)
    want = fields(order, 2, fingerprint)
    image = Image.open(picture)
    for what, shown in (("picture", image), ("worn picture", worn(image)), ("printed page", page(paper))):
        got = decoded(shown)
        checks.that(f"{name}: code of the {what}", got == want, "" if got == want else f"got {got}, want {want}")
    text = words(paper)
    rpm = rotation(order, SPEEDS[speed])
    if rpm is None:
        checks.that(f"{name}: no speed, no running", "DO NOT RUN" in text and "1/min" not in text)
    else:
        checks.that(f"{name}: {rpm} 1/min", f"= {rpm} 1/min" in text, text[:300] if f"= {rpm} 1/min" not in text else "")
    checks.that(f"{name}: grooves intentional or not mentioned", ("GROOVES INTENTIONAL" in text) == grooved(order))
    skewed = any(order["wheel"].get(s, {}).get("grooves", {}).get("skew_deg") for s in ("side_a", "side_b"))
    checks.that(f"{name}: rotation where skewed", ("Rotation" in text or "opposite rotation" in text) == bool(skewed))
    checks.that(f"{name}: trace code", f"{order['order']['number']}-{order['order']['revision']}-2-{fingerprint[:8]}" in text)


def judge(checks, options):
    with tempfile.TemporaryDirectory() as folder:
        for i, name in enumerate(NAMES):
            order = judging.ORDERS / f"{name}.json"
            if not checks.that(f"{name}: there", order.exists()):
                continue
            speed = list(SPEEDS)[i % len(SPEEDS)]
            judge_one(checks, name, with_speed(json.loads(order.read_text(encoding="utf-8")), speed), speed, folder)


def selftest(checks, options):
    """Codes made here: a wrong field is noticed, a defaced code is not read, a worn one still is."""
    want = {"order": "1", "revision": "A", "wheel": "1", "fingerprint": "0" * 64}
    text = ";".join(f"{k}={v}" for k, v in want.items())
    code = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    image = Image.fromarray(zxingcpp.write_barcode_to_image(code, scale=8)).convert("L")
    # as on a label: the code to one side, so that a scratch across the label crosses part of it
    room = Image.new("L", (2 * image.width + 200, image.height + 200), 255)
    room.paste(image, (100, 100))
    checks.that("a good code is read", decoded(room) == want)
    checks.that("a worn code is read", decoded(worn(room)) == want)
    for key in want:
        checks.that(f"a wrong {key} is noticed", decoded(room) != want | {key: want[key] + "1"})
    defaced = room.copy()
    ImageDraw.Draw(defaced).rectangle([100, 100, 100 + image.width // 2, 100 + image.height // 2], fill=255)
    checks.that("a defaced code is not read", decoded(defaced) is None)
    checks.that("an empty picture has no code", decoded(Image.new("L", (400, 400), 255)) is None)
    order = {"units": "mm", "wheel": {"outside_diameter": 350}}
    # 350 mm at 35 m/s: 1909.86 (plain calculation)
    checks.that("the rotation is rounded down", rotation(order, 35.0) == 1909)


if __name__ == "__main__":
    judging.main(judge, selftest)
