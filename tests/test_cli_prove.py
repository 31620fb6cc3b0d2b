"""The command that proves programmes, by its example."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from inlayfit import cli
from inlayfit.errors import InputError

EXAMPLE = Path(__file__).parent.parent / "examples" / "proving"
TOOLS = ("--tool", "1=clearing", "--tool", "2=v", "--tool", "3=cut_out")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE, tmp_path / "tile")
    return tmp_path / "tile"


def prove(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(cli.main, ["prove", str(folder / "arrow-tile.yaml"), *arguments])


def test_a_sound_pair_seats(folder: Path) -> None:
    result = prove(folder)
    assert result.exit_code == 0
    assert "These two will seat\n" in result.output and "hand on the" in result.output


def test_the_first_try_is_told_with_line_and_number(folder: Path) -> None:
    result = prove(folder, "--plug", str(folder / "arrow-plug-first-try.nc"), *TOOLS, "--format", "json")
    assert result.exit_code == 1
    told = json.loads(result.output)
    first = told["changes"][0]
    assert (told["verdict"], first["check"]) == ("does not fit", "programme-depths")
    assert first["file"].endswith("arrow-plug-first-try.nc") and first["line"] == 7
    assert first["type"] == "the start depth was left at 0: type 2.60 as the plug's start depth"
    assert {entry["id"] for entry in told["checks"]} >= {"programme-read", "wall-gouged", "seat", "joint-line"}
    assert len(told["inputs"]) == 3 and all(len(entry["sha256"]) == 64 for entry in told["inputs"])
    assert "seat" not in told


def test_json_of_a_sound_pair(folder: Path) -> None:
    told = json.loads(prove(folder, "--format", "json").output)
    assert told["verdict"] == "fits" and told["changes"] == []
    assert told["seat"]["lift"] == pytest.approx(0, abs=0.001)
    assert [entry["part"] for entry in told["files"]] == ["pocket", "pocket", "plug", "plug", "plug"]
    assert all(entry["minutes"] > 0 for entry in told["files"])


def test_a_word_that_is_not_read_ends_with_2(folder: Path) -> None:
    path = folder / "arrow-base.nc"
    path.write_text(path.read_text().replace("G0 X", "G41 D1 G0 X", 1))
    with pytest.raises(InputError, match=r"arrow-base\.nc:6:1: G41: cutter compensation .* post the programme"):
        raise_of(folder)


def raise_of(folder: Path, *arguments: str) -> None:
    """Run, and raise what the command line turns into status 2."""
    result = prove(folder, *arguments)
    assert result.exit_code != 0
    if isinstance(result.exception, InputError):
        raise result.exception
    raise InputError(result.output)


@pytest.mark.parametrize(
    ("arguments", "problem"),
    [
        (("--pocket", "none.nc=v"), "none.nc: cannot be read"),
        (("--pocket", "=v"), "expected FILE or FILE=BIT"),
        (("--plug", "arrow-plug.nc", "--tool", "two=v"), "expected NUMBER=BIT"),
        (("--set", "outline="), "expected the outline"),
    ],
)  # fmt: skip
def test_mistakes_on_the_command_line(
    folder: Path, arguments: tuple[str, ...], problem: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    with pytest.raises(InputError, match=problem):
        raise_of(folder, *arguments)


def test_which_bit_is_asked_for(folder: Path) -> None:
    with pytest.raises(InputError, match=r"programmes\.plug: .*cuts with T1 \(line 7\), T2 \(line"):
        raise_of(folder, "--plug", str(folder / "arrow-plug.nc"))


def test_doubt_fails_with_strict(folder: Path) -> None:
    path = folder / "arrow-base.nc"
    path.write_text(path.read_text().replace("G54\n", "G54 G64\n", 1))
    assert prove(folder).exit_code == 0
    result = prove(folder, "--strict")
    assert result.exit_code == 1
    assert "in doubt: programme-read" in result.output and "G64: without P" in result.output


def test_tools_for_the_sheets_own_files(folder: Path) -> None:
    sheet = folder / "arrow-tile.yaml"
    text = sheet.read_text(encoding="utf-8")
    sheet.write_text(text.replace(", tools: {1: clearing, 2: v, 3: cut_out}", ""))
    with pytest.raises(InputError, match=r"programmes\.plug: .*cuts with T1"):
        raise_of(folder)
    assert prove(folder, *TOOLS).exit_code == 0


def test_tools_that_no_file_can_use_are_refused(folder: Path) -> None:
    with pytest.raises(InputError, match=r"--tool: found '1=clearing', expected a file without a bit of its own"):
        raise_of(folder, *TOOLS)
    with pytest.raises(InputError, match=r"--tool: found 9=v, expected a T number that cuts"):
        raise_of(folder, "--plug", str(folder / "arrow-plug.nc"), *TOOLS, "--tool", "9=v")
