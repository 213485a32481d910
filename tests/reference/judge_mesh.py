"""Judge: a general mesh library reads the meshes of wheels and measures what it finds.

Watertight, wound outwards, one body; bounds and volume as `properties` says within what the deviation allows: a mesh whose triangles lie no farther
than d from faces of area A has a volume off by no more than d times A. 3MF is read here by the core specification, STL and GLB by the library.
"""

import copy
import io
import json
import tempfile
import xml.etree.ElementTree as ET
import zipfile
from multiprocessing import Pool

import numpy as np
import trimesh

import judging
import solid_files
from half_section import contour
from order_model import resolve
from solid_files import Wrong, write

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
FORMATS = {"stl": 1e-4, "3mf": 1e-6, "glb": 1e-4}      # how far a coordinate may be rounded, mm
DEVIATION = 0.02


def of_3mf(data):
    """Corners, triangles and words of a 3MF file."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        rels = ET.fromstring(archive.read("_rels/.rels"))
        target = next(r.get("Target") for r in rels if r.get("Type").endswith("/3dmodel"))
        types = archive.read("[Content_Types].xml").decode()
        model = ET.fromstring(archive.read(target.lstrip("/")))
    if 'Extension="model"' not in types or model.get("unit") != "millimeter":
        raise Wrong("no model in millimetres")
    (built,) = model.findall(f"{CORE}build/{CORE}item")
    (wheel,) = [o for o in model.iter(f"{CORE}object") if o.get("id") == built.get("objectid")]
    corners = [[float(v.get(k)) for k in "xyz"] for v in wheel.iter(f"{CORE}vertex")]
    colours = {b.get("id"): len(list(b)) for b in model.iter(f"{CORE}basematerials")}
    triangles = []
    for t in wheel.iter(f"{CORE}triangle"):
        triangles.append([int(t.get(k)) for k in ("v1", "v2", "v3")])
        if int(t.get("p1")) >= colours[t.get("pid")]:
            raise Wrong("a colour that is not there")
    return corners, triangles, " ".join(m.text or "" for m in model.iter(f"{CORE}metadata"))


def of_glb(data):
    """Corners in millimetres of the wheel's axes, triangles, and words of a GLB file."""
    scene = trimesh.load_scene(io.BytesIO(data), file_type="glb", process=False)
    parts = [trimesh.transform_points(g.vertices, scene.graph[name][0]) for name in scene.graph.nodes_geometry
             if isinstance(g := scene.geometry[scene.graph[name][1]], trimesh.Trimesh)]
    faces = [scene.geometry[scene.graph[name][1]].faces for name in scene.graph.nodes_geometry
             if isinstance(scene.geometry[scene.graph[name][1]], trimesh.Trimesh)]
    lines = [g for g in scene.geometry.values() if isinstance(g, trimesh.path.Path3D)]
    if not lines:
        raise Wrong("no edges")
    starts = np.cumsum([0, *[len(p) for p in parts]])
    corners = np.vstack(parts) * [1000, -1000, -1000]
    document = json.loads(data[20:20 + int.from_bytes(data[12:16], "little")])
    return corners, np.vstack([f + s for f, s in zip(faces, starts)]), json.dumps(document["nodes"][0]["extras"])


def read(path):
    """The mesh of a file, and its words."""
    data = path.read_bytes()
    if path.suffix == ".stl":
        mesh = trimesh.load_mesh(io.BytesIO(data), file_type="stl", process=False)
        corners, triangles, words = mesh.vertices, mesh.faces, data[:80].decode("ascii")
    else:
        corners, triangles, words = of_3mf(data) if path.suffix == ".3mf" else of_glb(data)
    mesh = trimesh.Trimesh(corners, triangles, process=False)
    # what is one place in the file is one corner; triangles between two that became one have no area
    mesh.merge_vertices(digits_vertex=9)
    mesh.update_faces(mesh.faces[:, 0] != mesh.faces[:, 1])
    mesh.update_faces((mesh.faces[:, 1] != mesh.faces[:, 2]) & (mesh.faces[:, 2] != mesh.faces[:, 0]))
    return mesh, words


def inspect(lines, name, path, order, want, deviation):
    """Everything the file must hold."""
    wheel, (mesh, words) = resolve(order, name), read(path)
    slack = FORMATS[path.suffix[1:]]
    lines.that(f"{name} is watertight", mesh.is_watertight, f"{len(mesh.faces)} triangles")
    lines.that(f"{name} is wound alike", mesh.is_winding_consistent)
    lines.that(f"{name} is one body", mesh.body_count == 1, f"{mesh.body_count}")
    volume, allowed = want["wheel"]["volume"], deviation * mesh.area
    lines.close(f"{name} volume", mesh.volume, volume, least=allowed)
    wide = wheel.radius
    heights = [z for a, middle, b in contour(wheel) for p in (a, middle, b) if p for z in p[1:2]]
    bounds = [[-wide, -wide, min(heights)], [wide, wide, max(heights)]]
    off = np.abs(mesh.bounds - bounds).max()
    grooved = any(g.where == "face" for g in wheel.groove_sets())
    lines.that(f"{name} bounds", off < (0.05 * wide if grooved else deviation + slack), f"off by {off:.1e}")
    lines.that(f"{name} lies within the wheel", (np.hypot(*mesh.vertices.T[:2]) < wide + slack).all() and (np.hypot(*mesh.vertices.T[:2]) > wheel.bore - slack).all())
    head = order["order"]
    lines.that(f"{name} says what it is", f"{head['number']}-{head['revision']}" in words and "State: " in words or path.suffix == ".stl" and words.startswith("wheel "), words[:60])


def compare(item):
    name, order, ending = item

    def found(lines, path, folder):
        inspect(lines, f"{name} {ending}", path, order, judging.properties(order), DEVIATION)
        first = path.read_bytes()
        write(order, folder, ending)
        lines.that(f"{name} {ending} is the same every time", path.read_bytes() == first)

    return solid_files.lines_of(f"{name} {ending}", order, ending, found)


def items(options):
    every, is_light = solid_files.orders(options, "MESH_ORDERS")
    endings = list(FORMATS)
    # formats take turns
    return [(name, order, endings[i % len(endings)]) for i, (name, order) in enumerate(o for o in every if is_light(o[1]))]


def judge(checks, options):
    total, refused = 0, []
    with Pool(2) as pool:
        for (name, _, _), lines in zip(work := items(options), pool.imap(compare, work)):
            checks.absorb(lines)
            total += 1
            refused += [name] if solid_files.is_refused(lines) else []
    checks.that("most wheels are made", len(refused) < 0.5 * total, f"{len(refused)} of {total} refused: {', '.join(refused)}")


ORDER = {
    "order": {"number": "M1", "revision": "A", "item": "grooves over a taper and a corner"}, "units": "mm",
    "wheel": {"outside_diameter": 300, "thickness": 40, "bore": 80, "side_a": {
        "taper": {"from_diameter": 200, "to_diameter": 280, "depth": 1}, "corner": {"radius": 2},
        "grooves": {"count": 12, "width": 4, "depth": 3, "inner_diameter": 150, "bottom": "round"}}},
}


def selftest(checks, _options):
    want = judging.properties(ORDER)

    def verdict(path, order=ORDER, deviation=DEVIATION):
        trial = judging.Checks(quiet=True)
        try:
            inspect(trial, "trial", path, order, want, deviation)
        except Exception:
            trial.that("read", False)
        return trial

    with tempfile.TemporaryDirectory() as folder:
        for ending in FORMATS:
            path, words = write(ORDER, folder, ending)
            right = verdict(path)
            checks.that(f"a right {ending} passes", right.failed == 0 and right.passed >= 7, f"{right.failed} failed")
            coarse, _ = write(ORDER, folder, ending, "--deviation", "0.5 mm")
            checks.that(f"{ending}: a coarser mesh than promised is noticed", verdict(coarse, deviation=0.001).failed > 0)
            larger = copy.deepcopy(ORDER)
            larger["wheel"]["thickness"] += 0.5
            write(ORDER, folder, ending)
            checks.that(f"{ending}: another wheel is noticed", verdict(path, larger).failed > 0)
        path, _ = write(ORDER, folder, "stl")
        data = path.read_bytes()
        faces = int.from_bytes(data[80:84], "little")
        for what, wrong in {
            "a triangle left out": data[:80] + (faces - 1).to_bytes(4, "little") + data[84:-50],
            "a triangle turned over": data[:84] + data[84:108] + data[120:132] + data[108:120] + data[132:],
            "a corner moved": data[:96] + np.float32(1).tobytes() + data[100:],
            "all turned over": data[:84] + b"".join(data[i:i + 24] + data[i + 36:i + 48] + data[i + 24:i + 36] + data[i + 48:i + 50] for i in range(84, len(data), 50)),
        }.items():
            path.write_bytes(wrong)
            checks.that(f"noticed: {what}", wrong != data and verdict(path).failed > 0)


if __name__ == "__main__":
    judging.main(judge, selftest)
