"""Which of a sheet's variants is best."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inlayfit.batch.sheet_checker import Outcome


def merit(outcome: Outcome) -> tuple[Any, ...]:
    """Sort key of a sheet's variants, the best first.

    What fits stands before what is doubtful, and that before what does not fit; then come fewer checks failed and
    fewer in doubt, the larger margin, the shorter work. The margin is the least distance of a check's value from its
    limit as a share of the larger of the two, negative where the check fails. The load of the passes is left out,
    since the schedule fills passes up to their limit, and so are strokes and gaps that fail: they fail by width, and
    their value is a share of the outline. The work is the cutting time where feeds are given for all that is cut
    (levelling apart, which every variant needs alike), else the number of passes.
    """
    record = outcome.record
    if record is None:
        return (3,)
    checks = record["checks"]
    failed, doubtful = (sum(check["status"] == status for check in checks) for status in ("fail", "doubtful"))
    verdicts = ("fits", "doubtful", "does not fit")
    return (verdicts.index(record["verdict"]), failed, doubtful, -margin(record), *work(record))


def margin(record: Mapping[str, Any]) -> float:
    """The least distance of a check's value from its limit, as a share of the larger; 0 where none has both."""
    return min((_margin(check) for check in record["checks"] if _has_margin(check)), default=0.0)


def work(record: Mapping[str, Any]) -> tuple[bool, float]:
    """Whether the time is not known, and the minutes or the number of passes."""
    minutes = record["shop"].get("minutes")
    if minutes is None or any(entry["step"] != "base level" for entry in minutes["left_out"]):
        return True, len(record["passes"])
    return False, minutes["total"]


def _has_margin(check: Mapping[str, Any]) -> bool:
    if check["id"] == "pass-load" or (check["status"] == "fail" and check["id"] in ("fine-strokes", "fine-gaps")):
        return False
    return check["status"] in ("pass", "fail") and "value" in check and "limit" in check


def _margin(check: Mapping[str, Any]) -> float:
    value, limit = check["value"], check["limit"]
    distance = abs(value - limit) / (max(abs(value), abs(limit)) or 1.0)
    return -distance if check["status"] == "fail" else distance
