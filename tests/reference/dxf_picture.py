"""Pictures of DXF files by ezdxf's drawing add-on, in black on white, and how much two pictures differ."""

import numpy as np
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.backend import Backend
from ezdxf.addons.drawing.config import Configuration
from PIL import Image, ImageDraw, ImageFilter


class Pen(Backend):
    """Draws lines as wide as one pixel; `place` lays a point of the file on the picture."""

    def __init__(self, picture, place):
        super().__init__()
        self.draw, self.place = ImageDraw.Draw(picture), place

    def draw_line(self, start, end, properties):
        self.draw.line([self.place(start), self.place(end)], fill=0)

    def draw_point(self, pos, properties):
        self.draw.point(self.place(pos), fill=0)

    def draw_filled_polygon(self, points, properties):
        self.draw.polygon([self.place(p) for p in points.vertices()], fill=0)

    def set_background(self, color):
        pass

    def draw_image(self, image_data, properties):
        raise NotImplementedError("pictures have no place in our files")

    def clear(self):
        pass

    def finalize(self):
        pass


def drawn(doc, size, place, wanted=lambda e: True):
    """The wanted entities of a document's model space, as ezdxf draws them."""
    picture = Image.new("L", size, 255)
    pen = Pen(picture, place)
    Frontend(RenderContext(doc), pen, Configuration(max_flattening_distance=0.01)).draw_layout(doc.modelspace(), filter_func=wanted)
    return picture


def strays(one, other, reach, blind=None):
    """Share of the dark pixels of `one` with nothing dark of `other` within `reach` pixels; places in `blind` are not looked at."""
    dark = np.asarray(one) < 128
    near = np.asarray(other.filter(ImageFilter.MinFilter(2 * reach + 1))) < 128
    if blind is not None:
        dark &= np.asarray(blind) > 0
    return (dark & ~near).sum() / max(dark.sum(), 1)
