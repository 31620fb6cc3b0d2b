"""The table of sentences against the codes that the core tells of, and how values are written."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import inlayfit
from inlayfit.report.sentences import SENTENCES
from inlayfit.report.wording import say
from inlayfit.statement import told

PACKAGE = Path(inlayfit.__file__).parent
WORD = "[a-z_ ]+"
HELD = f"{WORD}[.]{WORD}"
"""A code that a loop or a variable holds may be any."""


def statements() -> Iterator[tuple[str, str, set[str]]]:
    """Where something is told, a pattern of its codes, and the names of its values."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "told":
                names = {keyword.arg or "" for keyword in node.keywords}
                place = f"{path.name}:{node.lineno}"
                for code in codes_of(node.args[0]):
                    yield place, code, names


def codes_of(node: ast.expr) -> Iterator[str]:
    """Patterns of the codes that an expression may come to."""
    match node:
        case ast.Constant(value=str(code)):
            yield re.escape(code)
        case ast.JoinedStr(values=parts):
            yield "".join(re.escape(str(part.value)) if isinstance(part, ast.Constant) else WORD for part in parts)
        case ast.IfExp(body=body, orelse=orelse):
            yield from codes_of(body)
            yield from codes_of(orelse)
        case _:
            yield HELD


def test_every_code_has_its_sentence_and_every_value_it_needs() -> None:
    for place, code, names in statements():
        sentences = {known: text for known, text in SENTENCES.items() if re.fullmatch(code, known)}
        assert sentences, f"{place} tells of {code}, which has no sentence"
        if WORD in code:
            continue  # which of them it is, only a run can tell
        for known, text in sentences.items():
            needed = set(re.findall(r"\{(\w+)", text))
            assert needed <= names, f"{place}: {known} needs {needed - names}"


def test_every_sentence_is_told_somewhere() -> None:
    core = [path for path in PACKAGE.rglob("*.py") if path.name != "sentences.py"]
    source = "\n".join(path.read_text(encoding="utf-8") for path in core)
    patterns = [code for _, code, _ in statements() if code != HELD]
    for known in SENTENCES:
        assert f'"{known}"' in source or any(re.fullmatch(code, known) for code in patterns), known


@pytest.mark.parametrize(
    ("code", "values", "unit", "words"),
    [
        ("glue_gap.drawn", {"gap": 0.508}, "in", "0.020 in between the pocket's floor and the plug's face"),
        ("seat.clamp_at_most", {"most": 100.0}, "in",
         "clamp with no more than 22 lbf (100 N), or make the joint deeper"),
        ("needs.keys", {"keys": ("base.blank", told("hold_downs.reach_of", bit="V"))}, "mm",
         "needs base.blank and the reach of V"),
        ("mirror.plug_lacks_both", {"regions": 1, "holes": 2}, "mm",
         "the pocket's drawing has 1 region and 2 holes more than the plug's"),
        ("contact.walls", {"lift": 0.004}, "mm", "on its sides the plug sits home"),
        ("contact.walls", {"lift": -0.3}, "mm", "on its sides the plug sits 0.30 mm low"),
    ],
)  # fmt: skip
def test_values_are_written_by_their_form(code, values, unit, words) -> None:
    assert say(told(code, **values), unit) == words


def test_a_value_that_is_not_there_is_no_sentence() -> None:
    with pytest.raises(KeyError):
        say(told("glue_gap.drawn"), "mm")
