"""inlayfit draw from outside: the file it writes, what it refuses, how it ends."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from click.testing import CliRunner
from drawn import NUMBER, Drawn

from inlayfit.cli import main

EXAMPLES = Path(__file__).parent.parent / "examples"
PLAIN = """\
title: Wren on a tea box
unit: mm
base: {thickness: 18}
plug: {thickness: 12}
joint: {pocket_depth: 6}
bits: {v: {angle: 30, tip: 0.1}}
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "wren.yaml"
    path.write_text(PLAIN, encoding="utf-8")
    return path


def run(*arguments: str, input: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["draw", *arguments], input=input)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def test_writes_the_drawing_and_ends_as_the_plan_does(sheet: Path, tmp_path: Path) -> None:
    picture = tmp_path / "joint.svg"
    assert run(str(sheet), "-o", str(picture)) == (0, "", "")
    drawn = Drawn(picture.read_text(encoding="utf-8"))
    assert drawn.dimension("pocket_depth")[0] == pytest.approx(6.0)

    status, _, _ = run(str(sheet), "-o", str(tmp_path / "thin.svg"), "--set", "base.thickness=6.5")
    assert status == 1
    assert "base left 0.50 mm (fails)" in " ".join(Drawn((tmp_path / "thin.svg").read_text()).words())
    in_doubt = ("--set", "joint.glue_gap=0.2")
    assert run(str(sheet), "-o", str(tmp_path / "doubtful.svg"), *in_doubt)[0] == 0
    assert run(str(sheet), "-o", str(tmp_path / "strict.svg"), *in_doubt, "--strict")[0] == 1


def test_unit_and_standard_input(tmp_path: Path) -> None:
    picture = tmp_path / "joint.svg"
    assert run("-", "-o", str(picture), "--unit", "in", input=PLAIN)[0] == 0
    assert any("0.2362 in" in words for words in Drawn(picture.read_text(encoding="utf-8")).words())


def test_an_existing_file_stays_unless_forced(sheet: Path, tmp_path: Path) -> None:
    picture = tmp_path / "joint.svg"
    picture.write_text("mine", encoding="utf-8")
    status, _, said = run(str(sheet), "-o", str(picture))
    assert status == 2
    assert said == f"{picture}: exists already: give another name, or --force to replace it\n"
    assert picture.read_text(encoding="utf-8") == "mine"

    assert run(str(sheet), "-o", str(picture), "--force")[0] == 0
    Drawn(picture.read_text(encoding="utf-8"))


def test_nothing_is_written_where_the_sheet_is_wrong(sheet: Path, tmp_path: Path) -> None:
    picture = tmp_path / "joint.svg"
    status, _, said = run(str(sheet), "-o", str(picture), "--set", "joint.glue_gap=7")
    assert status == 2
    assert "glue gap" in said
    assert list(tmp_path.iterdir()) == [sheet]
    assert run(str(sheet))[0] == 2  # without a file to write


@pytest.mark.parametrize("name", ["fern-lid", "compass-board", "lakes-sign", "heron-tray"])
def test_examples_can_be_drawn(name: str, tmp_path: Path) -> None:
    picture = tmp_path / "joint.svg"
    status, _, said = run(str(EXAMPLES / f"{name}.yaml"), "-o", str(picture), "--nominal")
    assert (status, said) == (1 if name == "heron-tray" else 0, "")
    assert {"pocket_depth", "glue_gap", "start_depth"} <= set(Drawn(picture.read_text(encoding="utf-8")).names())


def test_each_view_draws_its_own_part_and_all_draws_every_one(tmp_path: Path) -> None:
    parts = {"section": {"seated", "alone"}, "outline": {"plan", "board"}, "spread": {"quantity"}}
    words = {kind for kinds in parts.values() for kind in kinds}
    for view, kinds in {**parts, "all": words}.items():
        picture = tmp_path / f"{view}.svg"
        assert run(str(EXAMPLES / "compass-board.yaml"), "-o", str(picture), "--view", view, "--nominal")[0] == 0
        drawn = Drawn(picture.read_text(encoding="utf-8"))
        assert {kind for kind in words if drawn.all("g", kind)} == kinds


def test_an_outline_that_is_not_there_cannot_be_drawn(sheet: Path, tmp_path: Path) -> None:
    picture = tmp_path / "outline.svg"
    status, _, said = run(str(sheet), "-o", str(picture), "--view", "outline")
    assert status == 2
    assert said == f"{sheet}:1:1: outline: there is none to draw: give a file or shapes\n"
    assert not picture.exists()
    # the other views do without
    assert run(str(sheet), "-o", str(picture), "--view", "all")[0] == 0
    assert Drawn(picture.read_text(encoding="utf-8")).all("g", "quantity")


# --- the picture in the docs ------------------------------------------------------------------------------------------

SAMPLE = Path(__file__).parent.parent / "docs" / "fern-section.svg"
MAKES_SAMPLE = ("fern-lid.yaml", "-o", "fern-section.svg")


def sample(folder: Path) -> str:
    """What the command in docs/pictures.md writes now."""
    sheet, option, picture = MAKES_SAMPLE
    assert run(str(EXAMPLES / sheet), option, str(folder / picture)) == (0, "", "")
    return (folder / picture).read_text(encoding="utf-8")


def test_picture_in_the_docs_is_what_its_command_draws(tmp_path: Path) -> None:
    page = (SAMPLE.parent / "pictures.md").read_text(encoding="utf-8")
    assert f"$ inlayfit draw {' '.join(MAKES_SAMPLE)}\n" in page
    shown, now = SAMPLE.read_text(encoding="utf-8"), sample(tmp_path)
    assert NUMBER.sub("#", shown) == NUMBER.sub("#", now)
    # places along the outline may differ in the last digits from one machine to another
    for then, here in zip(NUMBER.findall(shown), NUMBER.findall(now), strict=True):
        assert float(here) == pytest.approx(float(then), abs=2e-3)


if __name__ == "__main__":
    with TemporaryDirectory() as scratch:
        SAMPLE.write_text(sample(Path(scratch)), encoding="utf-8")


def test_no_spread_where_a_cone_is_too_short(sheet: Path, tmp_path: Path) -> None:
    status, _, err = run(str(sheet), "--set", "bits.v.diameter=3", "--view", "spread", "-o", str(tmp_path / "a.svg"))
    assert status == 2
    assert "cone is too short" in err
    assert not (tmp_path / "a.svg").exists()
