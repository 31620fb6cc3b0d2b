"""``inlayfit check``: lines, statuses, streams, order, interrupts, closed pipes, crashes; and the recipes in docs."""

from __future__ import annotations

import csv
import io
import json
import os
import pty
import re
import select
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from inlayfit.batch.lines import COLUMNS
from inlayfit.cli import main

ROOT = Path(__file__).parent.parent
DEPTHS_ONLY = """\
unit: mm
base: {thickness: 19, least_floor: 3}
plug: {thickness: 12, border: 6, least_web: 1.5}
joint: {pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5, level_below: 0.25, sanding: 0.25}
bits:
  v: {angle: 30, tip: 0.1, diameter: 6, reach: 11, depth_of_cut: 6, stepover: 2 %}
  clearing: {diameter: 3, reach: 18, depth_of_cut: 3, stepover: 40 %}
"""
TILE = DEPTHS_ONLY + "outline: {shapes: [{rectangle: [60, 40]}]}\n"
LONG_RUN = ("tile.yaml", "--vary", "joint.pocket_depth=4..5.999..0.001")
SEVERAL = ["--jobs", "2"]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("NO_COLOR", raising=False)
    write(tmp_path, {"plain.yaml": DEPTHS_ONLY, "tile.yaml": TILE})
    write(tmp_path, {"doubtful.yaml": DEPTHS_ONLY.replace("surface_gap: 2.5", "surface_gap: 0.8")})
    write(tmp_path, {"bad.yaml": DEPTHS_ONLY.replace("thickness: 12", "thickness: 9")})
    write(tmp_path, {"typo.yaml": DEPTHS_ONLY.replace("glue_gap", "glue_gapp")})
    return tmp_path


def write(folder: Path, files: dict[str, str]) -> None:
    for name, words in files.items():
        (folder / name).write_text(words, encoding="utf-8")


def check(*arguments: str, given: str | None = None) -> Result:
    result = CliRunner().invoke(main, ["check", *arguments, "--jobs", "1"], prog_name="inlayfit", input=given)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def process(*arguments: str, **more: Any) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "inlayfit", "check", *arguments],
        stdout=more.pop("stdout", subprocess.PIPE),
        stderr=more.pop("stderr", subprocess.PIPE),
        # a reader that reads ahead would hide lines from communicate()
        bufsize=0,
        **more,
    )


def rows(output: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in output.splitlines()]


def test_text_has_a_line_for_each_sheet_and_words_about_the_run_apart(shop: Path) -> None:
    result = check("plain.yaml", "tile.yaml", "doubtful.yaml", "bad.yaml", "typo.yaml")
    lines = result.stdout.splitlines()
    assert [line.split("  ")[0].strip() for line in lines] == [
        "plain.yaml", "tile.yaml", "doubtful.yaml", "bad.yaml", "typo.yaml",
    ]  # fmt: skip
    verdicts = ["fits", None, "doubtful", "does not fit", "not read"]
    for line, verdict in zip(lines, verdicts, strict=True):
        assert verdict is None or f"  {verdict}" in line
    assert "surface gap: 0.80 mm between the base's face and the plug's own floor" in lines[2]
    assert "plug back: " in lines[3]
    mistake, closing = result.stderr.splitlines()
    assert mistake == "typo.yaml:4:26: joint.glue_gapp: unknown key, the nearest is glue_gap"
    assert closing.startswith("5 sheets: ")
    assert closing.endswith("1 sheet could not be read")


@pytest.mark.parametrize(
    ("sheets", "more", "status"),
    [
        (["plain.yaml"], [], 0),
        (["doubtful.yaml"], [], 0),
        (["doubtful.yaml"], ["--strict"], 1),
        (["plain.yaml", "bad.yaml"], [], 1),
        (["bad.yaml", "typo.yaml", "plain.yaml"], [], 2),
        (["gone.yaml"], [], 2),
        ([], [], 2),
        (["plain.yaml"], ["--vary", "joint.glue_gap=1,1"], 2),
        (["plain.yaml"], ["--vary", "joint.surface_gap=3,6"], 1),
        (["plain.yaml"], ["--vary", "joint.surface_gap=2.5, 6"], 1),
        (["plain.yaml"], ["--jobs", "0"], 2),
    ],
)
def test_exit_status(shop: Path, sheets: list[str], more: list[str], status: int) -> None:
    result = CliRunner().invoke(main, ["check", *sheets, *more], prog_name="inlayfit")
    assert result.exit_code == status
    assert result.stderr
    if not sheets or (status == 2 and more):
        assert result.stdout == ""


def test_json_lines_are_what_plan_says_with_the_variant_or_an_error(shop: Path) -> None:
    vary = ("--vary", "joint.glue_gap=0.4,0.5")
    found = rows(check("tile.yaml", "typo.yaml", *vary, "--format", "jsonl").stdout)
    assert [(row["sheet"], row["variant"]) for row in found] == [
        (sheet, {"joint.glue_gap": gap}) for sheet in ("tile.yaml", "typo.yaml") for gap in ("0.4", "0.5")
    ]
    for row in found[:2]:
        gap = row.pop("variant")["joint.glue_gap"]
        planned = CliRunner().invoke(main, ["plan", "tile.yaml", "--format", "json", "--set", f"joint.glue_gap={gap}"])
        assert row == json.loads(planned.stdout)
    for row in found[2:]:
        assert set(row) == {"sheet", "variant", "error"}
        assert "unknown key, the nearest is glue_gap" in row["error"]
    assert rows(check("plain.yaml", "--format", "jsonl").stdout)[0]["variant"] == {}


def test_csv_has_fixed_columns_and_one_unit(shop: Path) -> None:
    write(shop, {"inches.yaml": "unit: in\nbase: {thickness: 3/4}\nplug: {thickness: 1/2}\nbits: {v: {angle: 30}}\n"})
    arguments = ("inches.yaml", "tile.yaml", "typo.yaml", "bad.yaml", "--format", "csv")
    for more, unit, depth in (((), "mm", 6), (("--unit", "in"), "in", 6 / 25.4)):
        result = check(*arguments, *more)
        assert result.stdout.splitlines()[0] == ",".join(COLUMNS)
        table = list(csv.DictReader(io.StringIO(result.stdout)))
        assert [row["sheet"] for row in table] == ["inches.yaml", "tile.yaml", "typo.yaml", "bad.yaml"]
        assert [row["unit"] for row in table] == [unit, unit, "", unit]
        assert float(table[1]["pocket_depth"]) == pytest.approx(depth, abs=1e-6)
        assert table[0]["area"] == ""
        assert float(table[1]["area"]) == pytest.approx(2400 / (25.4**2 if unit == "in" else 1), abs=1e-6)
        assert "plug-web" in table[3]["failed"].split()
        assert "unknown key" in table[2]["error"]


def test_csv_has_a_column_for_each_varied_key_in_the_sheets_unit(shop: Path) -> None:
    write(shop, {"inches.yaml": "unit: in\nbase: {thickness: 3/4}\nplug: {thickness: 1/2}\nbits: {v: {angle: 30}}\n"})
    vary = [word for text in ("joint.pocket_depth=1/8,5mm", "bits.v.angle=30 deg,60", "plug.wood=hard maple")
            for word in ("--vary", text)]  # fmt: skip
    result = check("inches.yaml", "gone.yaml", *vary, "--format", "csv")
    head, *_ = result.stdout.splitlines()
    assert head == ",".join([*COLUMNS, "joint.pocket_depth", "bits.v.angle", "plug.wood"])
    table = list(csv.DictReader(io.StringIO(result.stdout)))
    assert [float(row["joint.pocket_depth"]) for row in table[:4]] == pytest.approx([0.125] * 2 + [5 / 25.4] * 2)
    assert [row["bits.v.angle"] for row in table[:4]] == ["30.0", "60.0"] * 2
    assert {row["plug.wood"] for row in table} == {"hard maple"}
    # of a sheet that is not there the words stand as they were given
    assert [row["joint.pocket_depth"] for row in table[4:]] == ["1/8", "1/8", "5mm", "5mm"]
    # results in another unit leave it as it is
    again = csv.DictReader(io.StringIO(check("inches.yaml", *vary, "--format", "csv", "--unit", "mm").stdout))
    assert [row["joint.pocket_depth"] for row in again] == [row["joint.pocket_depth"] for row in table[:4]]


def test_best_shows_what_it_ranks_by(shop: Path) -> None:
    vary = ("--vary", "joint.surface_gap=2.5,2", "--best")
    for line in check("plain.yaml", *vary).stdout.splitlines():
        assert re.search(r"  fits +margin +\d+%  +\d+ passes  ", line), line
    write(shop, {"timed.yaml": DEPTHS_ONLY + "outline: {shapes: [{rectangle: [60, 40]}]}\n"
                 "cutting: {v: {feed: 1500}, clearing: {feed: 2000}}\n"})  # fmt: skip
    record = rows(check("timed.yaml", *vary, "--format", "jsonl").stdout)[0]
    first = check("timed.yaml", *vary).stdout.splitlines()[0]
    (minutes,) = re.findall(r"margin +-?\d+%  +([\d.]+) min  ", first)
    assert float(minutes) == pytest.approx(record["shop"]["minutes"]["total"], abs=0.5)
    assert "margin" not in check("plain.yaml", *vary[:2]).stdout


def test_mistake_of_a_sheet_is_told_once_for_all_its_variants(shop: Path) -> None:
    result = check("typo.yaml", "--vary", "joint.surface_gap=2.4..2.6..0.1")
    assert len(result.stdout.splitlines()) == 3
    assert result.stderr.count("unknown key") == 1


def test_best_ranks_each_sheets_variants(shop: Path) -> None:
    arguments = ("plain.yaml", "tile.yaml", "--vary", "joint.surface_gap=0.8, 2.5, 6", "--best")
    found = rows(check(*arguments, "--format", "jsonl").stdout)
    assert [(row["sheet"], row["rank"]) for row in found] == [
        (sheet, rank) for sheet in ("plain.yaml", "tile.yaml") for rank in (1, 2, 3)
    ]
    assert [row["variant"]["joint.surface_gap"] for row in found[:3]] == ["2.5", "0.8", "6"]
    assert check(*arguments).stdout.splitlines()[0].startswith("  1.  plain.yaml  joint.surface_gap=2.5  fits")


def test_sheets_from_standard_input_a_list_and_a_folder(shop: Path) -> None:
    assert check("-", "plain.yaml", given=DEPTHS_ONLY).stdout.startswith("-           fits")
    assert check("--list", "-", given="plain.yaml\ntile.yaml\n").stdout.count("\n") == 2
    (shop / "lids").mkdir()
    write(shop / "lids", {"b.yaml": DEPTHS_ONLY, "a.yml": DEPTHS_ONLY, "bits.yaml": "bits: {v: {angle: 30}}\n"})
    result = check("lids")
    assert [line.split()[0] for line in result.stdout.splitlines()] == [
        os.path.join("lids", name) for name in ("a.yml", "b.yaml")
    ]
    passed_over = os.path.join("lids", "bits.yaml")
    assert result.stderr.splitlines()[0] == f"passed over, since they have no base: {passed_over}"


def test_shop_file_serves_one_sheet_for_a_customer_with_other_bits(shop: Path) -> None:
    no_bits = "\n".join(line for line in TILE.splitlines() if "bits" not in line and "{angle" not in line)
    write(
        shop,
        {"design.yaml": no_bits.replace("  clearing: {diameter: 3, reach: 18, depth_of_cut: 3, stepover: 40 %}", "")},
    )
    write(shop, {"customer.yaml": "bits: {v: {angle: 60, diameter: 12}, clearing: {diameter: 2}}\n"})
    assert check("design.yaml").exit_code == 2
    found = rows(check("design.yaml", "--shop", "customer.yaml", "--format", "jsonl").stdout)[0]
    assert {entry["bit"] for entry in found["passes"] if entry["step"] == "walls"} == {"60 deg V-bit"}


def test_order_and_words_do_not_depend_on_the_number_of_processes(shop: Path) -> None:
    sheets = ("tile.yaml", "plain.yaml", "typo.yaml", "tile.yaml", "gone.yaml", "bad.yaml")
    outputs = []
    for jobs in ("1", "2", "5"):
        vary = ("--vary", "joint.surface_gap=2.3..2.6..0.1")
        run = process(*sheets, *vary, "--format", "jsonl", "--jobs", jobs, "--best")
        out, err = run.communicate(timeout=60)
        assert run.returncode == 2
        outputs.append((out, err))
    assert outputs[0] == outputs[1] == outputs[2]
    assert outputs[0][0].count(b"\n") == len(sheets) * 4


def test_lines_flow_as_results_come(shop: Path) -> None:
    run = process(*LONG_RUN, *SEVERAL)
    assert run.stdout is not None
    first = run.stdout.readline()
    assert b"joint.pocket_depth=4 " in first
    assert run.poll() is None
    run.send_signal(signal.SIGINT)
    run.communicate(timeout=30)


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_interrupt_prints_what_is_finished_in_order_and_ends_with_130(shop: Path, jobs: str) -> None:
    run = process(*LONG_RUN, "--jobs", jobs, "--format", "jsonl", start_new_session=True)
    assert run.stdout is not None
    first = run.stdout.readline()
    # as a terminal does, to the whole group
    os.killpg(run.pid, signal.SIGINT)
    rest, err = run.communicate(timeout=30)
    assert run.returncode == 130
    found = [float(row["variant"]["joint.pocket_depth"]) for row in rows((first + rest).decode())]
    assert found == sorted(found)
    done = re.search(r"1 sheet in 2,000 variants, ([\d,]+) of 2,000 done: ", err.decode())
    assert done is not None
    assert int(done[1].replace(",", "")) == len(found)
    assert "Traceback" not in err.decode()
    assert err.decode().rstrip().endswith("interrupted")


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_closed_pipe_ends_quietly_with_141(shop: Path, jobs: str) -> None:
    run = process(*LONG_RUN, "--jobs", jobs)
    assert run.stdout is not None
    assert run.stderr is not None
    run.stdout.readline()
    run.stdout.close()
    assert run.stderr.read() == b""
    assert run.wait(timeout=30) == 141
    run.stderr.close()


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="looks up worker processes in /proc")
def test_killed_worker_costs_its_own_line_and_the_rest_still_finish(shop: Path) -> None:
    many = ("tile.yaml", "--nominal", "--vary", "joint.pocket_depth=4..4.199..0.001")
    run = process(*many, *SEVERAL, "--format", "jsonl")
    assert run.stdout is not None
    first = run.stdout.readline()
    workers = Path(f"/proc/{run.pid}/task/{run.pid}/children").read_text(encoding="ascii").split()
    assert len(workers) == 2
    os.kill(int(workers[0]), signal.SIGKILL)
    rest, err = run.communicate(timeout=60)
    found = rows((first + rest).decode())
    assert [row["variant"]["joint.pocket_depth"] for row in found] == [
        f"{4 + number / 1000:.3f}".rstrip("0").rstrip(".") for number in range(200)
    ]
    lost = [row for row in found if "error" in row]
    assert [row["error"] for row in lost] == ["inlayfit failed: the process that worked on it was killed by SIGKILL"]
    assert run.returncode == 70
    assert "inlayfit failed on 1 sheet" in err.decode()


def on_terminal(*arguments: str, until: str = "never") -> str:
    """What a terminal on standard error gets to see; the run is interrupted once it shows a pattern."""
    ours, theirs = pty.openpty()
    run = process(*arguments, stdout=subprocess.DEVNULL, stderr=theirs)
    os.close(theirs)
    seen = ""
    while select.select([ours], [], [], 30)[0]:
        try:
            seen += os.read(ours, 65536).decode()
        except OSError:
            # the other end is closed
            break
        if re.search(until, seen):
            run.send_signal(signal.SIGINT)
            until = "never"
    run.wait(timeout=30)
    os.close(ours)
    return seen


def test_progress_bar_only_on_a_terminal_and_only_for_long_runs(shop: Path) -> None:
    assert "[#" not in on_terminal("plain.yaml", *SEVERAL)
    seen = on_terminal(*LONG_RUN, "--jobs", "1", until=r"(of 2,000\r.*){3}")
    bars = [int(done.replace(",", "")) for done in re.findall(r"\[#*\.*\] ([\d,]+) of 2,000\r", seen)]
    assert len(bars) >= 3
    assert bars == sorted(bars)
    assert seen.splitlines()[-1] == "interrupted"


@pytest.mark.parametrize("command", ["plan", "check", "new"])
def test_help_shows_its_examples_line_by_line(command: str) -> None:
    shown = CliRunner().invoke(main, [command, "--help"]).stdout
    examples = shown.partition("Example:\n")[2].partition("Options:")[0].strip().splitlines()
    assert examples
    for example in examples:
        assert example.strip().startswith(f"inlayfit {command}")


# --- recipes --------------------------------------------------------------------------------------------------------

PAGE = ROOT / "docs" / "catalogues.md"
BLOCK = re.compile(r"^```(sh|make)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def recipes() -> dict[str, str]:
    """Each recipe by the word in its first line's comment."""
    found = {}
    for _, body in BLOCK.findall(PAGE.read_text(encoding="utf-8")):
        name = re.match(r"# (\S+):", body)
        assert name is not None, body
        found[name[1]] = body
    return found


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write(tmp_path, {"lid.yaml": DEPTHS_ONLY, "sign.yaml": DEPTHS_ONLY, "tray.yaml": DEPTHS_ONLY.replace("19", "8")})
    programs = tmp_path / "programs"
    programs.mkdir()
    # the program under test, whatever else is installed
    (programs / "inlayfit").write_text(f'#!/bin/sh\nexec "{sys.executable}" -m inlayfit "$@"\n', encoding="utf-8")
    (programs / "inlayfit").chmod(0o755)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("PATH", f"{programs}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def shell(script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["bash", "-c", script], capture_output=True, text=True, timeout=60, check=False)


def sheets(folder: Path) -> list[str]:
    return sorted(path.stem for path in folder.glob("*.yaml"))


needs_bash = pytest.mark.skipif(shutil.which("bash") is None, reason="the recipes are for a shell")


@needs_bash
def test_recipe_loop_keeps_a_report_for_every_sheet(bench: Path) -> None:
    done = shell(recipes()["loop"])
    assert sorted(path.stem for path in bench.glob("*.txt")) == sheets(bench)
    for name in sheets(bench):
        report = (bench / f"{name}.txt").read_text(encoding="utf-8")
        assert (f"{name}.yaml: " in done.stdout) == ("DOES NOT FIT" in report.splitlines()[1])
    assert "tray.yaml: status 1" in done.stdout


@needs_bash
def test_recipe_xargs_writes_the_same_reports(bench: Path) -> None:
    shell(recipes()["xargs"])
    assert sorted(path.stem for path in bench.glob("*.txt")) == sheets(bench)
    for name in sheets(bench):
        report = CliRunner().invoke(main, ["plan", f"{name}.yaml"]).stdout
        assert (bench / f"{name}.txt").read_text(encoding="utf-8") == report


@pytest.mark.skipif(shutil.which("make") is None, reason="needs make")
def test_recipe_make_works_out_what_has_changed(bench: Path) -> None:
    (bench / "Makefile").write_text(recipes()["Makefile"], encoding="utf-8")
    done = shell("make")
    assert done.returncode == 0, done.stderr
    assert sorted(path.stem for path in bench.glob("*.json")) == sheets(bench)
    assert "inlayfit" not in shell("make").stdout
    with (bench / "lid.yaml").open("a", encoding="utf-8") as sheet:
        sheet.write("dry_fit: {gaps: [0.1]}\n")
    assert shell("make").stdout.count("inlayfit plan") == 1
    with (bench / "lid.yaml").open("a", encoding="utf-8") as sheet:
        sheet.write("no_such_key: 1\n")
    failed = shell("make")
    assert failed.returncode != 0
    assert not (bench / "lid.json").exists()


@needs_bash
def test_recipe_gate_stops_before_anything_is_published(bench: Path) -> None:
    done = shell(recipes()["gate"])
    assert done.returncode != 0
    assert "published" not in done.stdout
    (bench / "tray.yaml").unlink()
    done = shell(recipes()["gate"])
    assert (done.returncode, "published" in done.stdout) == (0, True)


@needs_bash
def test_recipe_pieces_put_together_are_the_whole(bench: Path) -> None:
    done = shell(
        "set -e\n" + recipes()["pieces"] + "\ninlayfit check --list sheets.txt --format jsonl > whole.jsonl || true"
    )
    assert done.returncode == 0, done.stderr
    whole = (bench / "whole.jsonl").read_bytes()
    assert (bench / "results.jsonl").read_bytes() == whole
    assert whole.count(b"\n") == len(sheets(bench))
    assert len(list(bench.glob("part.*.jsonl"))) > 1


@needs_bash
def test_recipe_query_names_what_does_not_fit(bench: Path) -> None:
    done = shell(recipes()["query"].replace("python3", f'"{sys.executable}"'))
    assert done.stdout.split()[0] == "tray.yaml"
