"""A second reader of STEP files: it knows the grammar of ISO 10303-21 (`steputils`) and nothing of shapes.

What it holds a file to is what any reader takes for granted: every instance that is named is there, every edge bounds two faces, once each way, curves
are those that geometry names, header, product, volume, density and mass say what the order and the numbers say.
"""

from collections import Counter

from steputils import p21

EXACT = {"LINE", "CIRCLE", "ELLIPSE", "PARABOLA", "HYPERBOLA"}
ROUND = {"CYLINDRICAL_SURFACE", "CONICAL_SURFACE"}


class Read:
    """A file's instances by name."""

    def __init__(self, text):
        self.file = p21.loads(text)
        self.data = self.file.data[0]
        self.simple = {i.ref: i.entity for i in self.instances() if p21.is_simple_entity_instance(i)}
        self.complex = {i.ref: i.entities for i in self.instances() if p21.is_complex_entity_instance(i)}

    def instances(self):
        return [self.data[ref] for ref in self.data.references()]

    def named(self, name):
        return [(ref, e.params) for ref, e in self.simple.items() if e.name == name]

    def missing(self):
        """Names of instances that are spoken of and are not there."""
        entities = list(self.simple.values()) + [e for some in self.complex.values() for e in some]
        return {r for e in entities for r in references(e.params)} - set(self.simple) - set(self.complex)

    def edges(self):
        """Of each edge, how its two uses run, and the kinds of the surfaces on both sides."""
        loops = {ref: params[1] for ref, params in self.named("EDGE_LOOP")}
        runs, kinds = {}, {}
        for _, (_, bounds, surface, _) in self.named("ADVANCED_FACE"):
            for bound in bounds:
                for oriented in loops[self.simple[bound].params[1]]:
                    edge, way = self.simple[oriented].params[3:5]
                    runs.setdefault(edge, []).append(str(way))
                    kinds.setdefault(edge, []).append(self.simple[surface].name if surface in self.simple else "SPLINE")
        return runs, kinds

    def measured(self, what):
        """The number of a property by its name, or None."""
        for _, (_, name, *_) in [p for p in self.named("PROPERTY_DEFINITION") if p[1][1] == what]:
            for _, (_, items, _) in [r for r in self.named("REPRESENTATION") if r[1][0] == name]:
                return float(self.simple[items[0]].params[1].param)
        return None


def references(value):
    if p21.is_reference(value):
        yield value
    elif p21.is_typed_parameter(value):
        yield from references(value.param)
    elif isinstance(value, (tuple, list)):
        for part in value:
            yield from references(part)


def inspect(lines, name, text, stem, want):
    """What a reader of the grammar finds; `want` has the number of faces that the solid kernel found, the density in kg/mm3 or None, and the volume."""
    read = Read(text)
    head = read.file.header
    lines.that(f"{name} header names file and schema", head["FILE_NAME"].params[0] == f"{stem}.step" and "AP242" in head["FILE_SCHEMA"].params[0][0])
    products = [params[0] for _, params in read.named("PRODUCT")]
    lines.that(f"{name} has its one product", products == [stem], str(products))
    missing = read.missing()
    lines.that(f"{name} has every instance it speaks of", not missing, f"{len(missing)} missing, such as {sorted(missing)[:3]}")
    runs, kinds = read.edges()
    lines.that(f"{name} has an edge between every two faces, run along both ways", all(sorted(r) == [".F.", ".T."] for r in runs.values()))
    lines.that(f"{name} has no edge that no face uses", len(read.named("EDGE_CURVE")) == len(runs))
    lines.that(f"{name} has as many faces as the kernel finds", len(read.named("ADVANCED_FACE")) == want["faces"])
    curve = {ref: read.simple[params[3]].name for ref, params in read.named("EDGE_CURVE")}
    plane_cuts = [e for e, of in kinds.items() if "PLANE" in of and set(of) & ROUND]
    rough = Counter(curve[e] for e in plane_cuts if curve[e] not in EXACT)
    lines.that(f"{name} has conic sections where planes cut cylinders and cones", not rough, f"{dict(rough)} of {len(plane_cuts)}")
    density, volume = want["density"], want["volume"]
    lines.close(f"{name} second reader's volume", read.measured("volume of solid"), volume, 1e-9)
    if density is not None:
        lines.close(f"{name} density", read.measured("density"), density, 1e-9)
        lines.close(f"{name} mass", read.measured("mass"), density * volume, 1e-9)
    else:
        lines.that(f"{name} states no density where the order gives none", read.measured("density") is None)


def doctored(text):
    """Files that are wrong for a reader of the grammar, by what is wrong."""
    yield "an instance that is missing", text.replace("=CLOSED_SHELL(", "=CLOSED_SHELL('',(#999999999));\n#999999998=CLOSED_SHELL(", 1)
    yield "an edge used twice the same way", text.replace(",.F.);\n", ",.T.);\n", 1)
    yield "a density of another order", text.replace("POSITIVE_RATIO_MEASURE(0.00000", "POSITIVE_RATIO_MEASURE(0.00001", 1)
    yield "a mass of another order", text.replace("MASS_MEASURE(", "MASS_MEASURE(1", 1)
    yield "a file under another name", text.replace("FILE_NAME('", "FILE_NAME('x", 1)
