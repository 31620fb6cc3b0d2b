"""Blanks, hold-downs and movement as checks, and the shop in plan and reports: each status, and what is left out."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
import shapely
from findings import message, remedy
from jobs import CLEARING, CUT_OUT, GONE, LEVELLING, job

from inlayfit.checks.finding import Finding
from inlayfit.errors import InputErrors
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.plan import Plan, plan
from inlayfit.report.cautions import cautions
from inlayfit.report.data import data
from inlayfit.report.text import full_text

PLATE = shapely.box(0, 0, 60, 40)
BASE = {"base.blank": (200.0, 150.0)}
PLUG = {"plug.blank": (100.0, 80.0)}
WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}
CLIMATE = {"climate.cutting.moisture": 0.08, "climate.use.moisture": 0.11}
FEEDS = {"cutting.v": {"feed": 1500.0, "plunge": 500.0}, "cutting.clearing": {"feed": 2000.0}}


def planned(*changes: dict[str, Any], shape: Any = PLATE, unit: Any = "mm") -> Plan:
    made = {key: value for change in changes for key, value in change.items()}
    return plan(job(made, unit=unit), outline(shape), nominal=True)


def outline(shape: Any) -> Outline:
    return outline_of(getattr(shape, "geoms", [shape]))


def finding(found: Plan, check: str) -> Finding:
    (entry,) = (entry for entry in found.findings if entry.id == check)
    assert bool(remedy(entry)) == (entry.status in ("doubtful", "fail"))
    return entry


def shop(found: Plan) -> dict[str, Any]:
    return json.loads(json.dumps(data(found, sheet="s", inputs={}), allow_nan=False))["shop"]


def clamp(part: str = "base", at: Any = (80.0, 0.0), height: float = 15.0) -> dict[str, Any]:
    return {"part": part, "rectangle": (20.0, 20.0), "at": at, "height": height}


# --- what is not given is not checked -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("check", "needs"),
    [
        ("blank-margin", "needs base.blank or plug.blank"),
        ("hold-downs", "needs hold_downs"),
        ("wood-movement", "needs climate.cutting and climate.use and base.wood or base.movement and plug.wood or "
         "plug.movement"),
    ],
)  # fmt: skip
def test_a_bare_sheet_is_told_what_each_check_needs(check: str, needs: str) -> None:
    found = planned()
    assert (finding(found, check).status, message(finding(found, check))) == ("not checked", needs)
    assert needs in " ".join(full_text(found).split())


def test_without_an_outline_only_levelling_is_known() -> None:
    found = plan(job({**BASE, **PLUG, **CLIMATE, **WOODS, **FEEDS, "hold_downs": (clamp(),)}))
    for check in ("blank-margin", "hold-downs", "wood-movement"):
        assert (finding(found, check).status, message(finding(found, check))) == ("not checked", "needs an outline")
    assert shop(found).keys() == {"levelling"}
    assert finding(found, "levelling").status == "pass"


def test_nothing_is_made_up_for_what_the_sheet_leaves_out() -> None:
    left_out = {"margins", "hold_downs", "moisture_percent", "movement", "minutes", "clearing_choices"}
    assert not left_out & shop(planned()).keys()
    assert "field" not in shop(planned())["levelling"]
    everything = shop(planned(BASE, PLUG, CLIMATE, WOODS, FEEDS, {"hold_downs": (clamp(),)}))
    assert left_out - {"clearing_choices"} <= everything.keys()
    assert "field" in everything["levelling"]


# --- blanks ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "status"),
    # outline 60, border 6 and a bit of 6 mm on either side: 84
    [(84 - 0.2, "fail"), (84 + 2 * 1.9, "doubtful"), (84 + 2 * 2.1, "pass")],
)
def test_plug_blank_takes_border_and_cut_out(width: float, status: str) -> None:
    found = finding(planned({"plug.blank": (width, 100.0)}), "blank-margin")
    assert found.status == status
    assert found.value == pytest.approx((width - 84) / 2, abs=0.01)
    assert "cutting out with 6 mm end mill" in message(found)
    assert message(found).endswith("; base.blank is not given")


def test_base_is_judged_by_the_outline_where_it_is_placed() -> None:
    at = {"datum": "lower left", "outline": {"shapes": ({"rectangle": (60.0, 40.0)},), "at": (31.0, 75.0)}}
    found = finding(planned(BASE, at), "blank-margin")
    assert (found.status, found.value) == ("doubtful", pytest.approx(1.0))
    assert "left edge" in message(found)
    turned = finding(planned(BASE, {**at, "outline": {**at["outline"], "turn": 90.0}}), "blank-margin")
    assert turned.value == pytest.approx(31 - 20)


def test_plug_is_placed_on_its_own_blank() -> None:
    at = {"datum": "lower left", "plug.at": (43.0, 40.0)}
    margins = shop(planned(PLUG, at))["margins"]["plug"]
    assert margins["left"] == pytest.approx(43 - 42, abs=0.01)
    assert margins["right"] == pytest.approx(100 - 43 - 42, abs=0.01)


def test_thin_base_at_the_boards_edge() -> None:
    """6 mm deep and 1.4 wide is more than 4 times as high as wide, 1.6 is not."""
    for width, status in ((60 + 2 * 1.4, "doubtful"), (60 + 2 * 1.6, "pass")):
        found = finding(planned({"base.blank": (width, 150.0)}), "thin-walls")
        assert found.status == status, message(found)
    thin = finding(planned({"base.blank": (60 + 2 * 1.4, 150.0)}), "thin-walls")
    assert "1.40 mm of base to the board's left edge" in message(thin)


# --- hold-downs -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hold_down", "status"),
    [
        (clamp(at=(0.0, 0.0)), "fail"),
        # the cone is 3 mm wide to a side at most: 1 mm are left, then 3
        (clamp(at=(30 + 10 + 4.0, 0.0)), "doubtful"),
        (clamp(at=(30 + 10 + 6.0, 0.0)), "pass"),
        (clamp("plug", at=(30.0, 0.0)), "fail"),
        (clamp("level", at=(90.0, 0.0)), "fail"),
        (clamp("level", at=(90.0, 0.0), height=-1.0), "pass"),
    ],
)
def test_hold_down_is_clear_or_struck(hold_down: dict[str, Any], status: str) -> None:
    found = finding(planned(BASE, PLUG, {"hold_downs": (hold_down,)}), "hold-downs")
    assert found.status == status, message(found)


def test_strike_tells_step_bit_and_place() -> None:
    found = planned(PLUG, {"datum": "lower left", "hold_downs": (clamp("plug", at=(97.0, 40.0)),)})
    (entry,) = shop(found)["hold_downs"]
    assert (entry["number"], entry["part"], entry["clear_by"]) == (1, "plug", 0.0)
    (strike,) = entry["strikes"]
    assert (strike["step"], strike["bit"], strike["by"]) == ("cut out", "6 mm end mill", "cutter")
    # the far edge of the cut-out lies 50 + 30 + 6 + 6 from the blank's left
    assert 87 <= strike["from_datum"][0] <= 92
    words = message(finding(found, "hold-downs"))
    assert "hold-down 1 on the plug's blank is struck in cutting out by 6 mm end mill, at (" in words


def test_set_up_that_cannot_be_placed_needs_its_blank() -> None:
    corner = {"datum": "lower left"}
    alone = finding(planned(corner, {"hold_downs": (clamp(),)}), "hold-downs")
    assert (alone.status, message(alone)) == ("not checked", "needs base.blank")
    beside = finding(planned(corner, PLUG, {"hold_downs": (clamp(), clamp("plug", at=(-50.0, 0.0)))}), "hold-downs")
    assert (beside.status, message(beside)) == ("not checked", "needs base.blank")
    # what is struck is told all the same, and what was not looked at
    struck = finding(planned(corner, PLUG, {"hold_downs": (clamp(), clamp("plug", at=(15.0, 40.0)))}), "hold-downs")
    assert struck.status == "fail"
    assert "not fully checked without base.blank" in message(struck)
    level = finding(planned({"hold_downs": (clamp("level"),)}), "hold-downs")
    assert (level.status, message(level)) == ("not checked", "needs base.blank")
    no_bit = {"bits.levelling": GONE, "bits.clearing": GONE, "hold_downs": (clamp("level"),)}
    assert message(finding(planned(BASE, no_bit), "hold-downs")) == "needs bits.levelling"


def test_collet_of_unknown_height_is_not_checked() -> None:
    with_collet = {"bits.collet": 40.0, "hold_downs": (clamp(),)}
    known = finding(planned(BASE, with_collet), "hold-downs")
    assert known.status == "pass"
    no_reach = {"bits.clearing": {**CLEARING, "reach": None}}
    unknown = finding(planned(BASE, with_collet, no_reach), "hold-downs")
    assert (unknown.status, message(unknown)) == ("not checked", "needs the stick_out of 2 mm end mill")
    assert "without bits.collet" in message(finding(planned(BASE, {"hold_downs": (clamp(),)}), "hold-downs"))


def test_polygon_that_crosses_itself_is_refused_with_its_number() -> None:
    crossed = {"part": "base", "polygon": ((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 8.0)), "height": 5.0}
    with pytest.raises(Exception, match="sides that cross") as caught:
        planned({"hold_downs": (clamp(), crossed)})
    assert caught.value.where == ("hold_downs", "[2]", "polygon")  # type: ignore[attr-defined]


# --- levelling ------------------------------------------------------------------------------------------------------


def test_levelling_bit_that_does_not_cover_the_plugs_border() -> None:
    """Border 30 past a board that is hardly wider than the outline: the field's middle ends 6.35 past the board."""
    wide = {"base.blank": (64.0, 150.0), "plug.border": 30.0}
    for diameter, rim in ((6.0, 30 - 2 - 6.35 - 3), (44.0, 0.0)):
        bit = {**LEVELLING, "diameter": diameter, "stepover": 2.0}
        found = finding(planned(wide, {"bits.levelling": bit}), "levelling")
        assert found.status == ("fail" if rim else "pass")
        if rim:
            assert f"misses the outer {rim:.2f} mm of the plug's border" in message(found)


def test_levelling_counts_with_the_clamped_lift() -> None:
    """A bit 0.04 wider than told sinks the plug by 0.04 / T: all the more inlay is left."""
    blunt = {"bits.v.measured": {"tip": 0.14}}
    found = plan(job(blunt), outline(PLATE))
    seat = found.facts.seat
    assert seat is not None and seat.lift == pytest.approx(-0.04 / math.tan(math.radians(15)), abs=1e-3)
    assert finding(found, "levelling").value == pytest.approx(5.5 - seat.lift - 0.5, abs=1e-6)


# --- wood -----------------------------------------------------------------------------------------------------------


def test_movement_is_width_times_coefficients_times_moisture() -> None:
    """Handbook, flatsawn: sugar maple 0.00353, black walnut 0.00274 for 1 %; grain along x, so across the 40 mm."""
    found = planned(CLIMATE, WOODS)
    expected = 40 * (0.00353 - 0.00274) * 3
    assert shop(found)["movement"] == pytest.approx(expected, rel=1e-3)
    check = finding(found, "wood-movement")
    assert (check.status, check.limit) == ("pass", 0.1)
    assert finding(planned(CLIMATE, WOODS, {"limits.wood_movement": 0.09}), "wood-movement").status == "doubtful"
    assert finding(planned(CLIMATE, WOODS, {"limits.joint_line": 0.09}), "wood-movement").status == "doubtful"


@pytest.mark.parametrize(
    ("use", "woods", "words"),
    [
        # maple on walnut over 40 mm, 3 % wetter: (0.00353 - 0.00274) and, by sawing, (0.00165 - 0.00274) to
        # (0.00353 - 0.00190), each times 120 mm; 2 % drier, times 80 mm
        (0.11, WOODS, "the plug swells 0.09 mm more than its pocket over the 40.00 mm of region 1, half of it at each "
         "wall (0.20 mm more to 0.13 mm less depending on how the boards are sawn)"),
        (0.06, WOODS, "the plug shrinks 0.06 mm more than its pocket over the 40.00 mm of region 1, half of it at each "
         "wall (0.13 mm more to 0.09 mm less depending on how the boards are sawn)"),
        # the other way round the plug moves less; drying wood never swells
        (0.06, {"base.wood": "sugar maple", "plug.wood": "black walnut"},
         "the plug shrinks 0.06 mm less than its pocket over the 40.00 mm of region 1, half of it at each wall "
         "(0.13 mm less to 0.09 mm more depending on how the boards are sawn)"),
    ],
)  # fmt: skip
def test_movement_is_told_with_its_signs(use: float, woods: dict[str, Any], words: str) -> None:
    found = planned(CLIMATE, {"climate.use.moisture": use, "limits.wood_movement": 0.05}, woods)
    assert words in message(finding(found, "wood-movement"))
    low, high = shop(found)["movement_range"]
    assert low < 0 < high
    report = " ".join(full_text(found).split())
    assert words.split(" over ")[0].removeprefix("the plug ").replace(" mm", "") in report
    assert words.rpartition("(")[2].replace(" mm", "") in report
    assert ("swells" in report) == (use > 0.08)


def test_sawing_of_end_grain_makes_no_difference() -> None:
    end = {"base.grain": {"face": "end"}, "plug.grain": {"face": "end"}}
    found = planned(CLIMATE, WOODS, end)
    assert "sawn" not in message(finding(found, "wood-movement"))


def test_own_coefficients_stand_before_the_table() -> None:
    own = {"plug.movement": {"radial": 0.002, "tangential": 0.004}}
    assert shop(planned(CLIMATE, WOODS, own))["movement"] == pytest.approx(40 * (0.004 - 0.00274) * 3, rel=1e-3)


def test_a_turned_outline_meets_the_grain_at_its_angle() -> None:
    """Turned by a right angle on the board, its 60 mm lie across the grain."""
    turn = {"outline": {"shapes": ({"rectangle": (60.0, 40.0)},), "turn": 90.0}}
    found = shop(planned(CLIMATE, WOODS, turn))
    assert found["movement"] == pytest.approx(60 * (0.00353 - 0.00274) * 3, rel=1e-3)
    assert found["movement_direction"] == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("wood", "needs"),
    [
        ("maple", "plug.movement, or which wood 'maple' is (sugar maple, red maple, silver maple)"),
        ("blackwod", "plug.movement (the table has none for 'blackwod')"),
    ],
)
def test_a_wood_that_may_be_several_or_is_unknown_is_not_guessed(wood: str, needs: str) -> None:
    found = finding(planned(CLIMATE, WOODS, {"plug.wood": wood}), "wood-movement")
    assert found.status == "not checked"
    assert message(found).startswith(f"needs {needs}")


@pytest.mark.parametrize(
    ("air", "told"),
    [
        ({"temperature": 21.0}, "found no humidity, expected moisture, or temperature and humidity together"),
        ({"humidity": 0.4}, "found no temperature, expected moisture, or temperature and humidity together"),
        ({"temperature": -20.0, "humidity": 0.4}, "found air at -20 C, expected -1 to 100 C"),
    ],
)
def test_half_a_climate_is_a_mistake_of_the_sheet(air: dict[str, float], told: str) -> None:
    with pytest.raises(InputErrors) as caught:
        job({"climate.use": air})
    (mistake,) = caught.value.mistakes
    assert mistake.where == ("climate", "use")
    assert mistake.problem.startswith(told)


# --- glue, clamps, time ---------------------------------------------------------------------------------------------


def test_clamp_by_the_lighter_wood_else_by_the_handbooks_span() -> None:
    area = 60 * 40
    for woods, pressures in (
        (WOODS, (0.86, 1.21)),
        ({"base.wood": "sugar maple", "plug.specific_gravity": 0.7}, (1.21, 1.72)),
        ({"base.wood": "sugar maple"}, (0.7, 1.7)),
    ):
        found = shop(planned(woods))
        assert found["clamp_force_kn"] == pytest.approx([area * pressure / 1000 for pressure in pressures], abs=1e-3)
    assert "Clamps: 3 of about 968 N (218 lbf) each; the glue wants 2,060 to 2,900 N" in full_text(planned(WOODS))


def test_clamps_keep_to_what_the_walls_bear_and_another_clamp_is_told() -> None:
    def told(shape: Any, changes: dict[str, Any]) -> tuple[str, dict[str, Any]]:
        found = plan(job({**WOODS, **changes}), outline(shape))
        return " ".join(full_text(found).split()), json.loads(json.dumps(data(found, sheet="s", inputs={})))

    # a plate on a large floor: its walls bear 2 (300 + 200) x 5.5 x tan 15 deg x 7 MPa, a ninth of what the glue wants
    report, found = told(shapely.box(0, 0, 300, 200), {"outline": {"shapes": ({"rectangle": (300.0, 200.0)},)}})
    bears, used = found["seat"]["wall_load_n"][0] / 1000, found["shop"]
    assert used["clamp_bound"] == "walls"
    assert used["clamp_force_kn"][1] == pytest.approx(bears, rel=1e-3)
    assert used["clamps"][1] * used["clamp_each_kn"] <= bears
    assert f"Clamps: {used['clamps'][1]} of about 1,000 N (225 lbf) each" in report
    assert "at the least: no more than that" in report
    assert "The seat is worked out with" not in report  # assumed
    more, _ = told(PLATE, {"joint.clamp_force": 4000.0, "joint.clamp_force_each": 500.0})
    assert "4 of about 500 N (112 lbf) each" in more
    assert "The seat is worked out with the 4,000 N (899 lbf) of joint.clamp_force, which is more." in more
    less, _ = told(PLATE, {"joint.clamp_pressure": 0.3})
    assert "of joint.clamp_pressure, which is less." in less


def test_glue_is_to_be_pressed_slowly() -> None:
    report = " ".join(full_text(planned(WOODS)).split())
    assert "a thin coat on walls and floor" in report
    assert "Press slowly, wait, press again: surplus leaves along the walls, the last of it slowly." in report
    assert "keeps the plug up" not in report


def test_cautions_say_what_the_clamping_force_rests_on_and_that_moves_in_the_air_are_not_checked() -> None:
    drawn = {"outline": {"shapes": ({"rectangle": (60.0, 40.0)},)}}
    full = " ".join(cautions(job({**drawn, "hold_downs": (clamp(),)})))
    assert "published pressures for flat faces, not on your glue" in full
    assert "lift the bit above every hold-down" in full
    bare = " ".join(cautions(job()))
    assert "clamping force" not in bare and "hold-down" not in bare


def test_end_grain_is_told_to_be_sized_and_to_tear_out() -> None:
    plain = " ".join(full_text(planned()).split())
    assert "size it with a thin coat first" not in plain and "End grain" not in plain
    words = " ".join(full_text(planned({"plug.grain.face": "end"})).split())
    assert "size it with a thin coat first" in words
    assert "End grain tears out" in words


def test_minutes_add_up_and_name_what_is_missing() -> None:
    minutes = shop(planned(FEEDS, BASE))["minutes"]
    assert minutes["total"] == pytest.approx(sum(step["minutes"] for step in minutes["steps"]), abs=0.01)
    assert [(step["part"], step["step"]) for step in minutes["steps"]] == [
        ("pocket", "clear"), ("pocket", "walls"), ("plug", "clear"), ("plug", "walls"), ("plug", "cut out"),
        ("base", "level"),
    ]  # fmt: skip
    assert minutes["left_out"] == []
    assert shop(planned(FEEDS))["minutes"]["left_out"] == [{"step": "base level", "needs": "base.blank"}]
    no_v = shop(planned({"cutting.clearing": {"feed": 2000.0}}, BASE))["minutes"]
    assert {entry["needs"] for entry in no_v["left_out"]} == {"cutting.v"}
    assert "needs cutting.v" in " ".join(full_text(planned({"cutting.clearing": {"feed": 2000.0}}, BASE)).split())


def test_several_clearing_bits_are_compared() -> None:
    bits = ({**CLEARING, "name": "fine"}, {**CUT_OUT, "name": "coarse"})
    found = shop(planned(FEEDS, {"bits.clearing": bits}))["clearing_choices"]
    assert {tuple(entry["bits"]) for entry in found} == {(), ("fine",), ("coarse",), ("coarse", "fine")}
    assert [entry["minutes"] for entry in found] == sorted(entry["minutes"] for entry in found)


# --- the frame ------------------------------------------------------------------------------------------------------


def test_places_are_told_from_the_datum_where_one_is_set() -> None:
    """A triangle turned by a right angle about the middle of its bounds, which lies on the board's middle."""
    shape = shapely.Polygon([(0, 0), (60, 0), (0, 40)])
    placed = {"datum": "lower left", "outline": {"shapes": ({"circle": 9.0},), "turn": 90.0}}
    found = data(planned(BASE, placed, shape=shape), sheet="s", inputs={})
    corner = found["outline"]["sharpest_corner"]
    assert corner["at"] == pytest.approx([60, 0])
    # (30, -20) off the middle becomes (20, 30)
    assert corner["from_datum"] == pytest.approx([100 + 20, 75 + 30])
    assert "from_datum" not in data(planned(BASE, shape=shape), sheet="s", inputs={})["outline"]["sharpest_corner"]
    words = " ".join(full_text(planned(BASE, placed, shape=shape)).split())
    assert "which lies at (120.00, 45.00) from the datum and is turned by 90 deg" in words


def test_inches_and_millimetres_are_the_same_shop() -> None:
    mm, inch = (shop(planned(BASE, PLUG, CLIMATE, WOODS, FEEDS, unit=unit)) for unit in ("mm", "in"))
    assert inch["movement"] * 25.4 == pytest.approx(mm["movement"], abs=1e-4)
    assert inch["joint_area"]["walls"] * 25.4**2 == pytest.approx(mm["joint_area"]["walls"], abs=1e-2)
    assert inch["margins"]["plug"]["left"] * 25.4 == pytest.approx(mm["margins"]["plug"]["left"], abs=1e-4)
    for same in ("glue_volume_ml", "clamp_force_kn"):
        assert inch[same] == pytest.approx(mm[same])
    assert inch["minutes"]["total"] == pytest.approx(mm["minutes"]["total"])
