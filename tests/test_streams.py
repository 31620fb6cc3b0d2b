"""What a run reads and writes, when a stream is closed, has no end, lacks a character, or would steer the terminal."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from inlayfit.cli import endings, main

PLAIN = """\
title: {title}
unit: mm
base: {{thickness: 19}}
plug: {{thickness: 12}}
bits: {{v: {{angle: 30, tip: 0.1, diameter: 6, reach: 12}}, clearing: {{diameter: 3, reach: 15}}}}
"""
TURNED = "\N{RIGHT-TO-LEFT OVERRIDE}"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "lid.yaml"
    path.write_text(PLAIN.format(title="Lid"), encoding="utf-8")
    return path


def shell(command: str, folder: Path, **environment: str) -> tuple[int, str, str]:
    """A command line in a shell; ``inlayfit`` in it is this one."""
    done = subprocess.run(
        ["sh", "-c", command.replace("inlayfit", f"'{sys.executable}' -m inlayfit")], cwd=folder, capture_output=True,
        env={**os.environ, **environment}, timeout=60, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


@pytest.mark.parametrize(
    ("command", "told"),
    [
        ("inlayfit plan lid.yaml >&-", "standard output: cannot be written: it is closed"),
        ("inlayfit check lid.yaml --jobs 1 >&-", "standard output: cannot be written: it is closed"),
        ("inlayfit new >&-", "standard output: cannot be written: it is closed"),
        ("inlayfit plan lid.yaml 1</dev/null", "standard output: cannot be written: bad file descriptor"),
        ("inlayfit plan - <&-", "standard input: cannot be read: it is closed"),
        ("inlayfit check - --jobs 1 <&-", "standard input: cannot be read: it is closed"),
    ],
)
def test_a_closed_stream_is_told_and_is_no_bug(sheet: Path, command: str, told: str) -> None:
    status, _, errors = shell(command, sheet.parent)
    assert (status, errors.strip()) == (2, told)


def test_closed_standard_error_costs_the_words_only(sheet: Path) -> None:
    status, output, _ = shell("inlayfit plan lid.yaml 2>&-", sheet.parent)
    assert status == 0
    assert output.startswith("Lid\n")
    assert shell("inlayfit check lid.yaml gone.yaml --jobs 1 2>&-", sheet.parent)[0] == 2
    assert shell("inlayfit plan gone.yaml 2>&-", sheet.parent)[0] == 2


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "cp437"])
def test_a_character_that_the_output_lacks_ends_nothing(sheet: Path, encoding: str) -> None:
    sheet.write_text(PLAIN.format(title="Lid \N{GREEK SMALL LETTER PHI} \N{SNOWMAN} \U0001f426"), encoding="utf-8")
    status, output, errors = shell("inlayfit plan lid.yaml", sheet.parent, PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert (status, errors) == (0, "")
    assert "\\u2603 \\ud83d\\udc26" in output.splitlines()[0]
    status, output, _ = shell("inlayfit plan lid.yaml --format json", sheet.parent, PYTHONIOENCODING=encoding)
    assert status == 0
    # what was written out is JSON's own way to write it
    assert json.loads(output)["title"].endswith("\N{SNOWMAN} \U0001f426")


def test_what_would_steer_the_terminal_is_written_out(tmp_path: Path) -> None:
    path = tmp_path / "lid.yaml"
    path.write_text(PLAIN.format(title=f"Lid {TURNED}dil"), encoding="utf-8")
    run = CliRunner()
    told = run.invoke(main, ["plan", str(path)]).stdout
    assert told.startswith("Lid \\u202edil\n")
    found = run.invoke(main, ["plan", str(path), "--format", "json"]).stdout
    assert TURNED not in found
    assert json.loads(found)["title"] == f"Lid {TURNED}dil"
    # mistakes quote the sheet, and a folder's files may be called anything
    path.write_text(PLAIN.format(title="Lid").replace("angle: 30", f"angle: 30{TURNED}"), encoding="utf-8")
    mistake = run.invoke(main, ["plan", str(path)])
    assert mistake.exit_code == 2
    assert "\\u202e" in mistake.stderr
    assert TURNED not in mistake.stderr
    hostile = tmp_path / "\x1b[31m\N{RIGHT-TO-LEFT OVERRIDE}.yaml"
    hostile.write_text(PLAIN.format(title="Lid").replace("angle", "angel"), encoding="utf-8")
    told = run.invoke(main, ["check", str(tmp_path), "--jobs", "1"])
    for words in (told.stdout, told.stderr):
        assert "\\u202e" in words
        assert TURNED not in words


def test_colour_is_left_and_nothing_else() -> None:
    red = "\x1b[31m\x1b[1mfails\x1b[0m"
    assert endings.shown(red) == red
    steering = "a\tb\nc\r\x07\x1b]0;title\x07\x9b31m"
    assert endings.shown(steering) == "a\tb\nc\\u000d\\u0007\\u001b]0;title\\u0007\\u009b31m"
    assert endings.shown("\udcff\N{BIRD}é") == "\\udcff\N{BIRD}é"


@pytest.mark.parametrize(
    ("arguments", "place", "most"),
    [
        (["plan", "/dev/zero"], "/dev/zero", 4),
        (["check", "/dev/zero", "--jobs", "1"], "/dev/zero", 4),
        (["plan", "lid.yaml", "--shop", "/dev/zero"], "/dev/zero", 4),
        (["check", "--list", "/dev/zero"], "/dev/zero", 4),
        (["bit", "--grooves", "/dev/zero"], "/dev/zero", 4),
        (["plan", "lid.yaml", "--set", "outline.file=endless.svg"], "--set outline.file: endless.svg", 20),
        (["plan", "lid.yaml", "--set", "outline.file=endless.dxf"], "--set outline.file: endless.dxf", 20),
    ],
)
@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="this system has no file without an end")
def test_a_file_without_end_is_read_no_further_than_its_limit(
    sheet: Path, arguments: list[str], place: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(sheet.parent)
    for name in ("endless.svg", "endless.dxf"):
        (sheet.parent / name).symlink_to("/dev/zero")
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert f"{place}: found more than {most} MB, expected at most that\n" in result.stderr
    assert len(result.stderr) < 300


def test_standard_input_without_end_is_read_no_further_than_its_limit(sheet: Path) -> None:
    status, _, errors = shell("inlayfit plan - < /dev/zero", sheet.parent)
    assert (status, errors) == (2, "standard input: found more than 4 MB, expected at most that\n")
