"""Straight moves and arcs: G0 to G3."""

from __future__ import annotations

from math import isnan

from inlayfit.programme.arcs import RADII_INCH, RADII_MM, centre_by_radius, checked_centre, turn_about
from inlayfit.programme.blocks import MOST_SPEED, Block
from inlayfit.programme.modes import Modes
from inlayfit.programme.moves import (
    ANTICLOCKWISE,
    CLOCKWISE,
    FEED,
    MOST_MOVES,
    PLANE_AXES,
    RAPID,
    Point,
)
from inlayfit.programme.words import AXES, WORD, Refused
from inlayfit.programme.zero import go_to, target

CENTRES = "IJK"
PLANE_NAMES = ("XY (G17)", "ZX (G18)", "YZ (G19)")


def move(block: Block, modes: Modes, line: int) -> None:
    """The block's axis words by the motion in force, G0 to G3."""
    motion = modes.motion
    if motion == 0:
        go_to(modes, line, RAPID, target(block, modes))
        return
    end = target(block, modes)
    if motion == 10:
        check_known(modes, end)
        length = sum((b - a) ** 2 for a, b in zip(modes.place, end, strict=True)) ** 0.5
        check_feed(block, modes, length)
        go_to(modes, line, FEED, end)
        return
    _arc(block, modes, line, end, clockwise=motion == 20)


def check_known(modes: Modes, end: Point) -> None:
    """A cut must know where it starts and ends."""
    lost = [AXES[axis] for axis in range(3) if isnan(modes.place[axis]) or isnan(end[axis])]
    if lost:
        since = f" since the bit was changed (line {modes.changed_at})" if lost == ["Z"] and modes.changed_at else ""
        raise Refused(
            f"a cut from a place that the programme has not given{since}: {' '.join(lost)} must come first, with G0"
        )


def check_feed(block: Block, modes: Modes, length: float) -> None:
    """A cut needs a feed; with G93 one on its own line, as moves in a minute."""
    if modes.inverse_time:
        value = block.take("F", "the feed")
        if not value:
            raise Refused("with G93 every cut needs its own F")
        modes.set_feed(value * length)
    elif isnan(modes.feed):
        raise Refused("a cut without a feed: give F, above 0, before or on this line")


def _arc(block: Block, modes: Modes, line: int, end: Point, *, clockwise: bool) -> None:
    plane = modes.plane
    one, two, _ = PLANE_AXES[plane]
    name = "G2" if clockwise else "G3"
    for axis in range(3):
        if axis not in (one, two) and CENTRES[axis] in block.values:
            raise Refused(f"{CENTRES[axis]} is no centre of an arc in {PLANE_NAMES[plane]}", block.at[CENTRES[axis]])
    check_known(modes, end)
    start2, end2 = (modes.place[one], modes.place[two]), (end[one], end[two])
    allowed = RADII_MM if modes.scale == 1.0 else RADII_INCH
    radius = block.take("R", name)
    given = [block.take(CENTRES[axis], name) for axis in (one, two)]
    if radius is not None:
        if given != [None, None]:
            raise Refused("R and a centre on one line: which one counts cannot be told", block.at["R"])
        if AXES[one] not in block.values and AXES[two] not in block.values:
            raise Refused(f"an arc by its radius needs {AXES[one]} or {AXES[two]}", block.at["R"])
        centre = centre_by_radius(
            start2, end2, radius * modes.scale, clockwise=clockwise, allowed=allowed, at=block.at["R"]
        )
    else:
        if given == [None, None]:
            raise Refused(
                f"an arc without a centre: give {CENTRES[one]} and {CENTRES[two]}, or R; for a straight cut write G1"
            )
        centre = _centre(block, modes, (one, two), given, start2)
        at = block.at.get(CENTRES[one], block.at.get(CENTRES[two]))
        checked_centre(centre, start2, end2, allowed=allowed, unit=modes.scale, at=at)
    turn = turn_about(centre, start2, end2, clockwise=clockwise)
    third = PLANE_AXES[plane][2]
    away = (((start2[0] - centre[0]) ** 2 + (start2[1] - centre[1]) ** 2) ** 0.5
            + ((end2[0] - centre[0]) ** 2 + (end2[1] - centre[1]) ** 2) ** 0.5) / 2  # fmt: skip
    check_feed(block, modes, ((away * turn) ** 2 + (end[third] - modes.place[third]) ** 2) ** 0.5)
    modes.record.add_arc(line, CLOCKWISE if clockwise else ANTICLOCKWISE, end, plane, centre, turn)
    modes.place[:] = end
    modes.moved = modes.moved or line


def _centre(
    block: Block, modes: Modes, axes: tuple[int, int], given: list[float | None], start: tuple[float, float]
) -> tuple[float, float]:
    found = []
    for axis, value, from_start in zip(axes, given, start, strict=True):
        if not modes.absolute_centres:
            found.append(from_start + (value or 0.0) * modes.scale)
        elif value is None:
            raise Refused(f"with G90.1 the centre needs {CENTRES[axes[0]]} and {CENTRES[axes[1]]}")
        else:
            found.append(value * modes.scale + modes.offset[axis])
    return found[0], found[1]


_STRAIGHT = frozenset("NGXYZF")
_CURVED = frozenset("NGXYZFIJ")
_MOTIONS = {"0": 0, "00": 0, "1": 10, "01": 10, "2": 20, "02": 20, "3": 30, "03": 30}


def plain_lines(lines: list[str], at: int, end: int, modes: Modes) -> int:
    """Read on from line `at` (from 0) while each line is a plain straight move or arc in XY; where that ends.

    Nearly all of a posted programme is such lines; whatever is not quite plain is left to the general reading, so that
    there is one place for each rule.
    """
    motion = modes.motion
    x, y, z = modes.place
    if motion not in (0, 10, 20, 30) or modes.inverse_time or not modes.moved or x != x or y != y or z != z:
        return at
    record, absolute, scale, feed = modes.record, modes.absolute, modes.scale, modes.feed
    shift_x, shift_y, shift_z = modes.offset if absolute else (0.0, 0.0, 0.0)
    curved = _STRAIGHT if modes.plane or modes.absolute_centres else _CURVED
    allowed = RADII_MM if scale == 1.0 else RADII_INCH
    to_line, to_motion = record.line.append, record.motion.append
    to_x, to_y, to_z = record.x.append, record.y.append, record.z.append
    find, straight = WORD.findall, _STRAIGHT
    end = min(end, at + MOST_MOVES - len(record))
    while at < end:
        words = find(lines[at])
        block = dict(words)
        if len(block) != len(words):
            break
        told = motion
        if "G" in block:
            code = _MOTIONS.get(block["G"])
            if code is None:
                break
            told = code
        if not block.keys() <= (straight if told < 20 else curved):
            break
        if "N" in block and not (words[0][0] == "N" and words[0][1].isdigit()):
            break
        if not absolute:
            shift_x, shift_y, shift_z = x, y, z
        fast = feed
        try:
            new_x = float(block["X"]) * scale + shift_x if "X" in block else x
            new_y = float(block["Y"]) * scale + shift_y if "Y" in block else y
            new_z = float(block["Z"]) * scale + shift_z if "Z" in block else z
            if "F" in block:
                fast = float(block["F"]) * scale
                if not 0 < fast < MOST_SPEED:
                    break
            if told < 20:
                moves = "X" in block or "Y" in block or "Z" in block
            elif "I" in block or "J" in block:
                moves = True
                centre = (
                    x + float(block["I"]) * scale if "I" in block else x,
                    y + float(block["J"]) * scale if "J" in block else y,
                )
                checked_centre(centre, (x, y), (new_x, new_y), allowed=allowed, unit=scale, at=None)
            else:
                break
        except (ValueError, Refused):
            break
        if moves and told and fast != fast:
            break
        motion = told
        if "F" in block and fast != feed:
            feed = fast
            record.feeds_at(feed)
        if moves:
            if told >= 20:
                turn = turn_about(centre, (x, y), (new_x, new_y), clockwise=told == 20)
                record.arcs.append((len(record.line), 0, *centre, turn))
            x, y, z = new_x, new_y, new_z
            to_line(at + 1)
            to_motion(told // 10)
            to_x(x)
            to_y(y)
            to_z(z)
        at += 1
    modes.motion, modes.feed = motion, feed
    modes.place[:] = x, y, z
    return at
