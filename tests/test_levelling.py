"""What levelling leaves, in the trade's usual figures (common practice, no source) and in closed form."""

import math

import pytest

from inlayfit.joint.depths import depths
from inlayfit.joint.schedule import schedule
from inlayfit.sheet.defaults import job_from_values
from inlayfit.shop.levelling import levelling


def facts(lift=0.0, level=True, **joint):
    inch = 25.4
    values = {
        "base": {"thickness": 0.75 * inch},
        "plug": {"thickness": 0.5 * inch},
        "joint": {"pocket_depth": 0.25 * inch, **joint},
        "bits": {"v": {"angle": 30, "tip": 0.1, "diameter": 0.25 * inch}},
    }
    if level:
        values["bits"]["levelling"] = {"diameter": 25.4, "depth_of_cut": 2.0}
    job = job_from_values(values, unit="in", unit_given=True, title="box lid")
    found = depths(job)[0]
    return levelling(job, found, schedule(job, found), lift)


def test_trade_figures_in_inches():
    """Plug 0.5 in thick and 0.23 in into its pocket stands 0.27 in proud; levelled 0.01 in below the face."""
    found = facts()

    assert found.rises_above == pytest.approx(0.27 * 25.4)
    assert found.taken_off == pytest.approx(0.28 * 25.4)
    assert found.board == pytest.approx(0.74 * 25.4)
    assert found.board_sanded == pytest.approx(0.73 * 25.4)
    assert found.inlay == pytest.approx(0.22 * 25.4)
    assert found.inlay_sanded == pytest.approx(0.21 * 25.4)
    assert found.skin == pytest.approx((0.5 - 0.33) * 25.4)


def test_the_shape_shrinks_by_the_taper():
    found = facts()

    assert found.narrower == pytest.approx(2 * 0.01 * 25.4 * math.tan(math.radians(15)))
    assert found.narrower_sanded == pytest.approx(2 * found.narrower)
    assert found.vanishing_width == pytest.approx(found.narrower + 0.1)
    assert found.vanishing_width_sanded == pytest.approx(found.narrower_sanded + 0.1)


def test_a_plug_that_sits_high_is_cut_thinner():
    assert facts(lift=0.5).inlay == pytest.approx(facts().inlay - 0.5)
    assert facts(lift=0.5).taken_off == pytest.approx(facts().taken_off + 0.5)


def test_levelling_deeper_than_the_inlay_leaves_less_than_nothing():
    assert facts(level_below=0.3 * 25.4).inlay < 0


def test_the_pass_that_breaks_the_skin_is_named():
    found = facts()

    # 0.28 in in passes of at most 2 mm: four of 0.07 in; the skin's lower side lies 0.10 in above the face
    assert found.passes == 4
    assert found.breaking_pass == 3
    assert (facts(level=False).passes, facts(level=False).breaking_pass) == (0, None)
