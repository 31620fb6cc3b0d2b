"""Sound sheets of common practice pass without one doubt, and one fault in a sheet is found with nothing else.

The sheets and their sizes are made up; what is sound about them is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from inlayfit.intake import take_in
from inlayfit.plan import Plan, plan

DRAWS = 2000
MM_30 = (
    "bits: {v: {angle: 30, tip: 0.1, diameter: 6.35, reach: 25, depth_of_cut: 3}, "
    "clearing: {diameter: 3, reach: 12, depth_of_cut: 1.5}, cut_out: {diameter: 6, reach: 22, depth_of_cut: 3}, "
    "levelling: {diameter: 25, depth_of_cut: 1.5}}"
)
MM_60 = MM_30.replace("angle: 30, tip: 0.1, diameter: 6.35", "angle: 60, tip: 0.2, diameter: 12")
IN_30 = (
    "bits: {v: {angle: 30, tip: 0.004, diameter: 1/4, reach: 0.9, depth_of_cut: 1/8}, "
    "clearing: {diameter: 1/8, reach: 1/2, depth_of_cut: 1/16}, "
    "cut_out: {diameter: 1/4, reach: 7/8, depth_of_cut: 1/8}, levelling: {diameter: 1, depth_of_cut: 1/16}}"
)
IN_60 = IN_30.replace("angle: 30, tip: 0.004, diameter: 1/4", "angle: 60, tip: 0.008, diameter: 1/2")


def sheet(unit: str, base: str, plug: str, shapes: str, pocket: str, bits: str) -> str:
    return (
        f"unit: {unit}\nbase: {{{base}}}\nplug: {{{plug}}}\noutline: {{shapes: [{shapes}]}}\n"
        f"joint: {{pocket_depth: {pocket}}}\n{bits}\n"
    )


SOUND = {
    "box lid": sheet(
        "mm", "wood: black walnut, thickness: 18, blank: [160, 120]",
        "wood: sugar maple, thickness: 10, blank: [110, 90]", "{rectangle: [60, 40]}", "5", MM_30,
    ),
    "button": sheet(
        "mm", "wood: black cherry, thickness: 15, blank: [100, 80]",
        "wood: sugar maple, thickness: 10, blank: [70, 70]", "{circle: 20}", "4", MM_30,
    ),
    "frame on a board": sheet(
        "mm", "wood: sugar maple, thickness: 20, blank: [420, 300]",
        "wood: black walnut, thickness: 12, blank: [350, 250]",
        "{rectangle: [300, 180]}, {rectangle: [240, 120], hole: true}", "5", MM_60,
    ),
    "star sign": sheet(
        "mm", "wood: white oak, thickness: 20, blank: [320, 300]",
        "wood: basswood, thickness: 12, blank: [260, 260]", "{star: {points: 5, across: 200, inner: 110}}", "5", MM_30,
    ),
    "ring on a tray": sheet(
        "mm", "wood: sugar maple, thickness: 19, blank: [300, 240]",
        "wood: black walnut, thickness: 12, blank: [200, 200]", "{circle: 140}, {circle: 110, hole: true}", "6", MM_30,
    ),
    "letter T": sheet(
        "mm", "wood: white oak, thickness: 20, blank: [200, 180]",
        "wood: sugar maple, thickness: 12, blank: [140, 140]",
        "{rectangle: [80, 16], at: [0, 32]}, {rectangle: [16, 70], at: [0, -3]}", "5", MM_30,
    ),
    "hexagon": sheet(
        "mm", "wood: black walnut, thickness: 20, blank: [200, 180]",
        "wood: white ash, thickness: 12, blank: [140, 140]", "{regular: {sides: 6, across_flats: 90}}", "5", MM_60,
    ),
    "oval on a box": sheet(
        "in", "wood: black walnut, thickness: 3/4, blank: [7, 5]",
        "wood: sugar maple, thickness: 1/2, blank: [5, 4]", "{ellipse: [3.5, 2.25]}", "1/4", IN_30,
    ),
    "diamond": sheet(
        "in", "wood: black cherry, thickness: 3/4, blank: [8, 6]",
        "wood: sugar maple, thickness: 1/2, blank: [6, 5]", "{rectangle: [2.5, 2.5], turn: 45}", "1/4", IN_30,
    ),
    "two bars on a board": sheet(
        "in", "wood: sugar maple, thickness: 3/4, blank: [16, 10]",
        "wood: black walnut, thickness: 1/2, blank: [14, 6]",
        "{rectangle: [11.5, 1], at: [0, 1]}, {rectangle: [11.5, 1], at: [0, -1]}", "1/4", IN_30,
    ),
    "cross": sheet(
        "in", "wood: white oak, thickness: 7/8, blank: [9, 9]",
        "wood: black walnut, thickness: 1/2, blank: [7, 7]", "{rectangle: [4.5, 1]}, {rectangle: [1, 4.5]}", "0.2",
        IN_60,
    ),
    "house number": sheet(
        "in", "wood: black walnut, thickness: 3/4, blank: [8, 10]",
        "wood: sugar maple, thickness: 1/2, blank: [6, 8]", "{ellipse: [3, 5]}, {ellipse: [1.6, 3.4], hole: true}",
        "1/4", IN_30,
    ),
}  # fmt: skip

FAULTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "base-floor": ("box lid", ("base.thickness=7",)),
    "plug-web": ("box lid", ("plug.thickness=8",)),
    "glue-gap": ("ring on a tray", ("joint.glue_gap=1.3",)),
    "surface-gap": ("hexagon", ("joint.surface_gap=0.8",)),
    "cone-reach": ("letter T", ("bits.v.diameter=3",)),
    "bit-reach": ("button", ("bits.clearing.reach=5.5",)),
    "clearing-access": ("letter T", ("bits.clearing.diameter=15",)),
    "blank-margin": ("diamond", ("plug.blank=[4.4, 4.4]",)),
    "hold-downs": (
        "house number",
        ("hold_downs=[{part: base, rectangle: [1, 1], at: [1.6, 0], height: 0.5}]",),
    ),
    "levelling": ("box lid", ("joint.level_below=3.4",)),
    "thin-walls": ("two bars on a board", ("outline.shapes[2].at=[0, -0.05]",)),
    "wood-movement": (
        "frame on a board",
        ("climate={cutting: {moisture: 8 %}, use: {moisture: 11 %}}", "plug.grain={direction: 90 deg}"),
    ),
    "seat": ("cross", ("base.grain={face: end}",)),
}
"""For each check a sound sheet, and what is changed in it."""


@cache
def planned(name: str, settings: tuple[str, ...], folder: Path) -> Plan:
    path = folder / "sheet.yaml"
    path.write_text(SOUND[name], encoding="utf-8")
    intake = take_in(str(path), settings=list(settings))
    return plan(intake.job, intake.outline, draws=DRAWS)


@pytest.mark.parametrize("name", SOUND)
def test_sound_sheet_fits_without_a_doubt(name: str, tmp_path: Path) -> None:
    found = planned(name, (), tmp_path)
    assert [(entry.id, entry.status) for entry in found.findings if entry.status in ("fail", "doubtful")] == []
    assert found.verdict == "fits"
    assert found.job.notes == ()
    low_x, _, high_x, _ = found.facts.outline.survey.bounds
    assert 19.9 <= high_x - low_x <= 300.1


@pytest.mark.parametrize("check", FAULTS)
def test_one_fault_is_found_and_nothing_else(check: str, tmp_path: Path) -> None:
    name, settings = FAULTS[check]
    found = planned(name, settings, tmp_path)
    assert [entry.id for entry in found.findings if entry.status in ("fail", "doubtful")] == [check]
