"""How long the whole program takes, beside yardsticks timed in the same run; not part of the test suite.

``python tests/benchmarks/whole_program.py`` prints a table and ends with status 1 where an aim is missed. Ratios mean
the same on a fast and on a slow machine; run it on an idle one. Every figure is the fastest of several tries. Names of
parts behind the command, such as ``variants``, run these alone.
"""

from __future__ import annotations

import io
import json
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import redirect_stdout
from pathlib import Path

from inlayfit.batch.run import Run
from inlayfit.batch.sheet_checker import request
from inlayfit.batch.variants import read_varied
from inlayfit.cli import run as run_command_line
from inlayfit.cli.options import USUAL_DRAWS
from inlayfit.intake import take_in
from inlayfit.plan import plan
from inlayfit.report.text import text

DEPTHS_ONLY = """\
unit: mm
base: {thickness: 19, least_floor: 3}
plug: {thickness: 12, border: 6, least_web: 1.5}
joint: {pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5, level_below: 0.25, sanding: 0.25}
bits:
  v: {angle: 30, tip: 0.1, diameter: 6, reach: 11, depth_of_cut: 6, stepover: 2 %}
  clearing: {diameter: 3, reach: 18, depth_of_cut: 3, stepover: 40 %}
"""
CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def blossom(vertices: int, *, petals: int = 7, across: float = 120) -> str:
    """A closed curve with waves, as well-known text [mm]; ``petals`` tells one design from another."""
    points = []
    for number in range(vertices + 1):
        angle = 2 * math.pi * (number % vertices) / vertices
        radius = across / 2 * (0.75 + 0.25 * math.cos(petals * angle))
        points.append(f"{radius * math.cos(angle):.6f} {radius * math.sin(angle):.6f}")
    return f"POLYGON (({', '.join(points)}))"


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def fastest(work: Callable[[], object], tries: int, clock: Callable[[], float] = time.perf_counter) -> float:
    """Seconds of the fastest try."""
    best = math.inf
    for _ in range(tries):
        begun = clock()
        work()
        best = min(best, clock() - begun)
    return best


def busy(work: Callable[[], object], tries: int) -> float:
    """Seconds that the fastest try keeps the processor busy, for work in this process: others count little."""
    return fastest(work, tries, time.process_time)


class Bench:
    """Figures of one run, each beside its yardstick."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        # as in an installed program: modules are compiled once, not at every start
        self.environment = {
            **{name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"},
            "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
        }
        self.missed: list[str] = []

    def process(self, *arguments: str, tries: int = 15) -> float:
        def work() -> None:
            # a status of 1 is an answer too
            done = subprocess.run([sys.executable, *arguments], env=self.environment, cwd=self.folder,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)  # fmt: skip
            if done.returncode not in (0, 1):
                raise SystemExit(done.stderr.decode())

        work()
        return fastest(work, tries)

    def processor_time(self, *arguments: str) -> float:
        """Seconds that a process and its own processes keep processors busy."""
        before = os.times()
        self.process(*arguments, tries=0)
        after = os.times()
        return after.children_user + after.children_system - before.children_user - before.children_system

    def tell(self, what: str, seconds: float, yardstick: str, unit: float, *, aim: float | None = None) -> None:
        """One row: how often the yardstick goes into the figure, and the most it may."""
        ratio = seconds / unit
        met = "" if aim is None else f"aim: at most {aim:g}" + ("" if ratio <= aim else "   MISSED")
        if "MISSED" in met:
            self.missed.append(what)
        say(f"{what:<46}{seconds * 1000:>9.1f} ms {ratio:>9.2f} x {yardstick:<34}{met}".rstrip())


def write_sheets(folder: Path) -> None:
    (folder / "depths.yaml").write_text(DEPTHS_ONLY, encoding="utf-8")
    (folder / "blossom.wkt").write_text(blossom(1000), encoding="utf-8")
    sheet = DEPTHS_ONLY + "outline: {file: blossom.wkt}\n"
    (folder / "blossom.yaml").write_text(sheet, encoding="utf-8")


def start_up(bench: Bench) -> None:
    click, click_yaml = bench.process("-c", "import click"), bench.process("-c", "import click, yaml")
    libraries = bench.process("-c", "import numpy, shapely")
    bench.tell("inlayfit --help", bench.process("-m", "inlayfit", "--help"), "import click", click, aim=1.5)
    bench.tell("inlayfit plan, no outline", bench.process("-m", "inlayfit", "plan", "depths.yaml"),
               "import click, yaml", click_yaml, aim=2)  # fmt: skip
    bench.tell("inlayfit plan, 1,000 vertices", bench.process("-m", "inlayfit", "plan", "blossom.yaml", tries=5),
               "import numpy, shapely", libraries)  # fmt: skip


def planning(bench: Bench) -> None:
    intake = take_in(str(bench.folder / "blossom.yaml"))
    assert intake.outline is not None
    area = intake.outline.area
    offset = busy(lambda: area.buffer(-1.0, quad_segs=32), 20)
    planned = busy(lambda: plan(intake.job, intake.outline, draws=USUAL_DRAWS), 3)
    bench.tell("planning 1,000 vertices, in a process", planned, "one offset of the outline", offset)
    bench.tell("the same", planned, "a height field of 0.1 mm", height_field(area))


def height_field(area: object) -> float:
    """Seconds for the plain way to look at a joint: the pocket's depth on a grid of 0.1 mm."""
    import numpy as np
    import shapely

    def work() -> None:
        low_x, low_y, high_x, high_y = area.bounds  # type: ignore[attr-defined]
        x, y = np.meshgrid(np.arange(low_x, high_x, 0.1), np.arange(low_y, high_y, 0.1))
        shapely.prepare(area)
        inside = shapely.contains_xy(area, x, y)
        tree = shapely.STRtree(segments(area))
        points = shapely.points(x[inside], y[inside])
        _, distance = tree.query_nearest(points, return_distance=True, all_matches=False)
        np.minimum(6.0, distance / math.tan(math.radians(15)))

    return busy(work, 1)


def segments(area: object) -> object:
    import numpy as np
    import shapely

    found = []
    for ring in shapely.get_rings(shapely.get_parts(area)):
        points = shapely.get_coordinates(ring)
        found.append(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)))
    return np.concatenate(found)


def variants(bench: Bench) -> None:
    # the sheet has no more than depths, so that every variant is in closed form
    many = ["--vary", "joint.pocket_depth=4..5.998..0.002", "--format", "jsonl"]
    seconds = bench.process("-m", "inlayfit", "check", "depths.yaml", *many, tries=5)
    bench.tell("1,000 variants in closed form", seconds, "one second", 1.0, aim=1)

    sheet = str(bench.folder / "blossom.yaml")
    # as the command line does without further options
    wanted = request([sheet], varied=[read_varied("joint.pocket_depth=5..5.299..0.001")], draws=USUAL_DRAWS)
    assert len(wanted.variants) == 300
    depths = [dict(variant)["joint.pocket_depth"] for variant in wanted.variants]
    one_run = busy(lambda: [single(sheet, depth) for depth in depths[:30]], 2) * 10
    together = busy(lambda: len(list(Run(wanted, workers=1).outcomes())), 2)
    bench.tell("300 depths of one outline, one core", together, "300 single runs in a process", one_run, aim=1 / 5)
    wanted = request([sheet], varied=[read_varied("tolerance.touch_off=0.01..0.309..0.001")], draws=USUAL_DRAWS)
    together = busy(lambda: len(list(Run(wanted, workers=1).outcomes())), 2)
    bench.tell("300 touch-offs of one outline, one core", together, "300 single runs in a process", one_run)
    lots = ["-m", "inlayfit", "check", "blossom.yaml", "--vary", "joint.pocket_depth=5..5.299..0.001", "--jobs"]
    alone, spread = (bench.process(*lots, str(jobs), tries=2) for jobs in (1, CORES))
    bench.tell(f"300 depths of one outline, {CORES} processes", spread, "300 single runs in a process", one_run)
    bench.tell("    the same", spread, "the same in one process", alone)
    # says how near to linear it is on a machine that has other work to do as well
    alone, spread = (bench.processor_time(*lots, str(jobs)) for jobs in (1, CORES))
    bench.tell("    their processor time, in all", spread, "the same in one process", alone, aim=1.25)


def single(sheet: str, depth: str) -> None:
    """One ``inlayfit plan`` without the start of a process."""
    intake = take_in(sheet, settings=[f"joint.pocket_depth={depth}"])
    text(plan(intake.job, intake.outline, draws=USUAL_DRAWS))


def catalogue(bench: Bench) -> None:
    folder = bench.folder / "catalogue"
    folder.mkdir()
    for number in range(200):
        name = f"design-{number:03}"
        drawing = blossom(400 + number, petals=5 + number % 9, across=60 + number / 2)
        (folder / f"{name}.wkt").write_text(drawing, encoding="utf-8")
        sheet = DEPTHS_ONLY + f"outline: {{file: {name}.wkt}}\n"
        (folder / f"{name}.yaml").write_text(sheet, encoding="utf-8")
    libraries = bench.process("-c", "import numpy, shapely")
    for jobs in sorted({1, CORES}):
        seconds = bench.process("-m", "inlayfit", "check", "catalogue", "--jobs", str(jobs), tries=2)
        bench.tell(f"200 sheets of 200 outlines, {jobs} process{'es' * (jobs > 1)}", seconds,
                   "import numpy, shapely", libraries)  # fmt: skip
        say(f"    {200 / seconds / jobs:.1f} sheets a second and process")


def same_answers(bench: Bench) -> None:
    """The fast way gives what the slow way gives, or the figures mean nothing."""
    os.chdir(bench.folder)
    depths = read_varied("joint.pocket_depth=5..5.5..0.25")
    for outcome in Run(request(["blossom.yaml"], varied=[depths], draws=USUAL_DRAWS)).outcomes():
        written = io.StringIO()
        depth = outcome.variant["joint.pocket_depth"]
        with redirect_stdout(written):
            run_command_line(["plan", "blossom.yaml", "--set", f"joint.pocket_depth={depth}", "--format", "json"])
        assert outcome.record == {**json.loads(written.getvalue()), "variant": dict(outcome.variant)}


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder).resolve())
        write_sheets(bench.folder)
        say(f"Python {sys.version.split()[0]}, {CORES} cores")
        for part in (start_up, planning, variants, catalogue, same_answers):
            if part.__name__ in (sys.argv[1:] or [part.__name__]):
                part(bench)
        os.chdir("/")
    return 1 if bench.missed else 0


if __name__ == "__main__":
    sys.exit(main())
