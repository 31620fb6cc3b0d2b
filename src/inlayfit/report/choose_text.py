"""The choice of a set-up, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlayfit.choose.catalogue import Catalogue
from inlayfit.choose.chooser import Choice
from inlayfit.choose.set_up import HALF_TIME, WEIGHTS, Prefer, SetUp, Tried
from inlayfit.report.advice_text import advice_part
from inlayfit.report.layout import table, wrapped

if TYPE_CHECKING:
    from inlayfit.advice.search import Advice

NONE: str = "the V-bit alone"


def choice_text(choice: Choice, advice: Advice | None = None) -> str:
    """The best set-ups, why each next one is worse, what to type for the first, and what to change where none fits."""
    best = choice.best[0]
    lines = [best.plan.job.title, *wrapped("", _headline(choice))]
    lines += ["", *_table(choice)]
    for number, (one, next_one) in enumerate(zip(choice.best, choice.best[1:], strict=False), 2):
        lines += wrapped(f"  {number} is worse than {number - 1}: ", why_worse(one, next_one, choice.prefer), indent=4)
    lines += ["", "To plan the first, put this into the sheet, or write it with -o"]
    lines += [f"  {line}" for line in choice.trial.part_with(best.set_up.changes).splitlines()]
    if advice is not None:
        lines += ["", *advice_part(advice)]
    lines += ["", *wrapped("", _weights(choice))]
    return "\n".join(lines) + "\n"


def counted(number: int, thing: str) -> str:
    """So many of a thing."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _headline(choice: Choice) -> str:
    best = choice.best[0]
    of = f"of {counted(choice.looked_at, 'set-up')} looked at, {choice.seated} down to the seat"
    if best.fails:
        return f"nothing fits {of}; the nearest fails {', '.join(best.fails)}"
    if best.doubts:
        return f"the best is in doubt for {', '.join(best.doubts)}, {of}"
    return f"the best fits, {of}"


def _table(choice: Choice) -> list[str]:
    rows = [["", "V-bit", "clears the floor", "depth", "width", "stepover", "gap left", "drawing", "minutes"]]
    notes = [""]
    for number, one in enumerate(choice.best, 1):
        rows.append([str(number), *_row(one)])
        notes.append(_judged(one))
    kept = [column for column in range(len(rows[0])) if column < 3 or any(row[column] for row in rows[1:])]
    return [f"  {line}" for line in table([[row[column] for column in kept] for row in rows], notes, left=3)]


def _row(one: Tried) -> list[str]:
    bits, set_up = one.plan.job.bits, one.set_up
    clearing = " + ".join(bit.name for bit in bits.clearing) or NONE
    minutes = "" if one.minutes is None else f"{one.minutes:.0f}"
    return [
        bits.pocket_v.name, clearing, set_up.depth, set_up.width, set_up.stepover,
        f"{one.margin:.0%}", f"{one.detail:.0%}", minutes,
    ]  # fmt: skip


def _judged(one: Tried) -> str:
    if one.fails:
        return f"fails {', '.join(one.fails)}"
    if one.doubts:
        return f"in doubt: {', '.join(one.doubts)}"
    return "fits" if one.nearest is None else f"fits; {one.nearest[0]} has {one.nearest[1]:.0%} to spare"


def why_worse(one: Tried, next_one: Tried, prefer: Prefer) -> str:
    """What tells most against the next set-up."""
    for then, now, words in ((next_one.fails, one.fails, "fails"), (next_one.doubts, one.doubts, "is in doubt for")):
        if len(then) > len(now):
            return f"it {words} {', '.join(check for check in then if check not in now) or ', '.join(then)}"
    margin, detail, time = WEIGHTS[prefer]
    quick = [HALF_TIME / (HALF_TIME + (entry.minutes or 0.0)) for entry in (one, next_one)]
    losses = [
        (margin * (one.margin - next_one.margin), f"{one.margin - next_one.margin:.0%} less of the glue gap is left"),
        (detail * (one.detail - next_one.detail), f"{one.detail - next_one.detail:.0%} less of the drawing is kept"),
        (time * (quick[0] - quick[1]), f"{(next_one.minutes or 0) - (one.minutes or 0):.0f} minutes longer"),
    ]
    loss, words = max(losses)
    return words if loss > 0 else "as good, by less than the numbers shown"


def _weights(choice: Choice) -> str:
    margin, detail, time = WEIGHTS[choice.prefer]
    words = (
        f"What fits comes before what is in doubt. Then count, of 100 points: {margin} for the glue gap that is left "
        f"when this shop's errors come together badly, {detail} for how much of the drawing is cut to half its depth "
        f"or more, {time} for time (half of them at {HALF_TIME:.0f} minutes)."
    )
    if not choice.feeds_given:
        words += " The sheet gives no feeds: minutes are by 1500 mm a minute, good for comparing only."
    return words + " Minutes leave out acceleration and moves in the air."


def set_up_text(set_up: SetUp) -> str:
    """The bits of a set-up on one line."""
    return " + ".join(bit.name for bit in set_up.bits)


def catalogue_text(catalogue: Catalogue) -> str:
    """A line for each sheet, and the fewest bits that serve all where that was asked."""
    rows, notes = [["sheet", "best set-up", "depth"]], [""]
    for name, choice in catalogue.choices:
        rows.append([name, set_up_text(choice.best[0].set_up), choice.best[0].set_up.depth])
        notes.append(_judged(choice.best[0]))
    lines = table(rows, notes, left=2)
    for name, mistakes in catalogue.unread:
        lines += [f"{name}  not read: {mistakes[0]}"]
    if catalogue.fewest is not None:
        bits = ", ".join(bit.name for bit in catalogue.fewest)
        lines += [
            "",
            *wrapped(
                "",
                f"Fewest bits, of the set-ups that were seated, for {counted(len(catalogue.served), 'sheet')}: {bits}.",
            ),
        ]
        for name, bits_of in catalogue.served:
            lines.append(f"  {name}: {' + '.join(bit.name for bit in bits_of)}")
    if catalogue.not_served:
        lines += wrapped("", f"No set-up of these bits fits: {', '.join(catalogue.not_served)}.")
    return "\n".join(lines) + "\n"
