"""The rules of RS-274/NGC with their own and hand-worked examples.

Source: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter - Version 3, NISTIR 6556, August 2000;
sections in brackets, (T8) its table 8. Cases 'by hand' were worked from the rule named.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from programmes import Move, arc_of, cut_length, ends, moves_of, read, told

from inlayfit.errors import InputError
from inlayfit.programme.reader import read_programme


def refused(*lines: str, start: tuple[float, float, float] | None = (0, 0, 0)) -> str:
    with pytest.raises(InputError) as caught:
        read(*lines, start=start)
    return str(caught.value)


def close(found: object, expected: object, within: float = 1e-9) -> None:
    np.testing.assert_allclose(np.array(found, float), np.array(expected, float), rtol=0, atol=within)


# --- lines, words, numbers (3.3) -------------------------------------------------------------------------------------


def test_spaces_and_case_mean_nothing() -> None:
    # (3.3): "g0x +0. 12 34y 7" is "G0 X0.1234 Y7"
    assert moves_of("g0x +0. 12 34y 7") == [Move(1, "rapid", (0.1234, 7, 0))]


def test_line_by_hand() -> None:
    programme = read("n10 g 1 x1 2.50 y-.5f3 00")
    assert told(programme.moves)[-1].end == (12.5, -0.5, 0)
    assert programme.moves.feed[-1] == 300


@pytest.mark.parametrize("number", ["5", "+5", "5.", "+5.0", "005.000", "0005"])
def test_forms_of_a_number(number: str) -> None:
    assert ends(f"G1 X{number}") == [(5, 0, 0)]


@pytest.mark.parametrize("code", ["G1", "G01", "G1.0", "G01.", "G1.00001", "g 1"])
def test_whole_numbers_within_a_ten_thousandth(code: str) -> None:
    # (3.3.2.1)
    assert moves_of(f"{code} X5") == [Move(1, "feed", (5, 0, 0))]


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("G0 X1 X2", "X stands twice"),  # (3.3.5)
        ("G0 G1 X1", "one line with G0"),  # (3.3.5)
        ("G1 X1E3", "exponent"),  # (3.3.2.1)
        ("G0 X.", "no number"),
        ("G0 X", "no number"),
        ("G0 X1..2", "not a letter"),
        ("G0 X1 (a(b))", "comment"),  # (3.3.4)
        ("G0 X1 (a", "comment"),
        ("G0 X1(a)2", "comment"),
        ("G0 X1 a)", "A has no number"),
        ("M7 M8", "M8 stands on one line with M7"),  # (T4)
        ("G28 G0 X1", "two codes"),  # (3.4)
        ("G4 P1 G53 G0 X1", "one line with G4"),  # (D.8.2)
        ("G0 N5 X1", "line number"),  # (3.3.1)
        ("N1.5 G0 X1", "line number"),
        ("N-5 G0 X1", "line number"),
        ("T-1", "negative"),  # (D.8.2)
        ("F-100", "negative"),
        ("T1.5", "whole"),
        ("X-#1", "variables"),
        ("X[1+2]", "expressions"),
        ("#5=3", "variables"),
        ("E1", "exponent"),
        ("U5", "second linear axis"),
        ("G0 X1 P3", "nothing on this line takes it"),  # (A)
        ("G0 X1 /", "/ stands at the start"),
        ("G0 X1 %", "%"),
        ("/2 G0 X1", "/ stands at the start"),
    ],
)  # fmt: skip
def test_mistakes_in_a_line(line: str, problem: str) -> None:
    message = refused(line)
    assert message.startswith("part.nc:3:")
    assert problem in message


def test_place_of_a_mistake_is_that_of_the_file() -> None:
    text = "G21 G90 (head)\n( a comment )  g0 X1 ; more\n  N5 G0 (in) X 1 0  Q3 F1\n"
    with pytest.raises(InputError, match=r"^lid\.nc:3:21: Q"):
        read_programme(text, name="lid.nc", unit="mm")
    with pytest.raises(InputError, match=r"^lid\.nc:1:5: G41"):
        read_programme("N10 G41 D1\r\nM2\r\n", name="lid.nc", unit="mm")


def test_longer_line_numbers_than_the_report_allows_are_read() -> None:
    # (3.3.1) has five digits; posted programmes have more
    assert ends("N000123456 G0 X1") == [(1, 0, 0)]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_mark_and_blank_lines(end: str) -> None:
    text = "\ufeff" + end.join(["%", "", "G21 G90", "  ", "(one)", "G0 X1", "%", "G0 X2", ""])
    programme = read_programme(text, name="a", unit="in")
    assert told(programme.moves)[0][:2] == (6, "rapid")
    assert len(programme.moves) == 1  # what follows the second % does not run (3.1)
    assert any(remark.line == 8 for remark in programme.remarks)


def test_an_end_that_is_missing_is_told() -> None:
    # (3.1) has it an error; here a file cut short must at least be seen
    programme = read_programme("G21 G90\nG0 X1", name="a", unit="mm")
    assert [(r.word, r.kind) for r in programme.remarks] == [("end", "doubtful")]
    assert read_programme("G21 G90\nG0 X1\n%", name="a", unit="mm").remarks == ()
    assert read_programme("%\nG21 G90\nG0 X1\nM30\n%\n", name="a", unit="mm").remarks == ()
    with pytest.raises(InputError, match=r"a:2:1: % in the middle"):
        read_programme("G21 G90 G0 X1\n%\nG0 X2", name="a", unit="mm")


def test_block_delete() -> None:
    text = "G21 G90\nG0 X1\n/G0 X2\n/N7 G0 X3\nM2"
    cut = read_programme(text, name="a", unit="mm")
    assert [m.line for m in told(cut.moves)] == [2, 3, 4]
    assert ("/", "doubtful", 3, 2) in {(r.word, r.kind, r.line, r.times) for r in cut.remarks}
    left = read_programme(text, name="a", unit="mm", block_delete=True)
    assert [m.line for m in told(left.moves)] == [2]


# --- modes and groups (3.4, 3.5, T4) ---------------------------------------------------------------------------------

GROUPS = (
    ("G0", "G1", "G2", "G3", "G73", "G80", "G81", "G82", "G83", "G85", "G89"),
    ("G17", "G18", "G19"), ("G90", "G91"), ("G93", "G94"), ("G20", "G21"), ("G98", "G99"), ("G43", "G49"),
    ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"), ("G61", "G61.1", "G64"),
    ("G4", "G10", "G28", "G30", "G53", "G92", "G92.1", "G92.2", "G92.3"), ("G90.1", "G91.1"),
    ("M0", "M1", "M2", "M30"), ("M3", "M4", "M5"), ("M7", "M8", "M9"), ("M48", "M49"),
)  # fmt: skip


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group[0])
def test_two_codes_of_one_group_are_an_error(group: tuple[str, ...]) -> None:
    for one in group:
        for other in group:
            assert "both cannot hold" in refused(f"{one} {other}")


def test_codes_of_different_groups_share_a_line() -> None:
    assert ends("G0 G17 G40 G49 G54 G61 G90 G94 G98 G21 X1") == [(1, 0, 0)]


@pytest.mark.parametrize(
    "code",
    ["G41 D1", "G42", "G16", "G51", "G68", "G52 X1", "G38.2 X1",
     "G84 X1", "G86 X1", "G87", "G88", "G95", "G96", "G65 P1",
     "G5", "G123", "G1.5", "G-1", "M60", "M10", "M-1", "M97", "M6.5"],
)  # fmt: skip
def test_codes_that_are_not_read_are_refused(code: str) -> None:
    assert refused(code).startswith("part.nc:3:1: ")


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_a_rotary_axis_must_stay(letter: str) -> None:
    assert ends(f"G0 X1 {letter}0") == [(1, 0, 0)]
    assert "rotary" in refused(f"G0 X1 {letter}0.1")


def test_omitted_axes_stay_and_the_motion_holds() -> None:
    # (3.5.1, 3.5.2)
    assert moves_of("G1 X1", "Y2", "Z3", "G0 X0") == [
        Move(1, "feed", (1, 0, 0)), Move(2, "feed", (1, 2, 0)), Move(3, "feed", (1, 2, 3)), Move(4, "rapid", (0, 2, 3)),
    ]  # fmt: skip


def test_motion_without_axis_words_sets_mode_and_feed() -> None:
    # an error in (3.5.2); posted programmes have it
    programme = read("G1 F250", "X5", "G0", "X6")
    assert [m.motion for m in told(programme.moves)[1:]] == ["feed", "rapid"]
    assert programme.moves.feed[1] == 250


def test_first_move_needs_a_mode_and_a_cut_a_feed() -> None:
    with pytest.raises(InputError, match="a move without G0"):
        read_programme("G21 G90\nX5", name="a", unit="mm")
    with pytest.raises(InputError, match="cut without a feed"):
        read_programme("G21 G90\nG0 X0 Y0 Z0\nG1 X5", name="a", unit="mm")
    assert "cut without a feed" in refused("G1 X5 F0")
    assert "after G80" in refused("G80", "X5")


def test_a_cut_must_start_at_a_known_place() -> None:
    assert "X Y Z must come first" in refused("G1 X1 Y1 Z1", start=None)
    assert "Z must come first" in refused("G0 X1 Y1", "G1 X2", start=None)
    assert ends("G0 Z5", "G0 X1 Y1", "G1 X2", start=None)[-1] == (2, 1, 5)
    assert "counts from the place before" in refused("G91 G0 X1", start=None)


def test_incremental() -> None:
    # by hand (3.5.17): G91 acts on its own line
    assert ends("G0 X10 Y10", "X5 G91 Y-2", "G2 X10 I5") == [(10, 10, 0), (15, 8, 0), (25, 8, 0)]
    arc = arc_of("G0 X10 Y10", "X5 G91 Y-2", "G2 X10 I5")
    close(arc.centre, (20, 8))
    assert arc.degrees == pytest.approx(-180)


def test_order_on_one_line() -> None:
    # by hand (T8): wait, then move; G92 moves nothing
    found = moves_of("G1 X5", "G4 P1.5 X9", "G92 X0", "X2")
    assert found == [Move(1, "feed", (5, 0, 0)), Move(2, "feed", (9, 0, 0)), Move(4, "feed", (11, 0, 0))]
    # M6 before M3 and both before the move, whichever order they are written in
    moves = read("G0 X1 Y1 Z1 M3 S9000 M6 T4").moves
    assert (moves.tool[-1], moves.spindle[-1]) == (4, 9000)
    # M2 comes last
    assert ends("M30 G0 X7", "G0 X8") == [(7, 0, 0)]
    assert "needs P" in refused("G4 X2")
    assert "negative" in refused("G4 P-1")


def test_units() -> None:
    text = "G20 G90\nG0 X1 Y0 Z0\nG1 X2 F10\nG3 X3 Y1 I0 J1\nM2"
    moves = read_programme(text, name="a", unit="mm").moves
    close(moves.end, [(25.4, 0, 0), (50.8, 0, 0), (76.2, 25.4, 0)])
    assert moves.feed[1] == 254
    close(moves.arcs.centre, [(50.8, 25.4)])


def test_units_hold_for_the_file_and_are_asked_for() -> None:
    programme = read_programme("G90\nG0 X1 Y0 Z0\nM2", name="a", unit="in")
    assert programme.moves.end[0, 0] == 25.4
    assert not programme.units_stated
    assert ("G20/G21", "doubtful") in {(r.word, r.kind) for r in programme.remarks}
    # (2.1.2.10) converts the place, (4.3.3.2) and (4.3.3.3) differ about the zero: a change later is refused
    assert "units change after the first move" in refused("G20")
    assert ends("G21", "G0 X1") == [(1, 0, 0)]
    # a feed before the units is a number of neither (4.3.3.3): it must be given again
    with pytest.raises(InputError, match="cut without a feed"):
        read_programme("F10\nG20 G90\nG0 X1 Y0 Z0\nG1 X2\nM2", name="a", unit="mm")


def test_inverse_time() -> None:
    # (3.5.19): F2 is half a minute; by hand: 10 mm in half a minute
    moves = read("G93 G1 X10 F2").moves
    assert moves.feed[-1] == pytest.approx(20)
    assert "its own F" in refused("G93 G1 X10 F2", "X20")
    assert "cut without a feed" in refused("G93 G1 X10 F2", "G94 X20")
    assert read("G93 G0 X10").moves.feed[-1] != 20


def test_tool_lengths_and_paths_are_told() -> None:
    programme = read("G43 H1 Z5", "G49", "G61", "G61.1", "G64 P0.01", "G64 P0.5", "G64", "M8", "(MSG, look)", "M1")
    kinds = {(r.word, r.kind) for r in programme.remarks}
    assert {("G43", "no effect"), ("G49", "no effect"), ("G61", "no effect"), ("G61.1", "no effect"), ("G64", "read"),
            ("G64", "doubtful"), ("M8", "no effect"), ("(MSG,", "no effect"), ("M1", "no effect")} <= kinds  # fmt: skip
    assert told(programme.moves)[-1].end == (0, 0, 5)
    assert "nothing on this line takes it" in refused("H1")


# --- bits ------------------------------------------------------------------------------------------------------------


def test_t_selects_until_m6() -> None:
    # (3.7.3, 3.6.3)
    moves = read("T1 M6", "G0 X1 Z1", "T2", "X2", "M6", "G0 X3 Z1", "M6 T3", "X4").moves
    assert moves.tool.tolist()[1:] == [1, 1, 2, 3]


def test_t_alone_changes_where_there_is_no_m6() -> None:
    moves = read("T1", "G0 X1 Z1", "T2", "X2").moves
    assert moves.tool.tolist()[1:] == [1, 2]


def test_a_new_bit_has_another_length() -> None:
    assert "since the bit was changed (line 4)" in refused("G1 X1", "T1 M6", "G0 X5", "G1 Y1")
    assert ends("G1 X1", "T1 M6", "G0 X5", "Z3", "G1 Y1")[-1] == (5, 1, 3)
    assert "M6 without a T" in refused("M6")


def test_spindle() -> None:
    moves = read("S100", "G0 X1", "M3", "X2", "S200 X3", "M4", "X4", "M5", "X5").moves
    assert moves.spindle.tolist() == [0, 0, 100, 200, -200, 0]
    assert math.isnan(read("M3", "G0 X1").moves.spindle[-1])


# --- zeros (3.5.5, 3.5.12, 3.5.13, 3.5.18) ---------------------------------------------------------------------------


def test_g92_by_the_report() -> None:
    # (3.5.18): at X4, G92 X7 makes an offset of -3; then G92 X9 of -5
    assert ends("G0 X4", "G92 X7", "X7", "G92 X9", "X9", "X0") == [(4, 0, 0), (4, 0, 0), (4, 0, 0), (-5, 0, 0)]


def test_g10_g92_and_g53_by_hand() -> None:
    lines = ("G10 L2 P1 X100 Y50", "G0 X10 Y20 Z0", "G92 X0 Y0", "G0 X5 Y5", "G92.2", "G1 X15 Y25", "G53 G0 X0 Y0")
    found = ends(*lines, start=None)
    assert found[:3] == [(10, 20, 0), (15, 25, 0), (15, 25, 0)]
    assert math.isnan(found[3][0]) and math.isnan(found[3][1]) and found[3][2] == 0
    # G92.3 brings it back, G92.1 forgets it
    assert ends("G0 X4", "G92 X0", "G92.2", "X1", "G92.3", "X1") == [(4, 0, 0), (1, 0, 0), (5, 0, 0)]
    assert ends("G0 X4", "G92 X0", "G92.1", "X1", "G92.3", "X1") == [(4, 0, 0), (1, 0, 0), (1, 0, 0)]
    assert "not set" in refused("G92.3")
    assert "moves the zero after the first move" in refused("G10 L2 P1 X5")
    assert ends("G10 L2 P2 X5", "G0 X1") == [(1, 0, 0)]
    assert "only L2" in refused("G10 L20 P1 X5")
    assert "P1 (G54) to P9" in refused("G10 L2 P10 X5")


def test_g92_where_the_machine_stands() -> None:
    programme = read("G92 X0 Y0 Z0", "G1 X5", start=None)
    assert told(programme.moves)[0].end == (5, 0, 0)
    assert any(r.word == "G92" and r.kind == "doubtful" for r in programme.remarks)
    assert "not known" in refused("G92 X0 Y0 Z0", "G1 X5", "G92.1", start=None)
    assert "zero would be lost" in refused("G28", "G92 X0")


def test_work_offsets() -> None:
    programme = read("G54", "G0 X1")
    assert (programme.work_offset, programme.work_offset_line) == ("G54", 1)
    message = refused("G0 X1", "G55")
    assert "G55 after moves from G54 (line 1)" in message and message.startswith("part.nc:4:1")
    assert read_programme("G21 G90 G59.3\nG0 X1\nM2", name="a", unit="mm").work_offset == "G59.3"
    found = read_programme("G21 G90\nG0 X1\nM2", name="a", unit="mm")
    assert (found.work_offset, found.work_offset_line) == ("G54", None)


def test_home_is_a_place_of_the_machine() -> None:
    # (3.5.8): by the written point, then home
    found = ends("G0 X3", "G91 G28 Z2", "G90 G0 X1 Y1", "Z4", "G1 X2")
    assert found[1] == (3, 0, 2) and all(map(math.isnan, found[2]))
    assert found[-1] == (2, 1, 4)
    assert "X Y Z must come first" in refused("G28", "G1 X1")
    assert "G0 only" in refused("G1 G53 X1 F1")
    assert ends("G53 G0 Z0", "G0 Z5", "G1 X1")[-1] == (1, 0, 5)


# --- arcs (3.5.3) ----------------------------------------------------------------------------------------------------


def test_arc_by_radius_of_the_report() -> None:
    # (3.5.3.1) G2 X10 Y15 R20 Z5; its start is not printed: from (0, 0) by hand
    close(arc_of("G2 X10 Y15 R20 Z5").centre, (19.8551, -2.4034), 1e-4)
    # (T10) from (3, 1, 0)
    close(arc_of("G2 X0 R7.01 Z0.5", start=(3, 1, 0)).centre, (1.5, 7.8476), 1e-4)


def test_arc_by_centre_of_the_report() -> None:
    # (3.5.3.2) from (7, 7)
    arc = arc_of("G17 G2 X10 Y16 I3 J4 Z9", start=(7, 7, 0))
    close(arc.centre, (10, 11))
    assert arc.radius == pytest.approx(5)
    assert arc.degrees == pytest.approx(-143.130, abs=1e-3)


def test_quarter_by_centre() -> None:
    # by hand
    arc = arc_of("G2 X0 Y-10 I-10", start=(10, 0, 0))
    assert (arc.degrees, arc.length) == (pytest.approx(-90), pytest.approx(15.708, abs=1e-3))
    arc = arc_of("G3 X0 Y-10 I-10", start=(10, 0, 0))
    assert (arc.degrees, arc.length) == (pytest.approx(270), pytest.approx(47.124, abs=1e-3))


@pytest.mark.parametrize(
    ("line", "centre", "over", "degrees"),
    [
        ("G2 X8 R5", (4, -3), (4, 2), -106.260),
        ("G3 X8 R5", (4, 3), (4, -2), 106.260),
        ("G2 X8 R-5", (4, 3), (4, 8), -253.740),
        ("G3 X8 R-5", (4, -3), (4, -8), 253.740),
        ("G2 X8 R4", (4, 0), (4, 4), -180),
        ("G2 X8 R3.999", (4, 0), (4, 4), -180),  # short by rounding
    ],
)
def test_four_arcs_by_radius(
    line: str, centre: tuple[float, float], over: tuple[float, float], degrees: float
) -> None:
    # by hand (3.5.3.1), h = sqrt(25 - 16) = 3
    arc = arc_of(line)
    close(arc.centre, centre)
    assert arc.degrees == pytest.approx(degrees, abs=1e-3)
    middle = np.array([-np.array(centre)[0], -np.array(centre)[1]])
    angle = math.radians(arc.degrees / 2)
    turned = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]) @ middle
    close(np.array(centre) + turned, over, 1e-3)


def test_arcs_by_radius_that_are_none() -> None:
    assert "no circle" in refused("G2 X8 R3.9")
    assert "cannot end at its start" in refused("G2 X0 R8")
    assert "needs X or Y" in refused("G2 Z1 R8")
    assert "which one counts" in refused("G2 X8 R5 I4")


def test_near_full_circle_by_radius_throws_its_centre_far() -> None:
    # by hand (3.5.3.1): 0.001 became 0.1
    close(arc_of("G2 X0.1 Y0 R-10").centre, (0.05, 9.9999), 1e-4)
    close(arc_of("G2 X0.1 Y0.001 R-10").centre, (-0.05, 9.9999), 1e-4)


def test_two_radii_must_agree() -> None:
    # (3.5.3.2) has 0.002 mm; here 0.0025 mm (0.0001 in) or 0.1 % of the radius, whichever is more
    assert arc_of("G3 X0 Y1.0024 I-1", start=(1, 0, 0)).degrees == pytest.approx(90, abs=1e-3)
    assert "it is no arc" in refused("G3 X0 Y1.0026 I-1", start=(1, 0, 0))
    assert arc_of("G3 X0 Y10.0099 I-10", start=(10, 0, 0)).degrees == pytest.approx(90)
    assert "it is no arc" in refused("G3 X0 Y10.0101 I-10", start=(10, 0, 0))


def test_full_circles() -> None:
    # by hand (3.5.3)
    arc = arc_of("G2 X32 I-8", start=(32, 0, 0))
    close(arc.centre, (24, 0))
    assert (arc.degrees, arc.length) == (pytest.approx(-360), pytest.approx(50.265, abs=1e-3))
    # by I and J alone: an error in the report, posted all the same
    assert arc_of("G2 I-8", start=(32, 0, 0)).degrees == pytest.approx(-360)
    assert arc_of("G3 I-8 J0 Z-1", start=(32, 0, 0)).length == pytest.approx(math.hypot(2 * math.pi * 8, 1))
    # where sums of steps come back to the start but for their last digits
    steps = [f"G1 X{0.1}"] * 3
    assert arc_of("G91", *steps, "G90", "G3 X0.3 I-8").degrees == pytest.approx(360)


def test_arcs_in_the_other_planes() -> None:
    # by hand (4.3.6.1): seen from the plus end of the third axis
    arc = arc_of("G18 G2 X10 Z0 I5")
    close(arc.centre, (0, 5))  # z, x
    assert arc.degrees == pytest.approx(-180)
    from inlayfit.programme.pieces import pieces

    assert pieces(read("G18 G2 X10 Z0 I5").moves).end[:, 2].min() == pytest.approx(-5, abs=0.002)
    assert pieces(read("G18 G3 X10 Z0 I5").moves).end[:, 2].max() == pytest.approx(5, abs=0.002)
    arc = arc_of("G19 G3 Y10 Z10 K10")
    close(arc.centre, (0, 10))
    assert arc.degrees == pytest.approx(90)
    assert arc_of("G19 G2 Y10 Z10 K10").degrees == pytest.approx(-270)
    way = pieces(read("G19 G3 Y10 Z10 K10").moves).end
    assert np.min(np.hypot(way[:, 1] - 7.071, way[:, 2] - 2.929)) < 0.2
    assert "K is no centre" in refused("G17 G2 X1 K1")
    assert "J is no centre" in refused("G18 G2 X1 J1")


def test_helix() -> None:
    # by hand (2.1.2.6): the feed holds along the helix
    arc = arc_of("G3 X0 Y10 Z-4 I-10", start=(10, 0, 0))
    assert arc.length == pytest.approx(16.209, abs=1e-3)
    assert arc.length / 100 * 60 == pytest.approx(9.726, abs=1e-3)


def test_absolute_centres() -> None:
    # G90.1 and G91.1 are not in the report
    close(arc_of("G90.1 G2 X10 Y16 I10 J11", start=(7, 7, 0)).centre, (10, 11))
    close(arc_of("G90.1", "G91.1", "G2 X10 Y16 I3 J4", start=(7, 7, 0)).centre, (10, 11))
    assert "needs I and J" in refused("G90.1 G2 X10 Y16 I10", start=(7, 7, 0))
    assert "look whether I J K are meant" in refused("G2 X10 Y16 I10 J11", start=(7, 7, 0))
    # with an offset the centre moves with the numbers
    close(arc_of("G92 X0 Y0", "G90.1 G2 X3 Y9 I3 J4", start=(7, 7, 0)).centre, (10, 11))


def test_arc_without_a_centre() -> None:
    assert "arc without a centre" in refused("G2 X5")
    assert "arc without a centre" in refused("G2 X0 Y10 I0 J5", "Z-1")
    assert "no radius" in refused("G2 X0 I0")


def test_rounded_outlines_of_the_report() -> None:
    # (T12), compensated by hand there: triangle (2,2) (2,-1) (-2,-1), offset by 1: length 12 + 2 pi, area 18 + pi
    lines = ("G2 X3 Y2 J-1", "G1 Y-1", "G2 X2 Y-2 I-1", "G1 X-2", "G2 X-2.6 Y-0.2 J1", "G1 X1.4 Y2.8",
             "G2 X2 Y3 I0.6 J-0.8")  # fmt: skip
    moves = read(*lines, start=(2, 3, 0)).moves
    assert cut_length(moves) == pytest.approx(12 + 2 * math.pi)
    close(np.degrees(-moves.arcs.turn), (90, 90, 143.130, 36.870), 1e-3)
    from inlayfit.programme.pieces import pieces

    way = pieces(moves, within=1e-5).end
    x, y = way[:, 0], way[:, 1]
    assert abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2 == pytest.approx(18 + math.pi, abs=1e-3)


def test_arcs_of_the_sample_programme() -> None:
    # (C.1)
    arc = arc_of("G3 X13.5 Y0 I-2.5", start=(16, 2.5, 0))
    close(arc.centre, (13.5, 2.5))
    assert arc.degrees == pytest.approx(270)
    assert arc_of("G2 X32.5 J2.5", start=(32.5, 0, 0)).degrees == pytest.approx(-360)
    arc = arc_of("G2 X69 R4", start=(64, 4, 0))
    close(arc.centre, (66.5, 0.8775), 1e-4)
    assert arc.degrees == pytest.approx(-77.364, abs=1e-3)


# --- cycles (3.5.16) -------------------------------------------------------------------------------------------------


def cycle(*lines: str, start: tuple[float, float, float] = (0, 0, 0)) -> list[tuple[str, tuple[float, float, float]]]:
    """Motions and ends, moves that go nowhere left out."""
    found, place = [], start
    for move in moves_of(*lines, start=start):
        if move.end != place:
            found.append((move.motion, move.end))
        place = move.end
    return found


def test_cycles_of_the_report() -> None:
    # (3.5.16.2) from (1, 2, 3); the text's clear height of 2.8 is a slip of the report
    assert cycle("G90 G81 G98 X4 Y5 Z1.5 R2.8", start=(1, 2, 3)) == [
        ("rapid", (4, 5, 3)), ("rapid", (4, 5, 2.8)), ("feed", (4, 5, 1.5)), ("rapid", (4, 5, 3)),
    ]  # fmt: skip
    assert cycle("G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3", start=(1, 2, 3)) == [
        ("rapid", (1, 2, 4.8)),
        ("rapid", (5, 7, 4.8)), ("feed", (5, 7, 4.2)), ("rapid", (5, 7, 4.8)),
        ("rapid", (9, 12, 4.8)), ("feed", (9, 12, 4.2)), ("rapid", (9, 12, 4.8)),
        ("rapid", (13, 17, 4.8)), ("feed", (13, 17, 4.2)), ("rapid", (13, 17, 4.8)),
    ]  # fmt: skip
    # (T10) from (30, 1, -0.5)
    assert cycle("G91 G81 X3 Y2 Z-0.8 R1.5 L2", start=(30, 1, -0.5)) == [
        ("rapid", (30, 1, 1)),
        ("rapid", (33, 3, 1)), ("feed", (33, 3, 0.2)), ("rapid", (33, 3, 1)),
        ("rapid", (36, 5, 1)), ("feed", (36, 5, 0.2)), ("rapid", (36, 5, 1)),
    ]  # fmt: skip


def test_sticky_numbers_of_the_sample_programme() -> None:
    # (C.3), from (0, 0, 0), by hand; R and Z hold as numbers, so in G91 they count from another place
    found = cycle("G99", "G81 X3 Y4 R0.2 Z-1.1", "X1 Y0 R0 G91 L3", "Y-2 R0.1")
    bottoms = [end for motion, end in found if motion == "feed"]
    assert bottoms == [(3, 4, -1.1), (4, 4, -0.9), (5, 4, -0.9), (6, 4, -0.9), (6, 2, -0.8)]
    assert ("rapid", (6, 2, 0.3)) in found


def test_cycles_by_hand() -> None:
    found = cycle("G98 G81 X10 Y10 Z-5 R2", "X20", start=(0, 0, 20))
    assert found == [
        ("rapid", (10, 10, 20)), ("rapid", (10, 10, 2)), ("feed", (10, 10, -5)), ("rapid", (10, 10, 20)),
        ("rapid", (20, 10, 20)), ("rapid", (20, 10, 2)), ("feed", (20, 10, -5)), ("rapid", (20, 10, 20)),
    ]  # fmt: skip
    found = cycle("G99 G81 X10 Y10 Z-5 R2", "X20", start=(0, 0, 20))
    assert found[3:5] == [("rapid", (10, 10, 2)), ("rapid", (20, 10, 2))]
    assert "after G80" in refused("G98 G81 X10 Y10 Z-5 R2", "X20", "G80", "X5", start=(0, 0, 20))
    # G91: the R level counts from where the bit stands
    found = cycle("G91 G99 G81 X10 Z-6 R-2 L2", "X10", start=(0, 0, 5))
    assert [end for motion, end in found if motion == "feed"] == [(10, 0, -3), (20, 0, -3), (30, 0, -5)]
    assert ("rapid", (30, 0, 1)) in found


def test_pecking() -> None:
    # by hand (3.5.16.4): -2, -5, -7, out to 1 after each; how far it backs off is left open
    found = cycle("G99 G83 X5 Z-7 R1 Q3", start=(0, 0, 10))
    assert [end[2] for motion, end in found if motion == "feed"] == [-2, -5, -7]
    assert found.count(("rapid", (5, 0, 1))) == 4
    assert "Q above 0" in refused("G99 G83 X5 Z-7 R1 Q0", start=(0, 0, 10))
    assert "needs Q" in refused("G99 G83 X5 Z-7 R1", start=(0, 0, 10))
    assert "is a slip" in refused("G99 G83 X5 Z-7 R1 Q0.0001", start=(0, 0, 10))
    chips = cycle("G99 G73 X5 Z-7 R1 Q3", start=(0, 0, 10))
    assert [end[2] for motion, end in chips if motion == "feed"] == [-2, -5, -7]


@pytest.mark.parametrize(("code", "out"), [("G82", "rapid"), ("G85", "feed"), ("G89", "feed")])
def test_the_way_out(code: str, out: str) -> None:
    wait = "P0.5" if code != "G85" else ""
    assert cycle(f"G99 {code} X5 Z-7 R1 {wait}", start=(0, 0, 10))[-1] == (out, (5, 0, 1))


def test_cycles_in_another_plane() -> None:
    # (3.5.16): the hole runs along the axis square to the plane
    assert cycle("G18 G99 G81 X1 Z2 Y-5 R1", start=(0, 3, 0)) == [
        ("rapid", (1, 3, 2)), ("rapid", (1, 1, 2)), ("feed", (1, -5, 2)), ("rapid", (1, 1, 2)),
    ]  # fmt: skip


def test_mistakes_in_cycles() -> None:
    assert "needs X, Y or Z" in refused("G81 R1")
    assert "needs R" in refused("G81 X1 Z-1")
    assert "needs Z" in refused("G81 X1 R1")
    assert "nothing would be drilled" in refused("G81 X1 Z2 R1", start=(0, 0, 5))
    assert "repeats are whole" in refused("G81 X1 Z-1 R1 L0")
    assert "repeats are whole" in refused("G81 X1 Z-1 R1 L10001")
    assert "with G93" in refused("G93 G81 X1 Z-1 R1")
    assert "two codes" in refused("G81 X1 Z-1 R1 G92")
    assert "within a row of holes" in refused("G99 G81 X1 Z-1 R1", "G98 X2", start=(0, 0, 5))
    programme = read("G81 X1 Z-1 R1", start=(0, 0, 5))
    assert any(r.word == "G81" and r.kind == "doubtful" for r in programme.remarks)


# --- subprograms (not in the report) ---------------------------------------------------------------------------------


def test_numbered_subprograms() -> None:
    text = ("O1 (part)\nG21 G90\nG0 X0 Y0 Z1\nG91\nM98 P1000 L3\nG90\nM98 P2\nM30\n"
            "O1000\nG0 X1\nM98 P2\nM99\nO2\nY1\nM99\n")  # fmt: skip
    programme = read_programme(text, name="a", unit="mm")
    assert [m.line for m in told(programme.moves)] == [3, 10, 14, 10, 14, 10, 14, 14]
    assert told(programme.moves)[-2].end == (3, 3, 1)
    assert programme.remarks == ()


def test_words_sub_call_repeat() -> None:
    text = ("G21 G90\no100 sub\nG91 G0 X1\nG90\no100 endsub\nG0 X0 Y0 Z0\no<row> repeat [3]\no100 call\n"
            "o<in> repeat [2]\nG91 Y1\nG90\no<in> endrepeat\no<row> endrepeat\no7 repeat [0]\nG0 X99\no7 endrepeat\nM2")
    programme = read_programme(text, name="a", unit="mm")
    assert told(programme.moves)[-1].end == (3, 6, 0)
    assert len(programme.moves) == 1 + 3 + 6


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("M98 P7\nM30", "a:1:1: subprogram O7 is not in this file"),
        ("G0 X1\nO5\nM30", "a:2:1: the programme runs into O5"),
        ("M99", "would run the programme again without end"),
        ("M98 P5\nM30\nO5\nM98 P5\nM99", "may call itself"),
        ("M98 P5\nM30\nO5\nG0 X1", "ends inside O5"),
        ("M98 P5\nM30\nO5\nM99\nO5\nM99", "stands twice"),
        ("M98 P5 L0\nM30\nO5\nM99", "repeats are whole"),
        ("M98 P5 L20000\nM30\nO5\nM99", "repeats are whole"),
        ("M98\nM30", "needs P"),
        ("o1 if [1 GT 2]\nG0 X1", "conditions and loops"),
        ("o1 while [1]\nG0 X1", "conditions and loops"),
        ("o1 call [5]\no1 sub\no1 endsub", "without parameters"),
        ("o1 repeat [2]\nG0 X1", "ENDREPEAT is not in this file"),
        ("o1 repeat [#1]\no1 endrepeat", "parameters"),
        ("o1 repeat [99999]\no1 endrepeat", "more than 10000"),
        ("o1 endsub", "without its CALL"),
        ("o1 endrepeat", "without its REPEAT"),
        ("o2 call\nM2\no1 endsub\no2 sub\no1 sub\no2 endsub", "stands before its start"),
        ("%\nM98 P5\nM30\nO5\nG0 X1\n%", "a:5:1: the file ends inside O5"),
        ("o1 sub\nG0 X1", "O1 ENDSUB is not in this file"),
        ("o1 call\nM2\no1 sub\no2 repeat [2]\no1 endsub\no2 endrepeat", "without its CALL"),
        ("O5 G0 X1", "conditions and loops"),
        ("G0 X1 O5", "stands alone"),
        ("o1 repeat [9999]\no2 repeat [9999]\nG4 P0\no2 endrepeat\no1 endrepeat", "more than 10,000,000 blocks"),
    ],
)
def test_mistakes_in_subprograms(text: str, problem: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from inlayfit.programme import reader

    limit = "10,000,000" in problem
    if limit:
        monkeypatch.setattr(reader, "MOST_BLOCKS", 20_000)
    with pytest.raises(InputError) as caught:
        read_programme(text, name="a", unit="mm")
    assert (problem.replace("10,000,000", "20,000") if limit else problem) in str(caught.value)


def test_sizes_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    from inlayfit.programme import moves, text

    monkeypatch.setattr(moves, "MOST_MOVES", 100)
    monkeypatch.setattr("inlayfit.programme.motion.MOST_MOVES", 100)
    with pytest.raises(InputError, match=r"part.nc:102:1: more than 100 moves"):
        read(*(["G0 X1"] * 200))
    monkeypatch.setattr(text, "MOST_CHARACTERS", 10)
    with pytest.raises(InputError, match="more than the 10"):
        read("G0 X1")


def test_far_away_is_a_slip() -> None:
    assert "is a slip" in refused("G0 X1", "G0 X1000000")
    assert "is a slip" in refused("F1000000000")
    assert "is a slip" in refused("G0 X" + "9" * 400)
