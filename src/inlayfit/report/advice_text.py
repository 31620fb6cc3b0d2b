"""What to change, as text: each line was planned again with every check."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from inlayfit.report.layout import WIDTH, wrapped
from inlayfit.report.wording import title

if TYPE_CHECKING:
    from inlayfit.advice.knobs import Code
    from inlayfit.advice.search import Advice

CODE_WORDS: Final[dict[Code, str]] = {
    "shallower": "a shallower pocket",
    "deeper": "a deeper pocket",
    "more glue gap": "a larger glue gap",
    "less glue gap": "a smaller glue gap",
    "more surface gap": "a larger surface gap",
    "less surface gap": "a smaller surface gap",
    "level less": "level and sand less",
    "finer stepover": "a finer stepover",
    "less clamp": "less clamping pressure",
    "more clamp": "more clamping pressure",
    "larger": "a larger design",
    "smaller": "a smaller design",
    "move hold-down": "move the hold-down",
    "touch off closer": "touch off to within this",
    "flatter boards": "boards flat to within this",
    "sharper tip": "another V-bit, its tip no wider than this",
    "wider angle": "another V-bit, at least so large and long",
    "longer bit": "a bit that reaches so far",
    "wider cone": "another V-bit, at least so large",
    "smaller clearing bit": "a smaller clearing bit",
    "add clearing bit": "a bit to clear the floor",
    "thicker base": "a thicker base",
    "thicker plug": "a thicker plug blank",
    "larger base": "a larger base",
    "larger plug blank": "a larger plug blank",
}


def advice_part(advice: Advice | None, width: int = WIDTH) -> list[str]:
    """What to change, a line to paste for each, and what comes of them all together; nothing where none was asked."""
    if advice is None:
        return []
    lines: list[str] = []
    for step in advice.steps:
        mends = ", ".join(map(title, step.mends))
        lines += wrapped("  ", f"{CODE_WORDS[step.code]}, for {mends}:", indent=4, width=width)
        lines.append(f"    {' '.join(change.line for change in step.changes)}")
    if advice.planned is not None:
        lines += wrapped("  ", together_words(advice), indent=4, width=width)
    elif advice.unmet:
        words = f"No single number within limits helps {', '.join(map(title, advice.unmet))}."
        lines += wrapped("  ", words, indent=4, width=width)
    return ["Change this, planned again with every check", *lines] if lines else []


def together_words(advice: Advice) -> str:
    """What the job does with all the changes."""
    assert advice.planned is not None, "asked for changes that were planned"
    these = "With this" if len(advice.steps) == 1 else "With all these lines typed together"
    if advice.planned.verdict == "fits":
        return f"{these} it fits."
    verdict = "is still in doubt" if advice.planned.verdict == "doubtful" else "still does not fit"
    return f"{these} it {verdict}: no single number mends {', '.join(map(title, advice.unmet))}."
