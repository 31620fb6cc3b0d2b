"""The trade's own figures for a 1/4 in pocket (common practice, no source), in inches.

Pocket 1/4 in, glue gap 0.02 in, surface gap 0.1 in; a 30 deg bit of 1/4 in; passes of at most 0.2 in.
"""

from __future__ import annotations

import pytest

from inlayfit.checks.depth_checks import floor_ridges
from inlayfit.checks.facts import Facts
from inlayfit.cutters import Profile
from inlayfit.joint.depths import depths
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import schedule
from inlayfit.quantity import MM_PER_INCH
from inlayfit.sheet.defaults import job_from_values
from inlayfit.sheet.keytypes import Share
from inlayfit.tolerance.stack import depth_stack


def inch_job(stepover: float = 0.02, tip: float = 0.0) -> Job:
    inch = MM_PER_INCH
    return job_from_values(
        {
            "base": {"thickness": 0.75 * inch},
            "plug": {"thickness": 0.5 * inch},
            "joint": {"pocket_depth": 0.25 * inch, "glue_gap": 0.02 * inch, "surface_gap": 0.1 * inch},
            "bits": {
                "v": {
                    "angle": 30.0,
                    "tip": tip * inch,
                    "diameter": 0.25 * inch,
                    "depth_of_cut": 0.2 * inch,
                    "stepover": Share(stepover),
                }
            },
        },
        unit="in",
        unit_given=True,
        title="lid",
    )


def test_start_depth_and_total() -> None:
    found = depths(inch_job())[0]
    assert found.start_depth / MM_PER_INCH == pytest.approx(0.23, abs=0.005)
    assert found.depth_below_start / MM_PER_INCH == pytest.approx(0.10, abs=0.005)
    assert found.plug_total_depth / MM_PER_INCH == pytest.approx(0.33, abs=0.005)
    assert found.glue_gap / MM_PER_INCH == pytest.approx(0.02, abs=0.005)
    assert found.surface_gap / MM_PER_INCH == pytest.approx(0.10, abs=0.005)


def test_plug_clears_in_two_passes_the_first_starting_near_0_06_in() -> None:
    job = inch_job()
    clearing = [
        entry for entry in schedule(job, depths(job)[0]) if (entry.part, entry.step) == ("plug", "clear")
    ]
    assert len(clearing) == 2
    first, last = clearing
    # 'about 0.06': half of 0.33 less 0.10
    assert first.start_depth is not None
    assert first.start_depth / MM_PER_INCH == pytest.approx(0.06, abs=0.0051)
    assert first.depth_below_start == last.depth_below_start == pytest.approx(0.1 * MM_PER_INCH)
    assert last.start_depth == pytest.approx(0.23 * MM_PER_INCH)


@pytest.mark.parametrize(
    ("stepover", "tip", "ridge"),
    [
        pytest.param(0.02, 0.0, 0.0093, id="point, 2 %"),
        pytest.param(0.05, 0.0, 0.0233, id="point, 5 %"),
        pytest.param(0.02, 0.004, 0.0019, id="0.004 in flat, 2 %"),
        pytest.param(0.05, 0.004, 0.0159, id="0.004 in flat, 5 %"),
    ],
)
def test_ridges_between_passes(stepover: float, tip: float, ridge: float) -> None:
    bit = inch_job(stepover, tip).bits.pocket_v
    assert bit.shape.ridge(bit.stepover) / MM_PER_INCH == pytest.approx(ridge, abs=5e-5)


@pytest.mark.parametrize(
    ("stepover", "tip", "status"),
    [(0.02, 0.0, "pass"), (0.05, 0.0, "fail"), (0.02, 0.004, "pass"), (0.05, 0.004, "doubtful")],
)
def test_two_per_cent_leaves_ridges_under_half_the_glue_gap_and_five_does_not(
    stepover: float, tip: float, status: str
) -> None:
    job = inch_job(stepover, tip)
    found = depths(job)[0]
    stack = depth_stack(job, found)
    finding = floor_ridges(Facts(job=job, depths=found, passes=schedule(job, found), outline=None, stack=stack), found)
    assert finding.status == status


def test_sideways_error_moves_the_seat_by_its_share_of_the_slope() -> None:
    # 3.73 at 30 deg, 1.73 at 60, 1 at 90: the depth that one unit to each side takes
    assert Profile(angle=30).depth_in(1) == pytest.approx(3.73, abs=0.005)
    assert Profile(angle=60).depth_in(1) == pytest.approx(1.73, abs=0.005)
    assert Profile(angle=90).depth_in(1) == pytest.approx(1, abs=0.005)
