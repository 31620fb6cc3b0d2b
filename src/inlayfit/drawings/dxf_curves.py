"""Curves of DXF as points: arcs, ellipses, bulges and splines, their chords within a tolerance of the curve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.drawings.positions import MAX_VERTICES, too_many_chords
from inlayfit.errors import InputError

Points = NDArray[np.float64]

_FULL_TURN: Final = 1e-4
"""Radians by which writers' digits (0 to 6.2832) may miss a full turn."""
_FEWEST: Final = 0.25  # share of the radius that a chord may lie off its arc at most
_APART: Final = 1e-7  # radians between points of an arc
_PIECES: Final = 8  # chords for each span of a spline at least, so that no bend slips through
_ROUNDS: Final = 12


def sweep(start: float, end: float) -> float:
    """How far a curve runs, anticlockwise, from one angle to another; radians, above 0, at most a full turn.

    Angles that lie whole turns apart are a full turn. Raises ``InputError`` for equal angles, which may be no curve
    or a full one, and for more than a turn.
    """
    span = end - start
    if not math.isfinite(span):
        raise InputError("an angle is not finite")
    if is_full_turn(start, end):
        return math.tau
    if span == 0:
        raise InputError(f"starts and ends at the same angle, {math.degrees(start):.6g} degrees: draw it full, or not")
    if abs(span) > math.tau:
        raise InputError(f"runs over {abs(math.degrees(span)):.6g} degrees, more than a full turn: draw it once")
    return span % math.tau


def is_full_turn(start: float, end: float) -> bool:
    """Whether two angles [radians] lie whole turns apart, to the digits that drawing programs write."""
    turns = (end - start) / math.tau
    return abs(turns) > 0.5 and abs(turns - round(turns)) <= _FULL_TURN / math.tau


def arc(centre: Sequence[float], radius: float, start: float, end: float, tolerance: float) -> Points:
    """Points of shape (n, 2) on a circular arc, anticlockwise; where it is furthest out there is always one."""
    return _on_ellipse(centre, (radius, 0.0), (0.0, radius), start, sweep(start, end), tolerance)


def ellipse(
    centre: Sequence[float],
    major: Sequence[float],
    minor: Sequence[float],
    start: float,
    end: float,
    tolerance: float,
) -> Points:
    """Points on an ellipse between two of its parameters; ``major`` and ``minor`` are its half axes."""
    return _on_ellipse(centre, major, minor, start, sweep(start, end), tolerance)


def _on_ellipse(
    centre: Sequence[float],
    major: Sequence[float],
    minor: Sequence[float],
    start: float,
    span: float,
    tolerance: float,
) -> Points:
    middle, u, v = (np.array(part, dtype=float) for part in (centre, major, minor))
    radius = float(max(np.sqrt((u**2).sum()), np.sqrt((v**2).sum())))
    if not radius > 0:
        return np.zeros((0, len(middle)))
    # sagitta r (1 - cos(step / 2)) within the tolerance; 2 asin(sqrt(x / 2)) is acos(1 - x)
    step = 4 * math.asin(math.sqrt(min(tolerance / radius, _FEWEST) / 2))
    count = math.ceil(abs(span) / step)
    if count > MAX_VERTICES:
        raise too_many_chords(count)
    quarters = np.arange(math.ceil(start / (math.pi / 2)), math.floor((start + span) / (math.pi / 2)) + 1)
    angles = np.sort(np.concatenate([np.linspace(start, start + span, count + 1), quarters * (math.pi / 2)]))
    angles = angles[np.concatenate([[True], np.diff(angles) > _APART])]
    angles[-1] = start + span
    points: Points = middle + np.outer(np.cos(angles), u) + np.outer(np.sin(angles), v)
    if span == math.tau:
        points[-1] = points[0]
    return points


def bulged(vertices: Points, tolerance: float, *, closed: bool) -> Points:
    """Points of shape (n, 2) along vertices x, y and bulge, the tangent of a quarter of the arc's angle."""
    if closed:
        vertices = np.vstack([vertices, vertices[:1]])
    if not vertices[:-1, 2].any():
        return vertices[:, :2]
    pieces = [vertices[:1, :2]]
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices[:-1].tolist(), vertices[1:].tolist(), strict=True):
        end = np.array([[x1, y1]])
        if bulge and (x0, y0) != (x1, y1):
            # the centre lies (1 - b2) / 4b of the chord to its left
            off = (1 - bulge**2) / (4 * bulge)
            centre = ((x0 + x1) / 2 - off * (y1 - y0), (y0 + y1) / 2 + off * (x1 - x0))
            radius = math.hypot(x0 - centre[0], y0 - centre[1])
            start, span = math.atan2(y0 - centre[1], x0 - centre[0]), 4 * math.atan(bulge)
            low = start if span > 0 else start + span
            on_arc = _on_ellipse(centre, (radius, 0.0), (0.0, radius), low, abs(span), tolerance)
            pieces.append((on_arc if span > 0 else on_arc[::-1])[1:-1])
        pieces.append(end)
    return np.concatenate(pieces)


def spline(
    controls: Points, knots: Sequence[float], weights: Sequence[float], degree: int, tolerance: float
) -> Points:
    """Points on a B-spline over the range that its knots define: from knot ``degree`` to the last but ``degree``.

    ``weights`` may be empty. Raises ``InputError`` for knots that run backwards or are too few.
    """
    vector = np.array(knots, dtype=float)
    if degree < 1 or len(vector) != len(controls) + degree + 1 or len(controls) <= degree:
        raise InputError(f"{len(controls)} control points and {len(vector)} knots do not make a spline: redraw it")
    if (np.diff(vector) < 0).any():
        raise InputError("its knots run backwards: redraw it")
    heavy = np.array(weights, dtype=float) if len(weights) else np.ones(len(controls))
    if len(heavy) != len(controls) or not (heavy > 0).all():
        raise InputError("a weight of the spline is missing or not above 0: redraw it")
    raised = np.column_stack([controls * heavy[:, None], heavy])
    spans = np.flatnonzero(np.diff(vector) > 0)
    spans = spans[(spans >= degree) & (spans < len(controls))]
    if not len(spans):
        return np.zeros((0, controls.shape[1]))
    low, high = vector[spans], vector[spans + 1]
    pieces = np.full(len(spans), _PIECES)
    for _ in range(_ROUNDS):
        if pieces.sum() > MAX_VERTICES:
            raise too_many_chords(float(pieces.sum()))
        owner = np.repeat(np.arange(len(spans)), 2 * pieces)
        starts = np.repeat(np.cumsum(2 * pieces) - 2 * pieces, 2 * pieces)
        share = (np.arange(len(owner)) - starts) / (2 * pieces[owner])
        points = _evaluated(raised, vector, degree, spans[owner], low[owner] + share * (high - low)[owner])
        last = _evaluated(raised, vector, degree, spans[-1:], high[-1:])
        points = np.vstack([points, last])
        ends, middles = points[::2], points[1::2]
        off = np.sqrt(((middles - (ends[:-1] + ends[1:]) / 2) ** 2).sum(axis=1))
        worst = np.zeros(len(spans))
        np.maximum.at(worst, owner[::2], off)
        if (worst <= tolerance).all():
            return ends
        pieces = np.where(worst > tolerance, 2 * pieces, pieces)
    raise too_many_chords(float(pieces.sum()))


def _evaluated(raised: Points, knots: Points, degree: int, spans: NDArray[np.int64], at: Points) -> Points:
    """De Boor's algorithm in the given knot spans; ``raised`` are control points times weight, and the weight."""
    values = [raised[spans - degree + number] for number in range(degree + 1)]
    for level in range(1, degree + 1):
        for number in range(degree, level - 1, -1):
            low = knots[spans - degree + number]
            high = knots[spans + number + 1 - level]
            share = ((at - low) / (high - low))[:, None]
            values[number] = (1 - share) * values[number - 1] + share * values[number]
    points: Points = values[degree][:, :-1] / values[degree][:, -1:]
    return points
