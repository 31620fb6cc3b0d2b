"""Sizes that are hardly ever meant, told in a note; derived depths, with what binds them beside the number."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import GONE, job

from inlayfit.plan import plan
from inlayfit.quantity import LengthUnit
from inlayfit.report.text import full_text

INCH = 25.4


@pytest.mark.parametrize(
    ("unit", "changes", "note"),
    [
        ("in", {"base.thickness": 19 * INCH}, "base.thickness, 19.000 in, is unusual: meant 19 mm?"),
        ("mm", {"base.thickness": 1.5}, "base.thickness, 1.50 mm, is unusual: meant 1.5 in?"),
        ("in", {"plug.thickness": 3 * INCH}, "plug.thickness, 3.000 in, is unusual: meant 3 mm?"),
        ("mm", {"plug.thickness": 80.0}, "plug.thickness, 80.00 mm, is unusual: is it typed right?"),
        ("in", {"joint.pocket_depth": 6 * INCH}, "joint.pocket_depth, 6.000 in, is unusual: meant 6 mm?"),
        ("in", {"joint.surface_gap": 2.5 * INCH}, "joint.surface_gap, 2.500 in, is unusual: meant 2.5 mm?"),
        (
            "in",
            {
                "joint.pocket_depth": 0.5 * INCH,
                "bits.clearing": {"name": "1 mm bit", "diameter": 1.0, "depth_of_cut": 0.5},
            },
            "0.579 in deep is 15 times the diameter of 1 mm bit, which is unusual: seldom does a bit cut deeper than "
            "8 times its diameter",
        ),
    ],
)
def test_unusual_size_is_told_and_what_may_have_been_meant(
    unit: LengthUnit, changes: dict[str, Any], note: str
) -> None:
    made = job(changes, unit=unit)
    assert note in made.notes
    if "base.thickness" not in changes:
        assert f"Note: {note}" in " ".join(full_text(plan(made)).split())


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"base.thickness": 0.25 * INCH, "joint.pocket_depth": 3.0},
        {"base.thickness": 2 * INCH},
        {"plug.thickness": 0.125 * INCH},
        {"joint.pocket_depth": 0.375 * INCH},
        {"bits.clearing": {"diameter": INCH / 16, "depth_of_cut": 1.0}, "joint.pocket_depth": 0.25 * INCH},
        {"bits.v.angle": 90.0, "bits.v.diameter": 1.5 * INCH},
    ],
)
def test_usual_sizes_are_not_remarked_on(unit: LengthUnit, changes: dict[str, Any]) -> None:
    assert job(changes, unit=unit).notes == ()


# --- derived depths -------------------------------------------------------------------------------------------------


def told(changes: dict[str, Any]) -> str:
    return " ".join(full_text(plan(job({"joint.pocket_depth": GONE, **changes}))).split())


def test_derived_depth_is_marked_beside_the_number_with_what_binds_it() -> None:
    usual = told({"bits.v.diameter": 8.0})
    assert "pocket depth 6.35 derived, base's face to the pocket's floor" in usual
    assert "The pocket depth is derived: bound by the usual 1/4 in (common practice)." in usual
    given = " ".join(full_text(plan(job())).split())
    assert "derived" not in given.partition("Pass schedule")[0]


def test_assumed_diameter_that_binds_a_depth_says_so_there() -> None:
    # 60 degrees and the usual 6 mm: a cone 3 / tan 30 deg less the tip high, of which the plug takes the surface gap
    wide = {"bits.v": {"angle": 60.0, "tip": 0.1, "reach": 20.0, "depth_of_cut": 2.0}}
    words = "bound by the cone of the plug's V-bit, whose diameter is assumed: measure it and set bits.v.diameter"
    assert words in told(wide)
    assert "whose diameter is assumed" not in told({"bits.v": {**wide["bits.v"], "diameter": 6.0}})
    two = {"bits.v": GONE, "bits.pocket_v": {"angle": 60.0, "diameter": 20.0}, "bits.plug_v": {"angle": 60.0}}
    assert "assumed: measure it and set bits.plug_v.diameter" in told(two)
