"""The V-bit as it really is, from test grooves: width against depth is a straight line.

A bit with half-tip r and slope T cuts a groove z deep w = 2 (r + z T) wide: the line's slope is 2 T, its height at
depth 0 the full tip. A bit touched off too deep by e widens every groove by 2 T e, which widths alone cannot tell
from a wider tip. Lengths in mm, angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from inlayfit.cutters import Profile, v_profile
from inlayfit.errors import InputError
from inlayfit.joint.spread import EXACT, Spread
from inlayfit.joint.straight_line import StraightLine, straight_line
from inlayfit.joint.student import student_factor
from inlayfit.quantity import LengthUnit, length_text

READING: Final = 0.02
"""How well a groove's width is read, plus or minus mm (common practice with callipers or a loupe, no source)."""
STEP: Final = 0.01
"""How well a machine steps from one depth to the next, plus or minus mm (common practice, no source)."""
FALSE_ALARM: Final = 0.05
"""Share of sound sets of grooves in which one may be pointed out all the same."""
OUT_OF_REACH: Final = 0.5
"""Too shallow by more than this many mm is a mistake, not a touch-off error."""
NARROWEST, WIDEST = 5.0, 150.0
"""Included angles that V-bits have, in degrees."""
OTHER_BIT: Final = 3.0
"""Grooves that are further off a declared angle than this many degrees were probably cut by another bit."""
BLUNT: Final = 60.0
"""Included angle in degrees over which a bit is seldom used for inlays (common practice, no source)."""
_EVEN: Final = math.sqrt(3)
"""An even spread of plus or minus a has the standard deviation a over this."""


@dataclass(frozen=True, kw_only=True)
class Groove:
    """A test groove. ``plus_minus`` is how well its width was read."""

    depth: float
    width: float
    plus_minus: float = READING


@dataclass(frozen=True, kw_only=True)
class Outlier:
    """A groove that does not go with the others: which, how much wider than their line, and the bit without it."""

    number: int
    """Counts from 0."""
    off: float
    angle: float
    tip: float


@dataclass(frozen=True, kw_only=True)
class RealBit:
    """What the grooves say of the bit, with standard uncertainties, Student's factor for few grooves in them.

    ``tip`` is the full width of the flat (of a ball tip: of the flat with the same flank) and never below 0;
    ``touch_off`` how much too deep the bit ran, with its standard uncertainty, where the tip was seen by itself.
    ``residuals`` are each groove's width less the line's.
    """

    angle: float
    angle_u: float
    tip: float
    tip_u: float
    grooves: tuple[Groove, ...]
    residuals: tuple[float, ...]
    scatter: float | None
    outlier: Outlier | None
    width_at_0: float
    """The line's height at depth 0; below 0 the bit ran too high, or depths are wrong."""
    touch_off: tuple[float, float] | None

    def shape(self, *, ball: bool) -> Profile:
        """The bit's profile, for a ball tip with the ball that has the same flank."""
        return v_profile(self.angle, self.tip / 2, ball=ball)


def groove_fit(
    grooves: Sequence[Groove],
    *,
    step: float = STEP,
    touch_off: Spread = EXACT,
    tip_seen: Groove | None = None,
    unit: LengthUnit = "mm",
) -> RealBit:
    """Included angle and tip from at least two grooves of different depths.

    ``step`` is how well the depths are known against each other, plus or minus, and ``touch_off`` how well they all
    are against the face, a known error too deep being positive; ``tip_seen`` the tip as read by itself (its depth is
    0), which tells tip and touch-off apart. ``unit`` is for messages. Raises :class:`InputError` for readings that no
    V-bit makes.
    """
    if len(grooves) < 2:
        found = f"found {len(grooves)} groove{'' if len(grooves) == 1 else 's'}"
        raise InputError(f"{found}, expected at least two, of different depths (--groove DEPTH=WIDTH)")
    line = _line(grooves, step, unit).widened()
    slope = line.slope / 2
    angle = _angle(line)
    # a bit that ran deeper than told cut all grooves wider by as much
    tip = line.intercept - line.slope * touch_off.known
    tip_u = math.hypot(line.intercept_u, line.slope * touch_off.standard)
    error: tuple[float, float] | None = None
    if tip_seen is not None:
        tip, tip_u = tip_seen.width, tip_seen.plus_minus / _EVEN
        seen = (line.intercept - tip) / line.slope
        # intercept, slope and the tip seen, by the law of propagation
        spread = line.intercept_u**2 + tip_u**2 + (seen * line.slope_u) ** 2 - 2 * seen * line.covariance
        error = (seen, math.sqrt(max(0.0, spread)) / line.slope)
    if tip_seen is None and tip < -max(6 * tip_u, line.slope * OUT_OF_REACH):
        raise InputError(
            f"found widths that point to a tip of {length_text(tip, unit)}, expected 0 or more: no bit has "
            "that, so either the depths are wrong or the bit ran far too shallow",
            where=("grooves",),
        )
    return RealBit(
        angle=angle,
        # d(2 atan(b/2))/db = 1 / (1 + b2/4)
        angle_u=math.degrees(line.slope_u / (1 + slope**2)),
        tip=max(0.0, tip),
        tip_u=tip_u,
        grooves=tuple(grooves),
        residuals=tuple(groove.width - line.at(groove.depth) for groove in grooves),
        scatter=line.scatter,
        outlier=_outlier(grooves, step, unit),
        width_at_0=line.intercept,
        touch_off=error,
    )


def refuse_swapped(grooves: Sequence[Groove], *, touch_off: Spread = EXACT, declared: float | None = None) -> None:
    """Raise :class:`InputError` for widths and depths that stand in each other's place.

    ``declared`` is the included angle of the bit that is said to have cut them: as written the grooves are another
    bit's, the other way round they are its own. Without it they are refused where they make a blunt bit with a tip
    well below nothing as written, and a slender one with a tip the other way round.
    """
    if len(grooves) < 2:
        return
    try:
        line = _line(grooves, STEP, "mm")
        turned = _line([replace(groove, depth=groove.width, width=groove.depth) for groove in grooves], STEP, "mm")
    except InputError:
        return  # one of the two is no bit at all: told where the line is wanted
    angle, other = _angle(line), _angle(turned)
    if declared is None:
        unsure = math.hypot(line.intercept_u, line.slope * touch_off.standard)
        swapped = angle > BLUNT > other and line.intercept < -2 * unsure and turned.intercept > 0
    else:
        swapped = abs(angle - declared) > OTHER_BIT > abs(other - declared)
    if swapped:
        raise InputError(
            f"found depths and widths that make a bit of {angle:.0f} deg, and one of {other:.0f} deg the other way "
            "round: depth and width are swapped, expected DEPTH=WIDTH",
            where=("grooves",),
        )


def _angle(line: StraightLine) -> float:
    """Included angle of the bit whose grooves lie on this line, in degrees."""
    return 2 * math.degrees(math.atan(line.slope / 2))


def _line(grooves: Sequence[Groove], step: float, unit: LengthUnit) -> StraightLine:
    """The line through the grooves' widths, its uncertainties from how well they were read."""
    for number, groove in enumerate(grooves, 1):
        for name, value in (("depth", groove.depth), ("width", groove.width)):
            if not 0 < value < math.inf:
                found = f"found a {name} of {length_text(value, unit)}, expected more than 0"
                raise InputError(found, where=("grooves", f"[{number}]"))
    depths, widths = [groove.depth for groove in grooves], [groove.width for groove in grooves]
    # one thousandth of a millimetre is finer than any shop reads, and keeps the weights finite
    read = [max(groove.plus_minus, 0.001) / _EVEN for groove in grooves]
    if max(depths) - min(depths) <= 1e-6:
        raise InputError(
            f"found grooves of one depth only, {length_text(depths[0], unit)}, expected at least two different depths",
            where=("grooves",),
        )
    line = straight_line(depths, widths, read)
    # a depth that is off by d moves the width by slope times d: it counts as an error of the width
    line = straight_line(depths, widths, [math.hypot(u, line.slope * step / _EVEN) for u in read])
    angle = _angle(line)
    if not NARROWEST <= angle <= WIDEST:
        grows = f"grow by {line.slope:.3g} for each unit of depth, which is an included angle of {angle:.3g} deg"
        if line.slope <= 0:
            grows = "do not grow with their depths"
        raise InputError(
            f"found widths that {grows}, expected those of a V-bit of {NARROWEST:g} to {WIDEST:g} deg "
            "(the depth stands first: DEPTH=WIDTH)",
            where=("grooves",),
        )
    return line


def _outlier(grooves: Sequence[Groove], step: float, unit: LengthUnit) -> Outlier | None:
    """The groove furthest off the line through the others, where that is far; of three no one can say which.

    A groove's distance from the others' line, over what their own scatter makes of it, follows Student's t with two
    degrees of freedom less than there are others. As many grooves are asked, the bound of each is that share of the
    false alarms allowed (Bonferroni): it holds however badly all of them were read.
    """
    if len(grooves) < 4:
        return None
    worst, found = student_factor(1 - FALSE_ALARM / len(grooves), len(grooves) - 3), None
    for number, groove in enumerate(grooves):
        others = [other for place, other in enumerate(grooves) if place != number]
        try:
            line = _line(others, step, unit)
        except InputError:
            continue  # the others have one depth, or make no V-bit by themselves
        off = groove.width - line.at(groove.depth)
        own = math.hypot(max(groove.plus_minus, 0.001) / _EVEN, line.slope * step / _EVEN)
        # they may lie closer to a line by luck than they can be read
        share = abs(off) / math.hypot(own, line.at_u(groove.depth)) / max(1.0, line.scatter or 1.0)
        if share > worst:
            angle = _angle(line)
            worst, found = share, Outlier(number=number, off=off, angle=angle, tip=max(0.0, line.intercept))
    return found
