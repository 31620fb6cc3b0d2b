"""What the dry fit's codes are called at the bench: causes, cuts, what stands in their way, why nothing is cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.dryfit.causes import Cause, Test
from inlayfit.dryfit.cuts import Correction, Proof, Stop
from inlayfit.dryfit.no_cut import NoCut
from inlayfit.dryfit.suspects import Side
from inlayfit.quantity import LengthUnit, length_text

FIRST: Final = "Brush both parts out, press the plug in again and read again, before anything is cut."
MORE: Final = {
    "pocket_v": "the V-bit ran too deep in the pocket",
    "plug_v": "the V-bit ran too deep on the plug",
    "pocket_clear": "the pocket's floor was cleared too deep",
    "plug_clear": "the plug's own floor was cleared too deep",
    "base_warp": "the base's face stood higher when it was cut than it lies now",
    "plug_warp": "the plug's face stood higher when it was cut than it lies now",
    "base_thickness": "the base is thicker than the sheet says",
    "plug_thickness": "the plug's blank is thicker than the sheet says",
    "angle": "the V-bit is blunter than declared",
    "pocket_angle": "the pocket's V-bit is blunter than declared",
    "plug_angle": "the plug's V-bit is blunter than declared",
    "tip": "the V-bit's tip is wider than declared, or worn",
    "pocket_tip": "the tip of the pocket's V-bit is wider than declared, or worn",
    "plug_tip": "the tip of the plug's V-bit is wider than declared, or worn",
    "runout": "the spindle runs out, so that the bit cuts wider",
    "square": "the machine is out of square, and the mirrored plug doubles it",
    "chip": "a chip or fuzz lies under the plug",
    "hand": "your hand pressed less than said, or the wood bears more",
}
LESS: Final = {
    "pocket_v": "the V-bit ran too shallow in the pocket",
    "plug_v": "the V-bit ran too shallow on the plug",
    "pocket_clear": "the pocket's floor was cleared too shallow",
    "plug_clear": "the plug's own floor was cleared too shallow",
    "base_warp": "the base's face lay lower when it was cut than it lies now",
    "plug_warp": "the plug's face lay lower when it was cut than it lies now",
    "base_thickness": "the base is thinner than the sheet says",
    "plug_thickness": "the plug's blank is thinner than the sheet says",
    "angle": "the V-bit is sharper than declared",
    "pocket_angle": "the pocket's V-bit is sharper than declared",
    "plug_angle": "the plug's V-bit is sharper than declared",
    "tip": "the V-bit's tip is narrower than declared",
    "pocket_tip": "the tip of the pocket's V-bit is narrower than declared",
    "plug_tip": "the tip of the plug's V-bit is narrower than declared",
    "hand": "your hand pressed more than said, or the wood bears less",
}
SLIPS: Final = {
    "start_at_0": "the plug's walls were cut with the start depth left at 0",
    "start_at_0_all": "the whole plug was cut with the start depth left at 0",
    "start_at_0_clear": "the plug's own floor was cleared with the start depth left at 0",
    "total_as_below": "the plug's total depth was typed as its depth below the start",
    "pocket_in_inches": "the pocket's depth was typed in inches where millimetres were meant",
    "start_in_inches": "the start depth was typed in inches where millimetres were meant",
    "below_in_inches": "the depth below the start was typed in inches where millimetres were meant",
    "told_a_point": "the programmes were told a bit with a point, and yours has the flat that the sheet says",
    "flat_not_told": "the bit has a flat of some 0.1 mm that nobody declared",
    "levelled_zero": "the V-bit was touched off on the levelled face, the rest on the face before",
}
"""The slips that have a size of their own; those of another angle are in :func:`cause_words`."""
TESTS: Final[dict[Test, str]] = {
    "gap": "the surface gap (--gap)",
    "above": "the plug's back over the base's face (--above)",
    "over": "over both boards (--over)",
    "pocket": "the pocket's depth (--pocket)",
    "plug": "the plug's total depth (--plug)",
    "grooves": "test grooves in scrap (inlayfit bit)",
    "mouth": "the pocket's width at the face against the drawing",
    "press again": "the same place again after brushing out, and a second place",
}
NEEDS: Final = {
    "plug walls": "the plug still clamped, and the V-bit on its zero",
    "pocket walls": "the base still clamped, and the V-bit on its zero",
    "loose walls": "the base still clamped, on the zeros of both bits",
    "floor": "the base still clamped, and the bit that clears touched off anew",
    "own floor": "the plug still clamped, and the bit that clears touched off anew",
    "new plug": "a new blank, and every bit touched off with care",
    "new plug for this pocket": "a new blank, and every bit touched off as for the first one",
}
WHY: Final = {
    "plug walls": "the wall programme runs again, its start deeper and its total unchanged: every contact goes down "
    "by it",
    "pocket walls": "the wall programme runs again, unchanged, with its zero lower: walls, strokes and inner corners "
    "go down by it, points by less",
    "loose walls": "the floor goes down and the wall line stays where it is, so that the plug sinks until its walls "
    "close",
    "floor": "the pocket's floor carries the plug; it goes down to the depth of the sheet, the walls stay as they are",
    "own floor": "the plug's own floor lies on the base's face; it goes down to the depth of the sheet",
    "new plug": "the pocket stays; the numbers are the sheet's, since the fault may have been the first plug's",
    "new plug for this pocket": "the pocket stays, the new plug starts where this pocket has shown to need it",
}
MINDING: Final = {
    "pocket walls": "the cleared floor stays, and with it the glue gap; a groove that deep may show at the wall's foot",
    "loose walls": "clear with the offset given, never the V-bit alone at its old offsets; then read again",
    "floor": "then read again: the walls have not shown yet where they hold",
    "new plug": "leave it clamped, lay the base over it before the cut-out and read again: should it stand as high as "
    "the first, its walls are cut once more by what it is too proud",
    "new plug for this pocket": "what made the first one stand high must still be so: find it before you cut",
}


def cause_words(cause: Cause) -> str:
    """What is off."""
    if cause.code == "reading":
        return "the readings themselves"
    if cause.angle is not None:
        return other_bit_words(cause.side, [cause.angle])
    if cause.code in SLIPS:
        return SLIPS[cause.code]
    return (MORE if cause.size >= 0 else LESS).get(cause.code) or MORE[cause.code]


def other_bit_words(side: Side, angles: Sequence[float]) -> str:
    """That a part was cut with another V-bit, and which it may have been."""
    where = {"pocket": "the pocket was", "plug": "the plug was"}.get(side, "both parts were")
    degrees = " or ".join(f"{angle:g}" for angle in sorted(angles))
    return f"{where} cut with another V-bit, such as one of {degrees} deg"


def unseen_words(code: str) -> str:
    """What a measurement cannot see."""
    return {
        "base_warp": "warp of the base", "plug_warp": "warp of the plug's blank",
        "pocket_clear": "how deep the pocket's floor was cleared",
        "plug_clear": "how deep the plug's own floor was cleared",
        "base_thickness": "the base's thickness", "plug_thickness": "the thickness of the plug's blank",
        "pocket_v": "how deep the V-bit ran in the pocket", "plug_v": "how deep the V-bit ran on the plug",
    }.get(code, code)  # fmt: skip


def size_words(cause: Cause, unit: LengthUnit) -> str:
    """How much it is off, were it the cause; '' where the words say it."""
    if cause.slip or cause.code in ("reading", "hand", "square", "runout") or abs(cause.size) < 1e-4:
        return ""
    if cause.code.endswith("angle"):
        return f"by some {abs(cause.size):.1f} deg"
    return f"by some {length_text(abs(cause.size), unit)}"


def stop_words(stop: Stop, unit: LengthUnit) -> str:
    """Why a cut is out of the question."""
    value = "" if stop.value is None else length_text(max(0.0, stop.value), unit)
    if stop.obstacle == "not home":
        level = stop.value or 0.0
        side = "over" if level > 0 else "under"
        return f"in the model the plug would still sit {length_text(abs(level), unit)} {side} nominal"
    return {
        "not held": "it needs that part still on its zero",
        "own floor": "it takes as much as the plug is cut below its start: its own floor would land on the base",
        "least floor": f"it would leave {value} of wood under the pocket, less than the least floor",
        "cone": f"the V-bit's cone is too short for it, it cuts a true wall {value} deep",
        "reach": f"the V-bit does not reach so deep, {value} at the most",
        "clearing reach": f"a bit that clears the floor does not reach so deep, {value} at the most",
        "web": f"the blank is too thin for it, {value} would be left behind the plug's own floor",
        "glue gap": "it would leave no room for the glue",
        "larger": f"it would make the pocket's mouth {value} wider to each side than the drawing",
    }[stop.obstacle]


def no_cut_words(no_cut: NoCut, unit: LengthUnit) -> str:
    """Why nothing is cut."""
    value = "" if no_cut.value is None else length_text(max(0.0, no_cut.value), unit)
    left = f"; {value} of glue gap is left" if value else ""
    return {
        "crooked": f"the plug sits crooked, {value} higher on one side: chips or fuzz under it, or it hangs on one "
        "place. Press the high side home and read again; a cut would lower both sides alike",
        "as expected": "it sits where a hand's pressure should leave it, within reading and model: cut nothing",
        "sunk": "it sits lower than expected, and its walls hold it there: a taper that sinks stays closed. Cut nothing"
        f"{left}",
        "loose, base not held": "the plug is on the floor with loose walls. With the base no longer on its zero: "
        "start anew with a plug whose start is shallower, or glue it as a filled joint",
        "loose, pocket too deep": "the plug is on the floor with loose walls, and the pocket cannot go deep enough for "
        f"them to close, {value} deeper: start anew with a new plug",
        "floor, base not held": f"the pocket's floor is {value} too shallow and carries the plug. With the base no "
        "longer on its zero: lower the floor by hand with a router plane, or take as much off the plug's face",
        "floor not read": f"perhaps the pocket's floor is {value} too shallow and carries the plug: measure its depth "
        "and ask again with --pocket, before anything is done",
        "no cut": "no cut helps: start anew with both parts",
        "own floor or seat": "whether the plug sits right or its own floor is off cannot be told by the gap alone: "
        "read --above first, and ask again with both",
        "board or seat": "whether the plug sits right or a board is off cannot be told by such a reading alone: "
        "read --gap first, and ask again with both",
    }[no_cut.reason]


def proof_words(proof: Proof, unit: LengthUnit) -> str:
    """What to measure before the cut."""
    return f"{TESTS[proof.measured]} must read {length_text(proof.value, unit)} or near it"


def what_words(entry: Correction) -> str:
    """What is cut."""
    if entry.step == "new plug":
        return "a new plug"
    return {"base": "the pocket", "plug": "the plug"}[entry.part] + f", {entry.step} again"
