"""Outcomes of a batch as lines: text for people, JSON and comma-separated values for programs."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, Literal

from inlayfit.batch.ranking import margin, work
from inlayfit.batch.run import Tally
from inlayfit.batch.sheet_checker import Outcome, Request
from inlayfit.batch.variants import variant_text
from inlayfit.report.layout import Paint, plain
from inlayfit.report.shop_text import minutes_text
from inlayfit.report.wording import title

Form = Literal["text", "jsonl", "csv"]

DEPTHS: Final = (
    "pocket_depth", "start_depth", "depth_below_start", "plug_total_depth", "glue_gap", "surface_gap",
    "pocket_clearing_offset", "plug_clearing_offset", "full_depth_width", "clearing_width", "base_floor", "plug_web",
    "above_face",
)  # fmt: skip
COLUMNS: Final = (
    "sheet", "variant", "rank", "title", "unit", "scope", "verdict", "failed", "doubtful", *DEPTHS, "passes",
    "lift", "lift_strong", "joint_line", "area", "perimeter", "narrowest_stroke", "narrowest_gap", "sharpest_corner",
    "error", "movement", "minutes", "notes", "seats_on_walls",
)  # fmt: skip
"""Columns of the comma-separated values; names, once shipped, stay, and new ones come behind."""
_VERDICT_WIDTH: Final = len("does not fit")
_SCOPE_WIDTH: Final = len("nominal outline")
_DIGITS: Final = {"in": 3, "mm": 2}


class BatchReport:
    """Writes the outcomes of one request in one form, a line each."""

    def __init__(self, form: Form, request: Request, *, paint: Paint = plain) -> None:
        self.form = form
        self.paint = paint
        self.variants = request.variants
        self.sheet_width = max(map(len, request.sheets))
        self.variant_width = max(len(variant_text(variant)) for variant in request.variants)

    def head(self) -> str:
        """What stands before the first line."""
        return _csv(self.columns) if self.form == "csv" else ""

    @property
    def columns(self) -> tuple[str, ...]:
        """Of the comma-separated values: the fixed ones, then one for each varied key."""
        # a varied title is in its own column already
        return (*COLUMNS, *(key for key, _ in self.variants[0] if key not in COLUMNS))

    def line(self, outcome: Outcome) -> str:
        """One outcome, with its line's end."""
        match self.form:
            case "jsonl":
                return json.dumps(_record(outcome), ensure_ascii=False) + "\n"
            case "csv":
                cells = _cells(outcome)
                return _csv([cells.get(column) for column in self.columns])
            case "text":
                return self._text(outcome)

    def _text(self, outcome: Outcome) -> str:
        parts = [] if outcome.rank is None else [f"{outcome.rank:>3}."]
        parts.append(outcome.sheet.ljust(self.sheet_width))
        if self.variant_width:
            parts.append(variant_text(tuple(outcome.variant.items())).ljust(self.variant_width))
        if outcome.record is None:
            parts.append("not read" if outcome.mistakes else outcome.error)
        else:
            verdict = outcome.record["verdict"]
            parts.append(self.paint(verdict, verdict) + " " * (_VERDICT_WIDTH - len(verdict)))
            if outcome.rank is not None:
                parts += _ranked_by(outcome.record)
            parts += _findings(outcome.record)
            # what a reader left out of a drawing bears on all the line says
            parts += [f"note: {note}" for note in outcome.record["notes"]]
        return "  ".join(parts).rstrip() + "\n"


def summary(tally: Tally, request: Request, finished: int) -> str:
    """The closing words on a run of which ``finished`` outcomes came."""
    sheets, variants = len(request.sheets), len(request.variants)
    total = sheets * variants
    words = _count(sheets, "sheet")
    if variants > 1:
        words += f" in {_count(variants, 'variant')}"
    if finished < total:
        words += f", {finished:,} of {total:,} done"
    verdicts = tally.verdicts
    counted = [
        f"{verdicts['fits']:,} fit" + ("s" if verdicts["fits"] == 1 else ""),
        f"{verdicts['doubtful']:,} doubtful",
        f"{verdicts['does not fit']:,} do{'es' if verdicts['does not fit'] == 1 else ''} not fit",
    ]
    if tally.unread:
        counted.append(f"{_count(len(tally.unread), 'sheet')} could not be read")
    if tally.broken:
        counted.append(f"inlayfit failed on {_count(len(tally.broken), 'sheet')}")
    return f"{words}: {', '.join(counted)}"


def _count(number: int, one: str) -> str:
    return f"{number:,} {one}" + ("" if number == 1 else "s")


def _findings(record: Mapping[str, Any]) -> Sequence[str]:
    """Scope, how the plug stands, the joint line, and the first check that fails or, where none does, is in doubt."""
    seat, digits = record.get("seat"), _DIGITS[record["unit"]]
    words = "seat not checked"
    if seat is not None:
        lift, largest = seat["lift"], seat["joint_line"]["largest"]
        unit = record["unit"]
        stands = "home"
        if round(lift, digits):
            stands = f"{abs(lift):.{digits}f} {unit} {'proud' if lift > 0 else 'low'}"
        words = f"plug {stands}, joint line {largest:.{digits}f} {unit}"
    parts = [record["scope"].ljust(_SCOPE_WIDTH), words]
    for status in ("fail", "doubtful"):
        found = [check for check in record["checks"] if check["status"] == status]
        if found:
            more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
            parts.append(f"{title(found[0]['id'])}: {found[0]['message']}{more}")
            break
    return parts


def _ranked_by(record: Mapping[str, Any]) -> Sequence[str]:
    """What variants of one verdict are ranked by: the margin, and the minutes or, without feeds, the passes."""
    untimed, amount = work(record)
    return [f"margin {margin(record):4.0%}", f"{amount:5.0f} passes" if untimed else f"{minutes_text(amount):>5} min"]


def _record(outcome: Outcome) -> dict[str, Any]:
    ranked = {} if outcome.rank is None else {"rank": outcome.rank}
    if outcome.record is None:
        return {"sheet": outcome.sheet, "variant": dict(outcome.variant), **ranked, "error": outcome.error}
    return {**outcome.record, **ranked}


def _cells(outcome: Outcome) -> Mapping[str, object]:
    """Values by column; a varied key's as a number in the sheet's unit, where it is a length or an angle."""
    record = outcome.record or {}
    found: dict[str, object] = {
        **outcome.variant,
        **outcome.varied,
        "sheet": outcome.sheet,
        "variant": variant_text(tuple(outcome.variant.items())),
        "rank": outcome.rank,
        "error": "; ".join(outcome.error.splitlines()),
        **{name: record.get(name) for name in ("title", "unit", "scope", "verdict")},
        **record.get("depths", {}),
    }
    if outcome.record is not None:
        for column, status in (("failed", "fail"), ("doubtful", "doubtful")):
            found[column] = " ".join(check["id"] for check in record["checks"] if check["status"] == status)
        found["passes"] = len(record["passes"])
        found["notes"] = "; ".join(record["notes"])
        found["seats_on_walls"] = record.get("stack", {}).get("seats_on_walls")
    seat, outline, shop = (record.get(name, {}) for name in ("seat", "outline", "shop"))
    found |= {name: seat.get(name) for name in ("lift", "lift_strong")}
    found["joint_line"] = seat.get("joint_line", {}).get("largest")
    found |= {name: outline.get(name) for name in ("area", "perimeter")}
    for name in ("narrowest_stroke", "narrowest_gap", "sharpest_corner"):
        found[name] = outline.get(name, {}).get("value")
    found["movement"], found["minutes"] = shop.get("movement"), shop.get("minutes", {}).get("total")
    return found


def _csv(cells: Sequence[object]) -> str:
    import csv
    import io

    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(cells)
    return line.getvalue()


class Progress:
    """A bar that is drawn over and over in one place, once a run has taken more than a second."""

    WIDTH: Final = 30
    AFTER: Final = 1.0
    """Seconds."""
    APART: Final = 0.1
    """Seconds between two drawings, the least."""

    def __init__(self, total: int, *, write: Callable[[str], None], clock: Callable[[], float]) -> None:
        self.total = total
        self.write = write
        self.clock = clock
        self.next = clock() + self.AFTER
        self.shown = ""

    def show(self, finished: int) -> None:
        """Draw, if it is time to."""
        if self.clock() < self.next:
            return
        self.next = self.clock() + self.APART
        filled = self.WIDTH * finished // self.total
        self.clear()
        self.shown = f"[{'#' * filled}{'.' * (self.WIDTH - filled)}] {finished:,} of {self.total:,}"
        self.write(f"{self.shown}\r")

    def clear(self) -> None:
        """Wipe the bar, so that a line can be written in its place."""
        if self.shown:
            self.write(" " * len(self.shown) + "\r")
            self.shown = ""
