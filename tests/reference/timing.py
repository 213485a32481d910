"""Side by side: time and error of this program and of a solid kernel, and time of this program and of ezdxf. Prints tables in markdown.

`python timing.py` in the judges' environment, with cargo at hand; it takes a few minutes and is no test. What is exact is worked out by
line integrals along the section and by SciPy over each groove, which neither side uses.
"""

import io
import json
import logging
import os
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

import dxf_wheel
import dxf_writing
import solid
from integrals import one_groove
from judge_integrals import plain_moments
from order_model import read

HERE = Path(__file__).resolve().parent
ORDERS = sorted((HERE / "timing").glob("*.json"))
GROOVED = "round-bottom-grooves-both-sides-over-a-taper"


def ours():
    """{name: times in seconds} and {name: numbers}, measured inside the program's own bench."""
    root = HERE.parents[1]
    done = subprocess.run(["cargo", "bench", "--quiet", "--bench", "side_by_side", "--", *map(str, ORDERS)],
                          cwd=root, capture_output=True, text=True, check=True)
    times = {Path(line["order"]).stem: line for line in map(json.loads, done.stdout.splitlines())}
    program = os.environ.get("WHEELDRAFT", root / "target/release/wheeldraft")
    said = {p.stem: json.loads(subprocess.run([program, "properties", p, "--format", "json"], capture_output=True, check=True).stdout) for p in ORDERS}
    return times, said


def exact(wheel):
    """Volume of the wheel and of all its grooves, which here keep clear of each other."""
    grooves = sum(len(g.angles()) * one_groove(wheel, g)["volume"] for g in wheel.groove_sets())
    return plain_moments(wheel)[0] - grooves, grooves


def timed(work, least=3):
    """(result, median seconds of processor time, so that what else is running does not count against them)."""
    times = []
    while len(times) < least:
        begun = time.process_time()
        result = work()
        times.append(time.process_time() - begun)
    return result, statistics.median(times)


def kernel(wheel):
    """Volume of wheel and grooves by building and measuring the solid; seconds."""
    def work():
        solid.section_properties(wheel)
        mass, removed = solid.wheel_properties(wheel)
        return mass.volume, removed
    return timed(work)


def seconds(value):
    for unit, size in (("s", 1), ("ms", 1e-3), ("µs", 1e-6)):
        if value >= size:
            return f"{value / size:.3g} {unit}"
    return f"{value / 1e-9:.3g} ns"


def off(got, want):
    return f"{abs(got / want - 1):.0e}" if want else "–"


def volumes(times, said):
    print("| wheel | wheeldraft | off: wheel, grooves | solid kernel | off: wheel, grooves | ratio of times |")
    print("| --- | --- | --- | --- | --- | --- |")
    for path in ORDERS:
        wheel, mine = read(path), said[path.stem]["wheel"]
        want, want_grooves = exact(wheel)
        (volume, removed), theirs = kernel(wheel)
        own = times[path.stem]["properties"]
        print(f"| {path.stem.replace('-', ' ')} | {seconds(own)} | {off(mine['volume'], want)}, {off(mine['groove_volume'], want_grooves)} "
              f"| {seconds(theirs)} | {off(volume, want)}, {off(removed, want_grooves)} | {theirs / own:.0f} |", flush=True)


def files(times):
    wheel = read(HERE / "timing" / f"{GROOVED}.json")
    print("| 2 × 180 grooves | wheeldraft | MB/s | geometry too | all of `cut` | ezdxf | MB/s | ratio | floor | times the floor |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for flavour, mine in times[GROOVED]["dxf"].items():
        # the geometry is worked out beforehand, as for our own first column
        prepared = [dxf_writing.paths(wheel, flavour, g, end) for _, end, g in dxf_wheel.parts(wheel) if g]

        def write():
            out = [io.StringIO() for _ in prepared]
            for paths, to in zip(prepared, out):
                dxf_writing.document(paths, flavour).write(to)
            return sum(len(to.getvalue()) for to in out)

        length, theirs = timed(write, 7)
        rate = lambda size, time: f"{size / time / 1e6:.0f}"
        print(f"| {flavour}, {mine['bytes'] / 1e3:.0f} kB | {seconds(mine['write'])} | {rate(mine['bytes'], mine['write'])} | {seconds(mine['draw_and_write'])} "
              f"| {seconds(mine['cut'])} "
              f"| {seconds(theirs)} | {length / theirs / 1e6:.1f} | {theirs / mine['write']:.0f} | {seconds(mine['floor'])} | {mine['write'] / mine['floor']:.1f} |")


def sheets(times):
    print("| approval drawing of | svg | floor | times the floor |")
    print("| --- | --- | --- | --- |")
    for name, line in times.items():
        mine = line["svg"]
        print(f"| {name.replace('-', ' ')}, {mine['bytes'] / 1e3:.0f} kB | {seconds(mine['write'])} | {seconds(mine['floor'])} | {mine['write'] / mine['floor']:.1f} |")


def solids(times):
    print("| solid of | faces exact, as STEP | solid kernel | ratio | mesh for a screen |")
    print("| --- | --- | --- | --- | --- |")
    for path in ORDERS:
        wheel, mine = read(path), times[path.stem]["solid"]

        def build():
            base, tools, _ = solid.stock_and_tools(wheel, 1)
            shape = solid.boolean(BRepAlgoAPI_Cut, base, tools) if tools else base
            with tempfile.TemporaryDirectory() as folder:
                writer = STEPControl_Writer()
                writer.Transfer(shape, STEPControl_AsIs)
                writer.Write(str(Path(folder) / "wheel.step"))

        _, theirs = timed(build, 1)
        print(f"| {path.stem.replace('-', ' ')}, {mine['bytes'] / 1e6:.2g} MB | {seconds(mine['step'])} | {seconds(theirs)} | {theirs / mine['step']:.0f} "
              f"| {seconds(mine['mesh'])}, {mine['triangles']} triangles |", flush=True)


if __name__ == "__main__":
    # it warns of every file of release 12 that this has no unit in its header
    logging.getLogger("ezdxf").setLevel(logging.ERROR)
    all_times, numbers = ours()
    volumes(all_times, numbers)
    print()
    files(all_times)
    print()
    sheets(all_times)
    print()
    solids(all_times)
