"""What all tests share: the folder of shared outlines on the path, steady random tests, advice worked out once."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from inlayfit import advice as advising
from inlayfit.advice import Advice
from inlayfit.outline.regions import Outline
from inlayfit.plan import Plan

# tests are collected by file, so their own folder is not on the path by itself
sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")


@pytest.fixture(scope="session", autouse=True)
def _advice_is_worked_out_once() -> Iterator[None]:
    """The command line's advice for the same job and outline is shared: it takes a dozen plans.

    The examples stand in many sessions of the documents, as text and as JSON.
    """
    worked_out, known = advising.advice, dict[tuple[str, Outline], Advice]()

    def advice(found: Plan, outline: Outline) -> Advice:
        key = (repr(found.job), outline)  # shapes in a sheet are mappings, which have no hash
        if key not in known:
            known[key] = worked_out(found, outline)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(advising, "advice", advice)
        yield
