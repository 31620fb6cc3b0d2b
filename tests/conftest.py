"""What all tests share: the folder of shared outlines on the path, steady random tests, advice worked out once."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from inlayfit.advice import search
from inlayfit.plan import Plan
from inlayfit.trials import SheetOnTrial

# tests are collected by file, so their own folder is not on the path by itself
sys.path.insert(0, str(Path(__file__).parent))

# the sessions of the documents are as wide as a report may be; test workers bring a width of their own
os.environ["COLUMNS"] = "100"

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")


@pytest.fixture(scope="session", autouse=True)
def _advice_is_worked_out_once() -> Iterator[None]:
    """The command line's advice for the same sheet and settings is shared: it takes a few dozen plans.

    The examples stand in many sessions of the documents, as text and as JSON.
    """
    worked_out, known = search.advice, dict[tuple[str, tuple[str, ...]], search.Advice]()

    def advice(found: Plan, sheet: SheetOnTrial, *, at_hand: bool = False) -> search.Advice:
        key = repr((found.job, sheet.draws, sheet.nominal, at_hand)), tuple(file.sha256 for file in sheet.intake.files)
        if key not in known:
            known[key] = worked_out(found, sheet, at_hand=at_hand)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "advice", advice)
        yield
