"""Hostile sheets among many: all the others come out, within memory and time."""

from __future__ import annotations

import csv
import io
import math
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from inlayfit.batch import sheet_checker
from inlayfit.batch.bounds import TooLong, limited_time
from inlayfit.batch.sheet_checker import Checker, request
from inlayfit.cli import main

SOUND = """\
title: Lid {number}
unit: mm
base: {{thickness: 19, least_floor: 3}}
plug: {{thickness: 12, border: 6, least_web: 1.5}}
joint: {{pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5, level_below: 0.25}}
bits:
  v: {{angle: 30, tip: 0.1, diameter: 6, reach: 11, depth_of_cut: 6}}
  clearing: {{diameter: 3, reach: 18, depth_of_cut: 3}}
outline: {{shapes: [{shapes}]}}
"""


def sound(number: int = 0, shapes: str = "{rectangle: [60, 40]}") -> str:
    return SOUND.format(number=number, shapes=shapes)


def wild(vertices: int) -> str:
    """A ring with an edge that goes in and out at every eighth vertex: all of it is corners and hairlines."""
    turns = [2 * math.pi * number / vertices for number in range(vertices)]
    radii = [20 + 5 * math.sin(vertices // 8 * turn) for turn in turns]
    points = (f"[{r * math.cos(turn):.4f}, {r * math.sin(turn):.4f}]" for r, turn in zip(radii, turns))
    return f"{{polygon: [{', '.join(points)}]}}"


def stars(count: int) -> str:
    return ", ".join(
        f"{{star: {{points: 360, across: {30 + n % 7}, inner: 20}}, at: [{n}, 0]}}" for n in range(count)
    )


HOSTILE = {
    "bomb": "a: &a [x, x, x, x, x, x, x, x, x]\n"
    + "".join(f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]\n" for a, b in zip("abcde", "bcdef")),
    "nested": "[" * 100_000,
    "passes": sound().replace("depth_of_cut: 6", "depth_of_cut: 1e-5"),
    "speck": sound(shapes="{rectangle: [1e-9, 1e-9]}"),
    "binary": "\0" * 1000,
    "long": "base: " + "x" * 3_900_000,
    "stepover": sound().replace("depth_of_cut: 6", "depth_of_cut: 6, stepover: 0.000001 mm"),
}


def write(folder: Path, files: dict[str, str]) -> None:
    for name, words in files.items():
        (folder / f"{name}.yaml").write_text(words, encoding="utf-8")


def outcomes(output: str) -> dict[str, str]:
    """Verdict of each sheet, by its name; empty where it was not read."""
    return {Path(row["sheet"]).stem: row["verdict"] for row in csv.DictReader(io.StringIO(output))}


def test_all_others_come_out(tmp_path: Path) -> None:
    write(tmp_path, HOSTILE | {f"lid{number:02}": sound(number) for number in range(20)})
    (tmp_path / "endless.yaml").symlink_to("/dev/zero")
    (tmp_path / "gone.yaml").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe.yaml")
    arguments = ["check", str(tmp_path), "--jobs", "1", "--nominal", "--format", "csv"]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    found = outcomes(result.stdout)
    assert {name for name, verdict in found.items() if verdict} == {f"lid{n:02}" for n in range(20)} | {"stepover"}
    assert {name for name, verdict in found.items() if not verdict} == {*HOSTILE, "endless", "gone"} - {"stepover"}
    assert "inlayfit failed" not in result.stdout + result.stderr
    assert all(len(line) < 500 for line in result.stderr.splitlines())


def test_a_pipe_for_a_drawing_is_not_waited_for(tmp_path: Path) -> None:
    write(tmp_path, {"lid": sound().replace("shapes: [{rectangle: [60, 40]}]", "file: pipe.svg")})
    os.mkfifo(tmp_path / "pipe.svg")
    result = CliRunner().invoke(main, ["plan", str(tmp_path / "lid.yaml")])
    assert result.exit_code == 2
    assert result.stderr.endswith("outline.file: pipe.svg: found a pipe, expected a file\n")


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="this system has no timers")
def test_time_is_limited_and_given_back() -> None:
    before = signal.getsignal(signal.SIGPROF)
    def busy() -> None:
        while True:
            math.sqrt(2)

    with pytest.raises(TooLong), limited_time(0.05):
        busy()
    with limited_time(30):
        assert signal.getitimer(signal.ITIMER_PROF)[0] > 0
    assert signal.getitimer(signal.ITIMER_PROF) == (0.0, 0.0)
    assert signal.getsignal(signal.SIGPROF) is before


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="this system has no timers")
def test_a_sheet_that_takes_too_long_is_told_and_the_next_is_checked(tmp_path: Path) -> None:
    write(tmp_path, {"wild": sound(shapes=stars(200)), "lid": sound()})
    names = [str(tmp_path / name) for name in ("wild.yaml", "lid.yaml")]
    check = Checker(request(names, nominal=True), most_seconds=0.5)
    late = check((0, 0))
    assert late.mistakes == (
        f"{names[0]}: takes longer than the 0.5 s that a sheet of many may take: simplify its outline, or run "
        "inlayfit plan on it alone",
    )
    check.most_seconds = 30
    assert check((1, 0)).record is not None


def test_a_sheet_that_takes_too_much_memory_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def hungry(*arguments: object, **more: object) -> None:
        raise MemoryError

    write(tmp_path, {"lid": sound()})
    check = Checker(request([str(tmp_path / "lid.yaml")]))
    shelf = check.shelf
    with monkeypatch.context() as patched:
        patched.setattr(sheet_checker.planning, "plan", hungry)
        (mistake,) = check((0, 0)).mistakes
    assert "lid.yaml: takes more memory than a sheet of many may take: simplify its outline" in mistake
    # nothing half worked out is handed on
    assert check.shelf is not shelf
    assert check((0, 0)).record is not None


@pytest.mark.skipif(sys.platform != "linux", reason="other systems count memory otherwise")
def test_memory_is_limited_by_the_number_of_workers() -> None:
    script = """
from inlayfit.batch.bounds import limit_memory
limit_memory({workers})
for size in (300, 420, 700, 1000):
    try:
        bytearray(size * 1_000_000)
        print(size)
    except MemoryError:
        pass
"""

    def allowed(workers: int) -> list[str]:
        done = subprocess.run([sys.executable, "-c", script.format(workers=workers)], capture_output=True, text=True,
                              check=True, timeout=60)  # fmt: skip
        return done.stdout.split()

    assert allowed(1) == ["300", "420", "700"]
    assert allowed(2) == ["300", "420"]
    # never less than a large outline needs
    assert allowed(16) == ["300"]


@pytest.mark.wide
@pytest.mark.skipif(sys.platform != "linux", reason="other systems count memory otherwise")
def test_a_thousand_sheets_of_which_ten_are_hostile(tmp_path: Path) -> None:
    hostile = HOSTILE | {"wild": sound(shapes=wild(9000)), "stars": sound(shapes=stars(900))}
    write(tmp_path, hostile | {f"lid{number:03}": sound(number) for number in range(990)})
    (tmp_path / "endless.yaml").symlink_to("/dev/zero")
    script = (
        "import resource, sys\nfrom inlayfit.cli import run\n"
        f"status = run(['check', {str(tmp_path)!r}, '--jobs', '2', '--draws', '0', '--format', 'csv'])\n"
        "largest = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss\n"
        "own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "print(status, 2 * largest + own, file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=1800)
    found = outcomes(done.stdout)
    assert {name for name, verdict in found.items() if verdict} == {f"lid{n:03}" for n in range(990)} | {"stepover"}
    assert set(found) >= set(hostile) | {"endless"}
    status, kilobytes = (int(word) for word in done.stderr.splitlines()[-1].split())
    assert status == 2
    assert kilobytes < 1_000_000
