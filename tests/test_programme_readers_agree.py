"""Two readers, built differently, agree on programmes that were changed at random: the same moves, or both refuse."""

from __future__ import annotations

import math
import os
import random

import numpy as np
import pytest
from dull_reader import DullError, dull_moves

from inlayfit.errors import InputError
from inlayfit.programme.reader import read_programme

PROGRAMMES = (
    "%\nO1000 (base)\nN10 G21 G90 G17 G40 G49 G80\nN20 T1 M6\nN30 S18000 M3\nN40 G54\nN50 G0 X0. Y0.\n"
    "N60 Z5.\nN70 G1 Z-1.5 F300\nN80 G1 X10. F900\nN90 G2 X20. Y10. I0. J10.\nN100 X10. Y20. R10.\n"
    "N110 G3 X0. Y10. R-10.\nN120 G1 X0. Y0.\nN130 G0 Z5.\nN140 M5\nN150 M30\n%\n",
    "g20 g91.1\ng90\nm3 s9000\ng0 z.2\nx1.5 y2\ng1 z-.125 f20\nx2 y2.5 f60\ng3 x2 y2.5 i-.25 j0\ng2 i.5\n"
    "x3 y2.5 i.5 z-.25\ng0 z.2\nm2\n",
    "G21 G90 G94\nT2 M6\nM3 S8000\nG0 G43 H2 Z20\nG0 X10 Y10\nG98 G81 X10 Y10 Z-5 R2 F200\nX20\nY20 R1\nG80\n"
    "G99 G83 X5 Z-7 R1 Q3\nG91 X5 L3\nG90 G82 X1 Y1 Z-2 R1 P0.5\nG73 X9 Z-4 R1 Q1.5\nG85 X3 Y4 Z-1 R0.5\n"
    "G89 X4 Z-2 R1 P1\nG80\nG0 Z20\nM5 M9\nM30\n",
    "(subs)\nG21 G90 F500\nM3 S100\nG0 X0 Y0 Z2\nM98 P20 L3\nG90\no5 repeat [4]\nG91 G1 X1 Z-.1\no6 call\n"
    "o5 endrepeat\nG90 G0 Z5\nM30\nO20\nG91 G0 X5\nG1 Z-3\nG2 X4 I2\nG0 Z3\nM99\no6 sub\nG3 X-2 Y0 R1\nG90\n"
    "o6 endsub\n",
    "G21 G90 G64 P0.01\nG0 X0 Y0 Z10\nG92 Z9\nG0 Z1\nG1 X5 Y5 F100\nG92 X0 Y0\nG1 X1\nG92.2\nG0 X1\nG28 Z9\n"
    "G0 X0 Y0 Z5\nG53 G0 Z0\nG0 Z4\nG1 Z-1\nG93 G1 X4 F2\nG2 X6 R1 F4\nG94 F90\nG1 Y9\nM2\n",
    "G21\nG90\nG18\nG0 X0 Y0 Z0\nG2 X10 Z0 I5 F50\nG19 G3 Y10 Z10 K10\nG17 G90.1 G3 X0 Y20 I5 J15\nG91.1\n"
    "/G1 X4\n/ N9 Y4 (skip)\nG61 A0\nG4 P1 X3\nM0\nM48\nG10 L2 P2 X4\nG1 Z-3 ; down\nM30\n",
)  # fmt: skip
WORDS = (
    "G0 G1 G2 G3 G4 G10 G17 G18 G19 G20 G21 G28 G40 G41 G43 G49 G53 G54 G55 G61 G64 G73 G80 G81 G83 G90 G91 "
    "G90.1 G92 G92.1 G92.3 G93 G94 G98 G99 M0 M2 M3 M5 M6 M8 M30 M98 M99 X1 Y-2 Z.5 Z-3. I1 J-1 K2 R3 R-4 P1 P20 Q2 "
    "L2 F0 F50 T1 T3 S500 H1 D1 N7 A0 "
    "B1 O5 % / #1 [1] (note) ; \n \r\n 1 . -"
).split(" ")  # fmt: skip
MARKS = "GMXYZIJRFTPLN0123456789.-+ \n()/%;#Oo"


def changed(text: str, dice: random.Random) -> str:
    """A programme with one to four slips in it."""
    for _ in range(dice.choice((1, 1, 2, 3, 4))):
        at = dice.randrange(len(text) + 1)
        lines = text.split("\n")
        one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        match dice.randrange(8):
            case 0:
                text = text[:at] + text[at + 1 :]
            case 1:
                text = text[:at] + dice.choice(MARKS) + text[at:]
            case 2:
                text = text[:at] + dice.choice(MARKS) + text[at + 1 :]
            case 3:
                lines[one] += " " + dice.choice(WORDS)
                text = "\n".join(lines)
            case 4:
                lines[one] = dice.choice(WORDS) + " " + lines[one]
                text = "\n".join(lines)
            case 5:
                lines[one], lines[other] = lines[other], lines[one]
                text = "\n".join(lines)
            case 6:
                del lines[one]
                text = "\n".join(lines)
            case 7:
                digits = [i for i, mark in enumerate(text) if mark.isdigit()]
                if digits:
                    i = dice.choice(digits)
                    text = text[:i] + dice.choice("0123456789") + text[i + 1 :]
        text = text or "G0"
    return text


def both(text: str, unit: str) -> bool | None:
    """Whether both read it, None where both refuse; fails where they differ."""
    try:
        expected = dull_moves(text, unit)
    except DullError:
        with pytest.raises(InputError, match=r"^part\.nc:"):
            read_programme(text, name="part.nc", unit=unit)  # type: ignore[arg-type]
        return None
    moves = read_programme(text, name="part.nc", unit=unit).moves  # type: ignore[arg-type]
    assert moves.line.tolist() == [m.line for m in expected]
    assert [str(m) for m in moves.motion] == [m.motion for m in expected]
    assert moves.tool.tolist() == [m.tool for m in expected]
    for name in ("start", "end"):
        places = np.array([getattr(m, name) for m in expected], float).reshape(-1, 3)
        np.testing.assert_allclose(getattr(moves, name), places, rtol=0, atol=1e-9)
    np.testing.assert_allclose(moves.feed, [m.feed for m in expected], rtol=1e-9)
    arcs = [m for m in expected if m.centre is not None]
    assert len(arcs) == len(moves.arcs.move)
    for centre, turn, arc in zip(moves.arcs.centre, moves.arcs.turn, arcs):
        assert math.isclose(turn, arc.turn, abs_tol=1e-6)
        assert abs(complex(*centre) - arc.centre) < 1e-6 * max(1.0, abs(arc.centre))
    return True


@pytest.mark.parametrize("number", range(len(PROGRAMMES)))
def test_readers_agree_on_the_programmes_themselves(number: int) -> None:
    assert both(PROGRAMMES[number], "mm")
    assert both(PROGRAMMES[number].replace("\n", "\r\n"), "in")


def agree(count: int, seed: int) -> tuple[int, int]:
    dice, read = random.Random(seed), 0
    for number in range(count):
        text = changed(dice.choice(PROGRAMMES), dice)
        try:
            read += both(text, dice.choice(("mm", "in"))) is True
        except BaseException:
            print(f"--- {seed}, number {number}:\n{text}\n---")  # noqa: T201
            raise
    return read, count - read


def test_readers_agree_on_changed_programmes() -> None:
    read, refused = agree(2000, seed=6556)
    # the changes must leave both kinds, or the comparison shows little
    assert read > 300 and refused > 300


@pytest.mark.wide
def test_readers_agree_on_many_changed_programmes() -> None:
    count = int(os.environ.get("PROGRAMMES", "200000"))
    read, refused = agree(count, seed=1)
    print(f"{count} changed programmes: both read {read}, both refuse {refused}")  # noqa: T201
    assert read > count // 10
