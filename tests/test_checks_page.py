"""docs/checks.md against the registry: its table, and a section for each check.

``python tests/test_checks_page.py`` rewrites the table of the page.
"""

from __future__ import annotations

import re
from pathlib import Path

from inlayfit.checks.registry import CHECKS
from inlayfit.sheet.keys import LIMITS

PAGE = Path(__file__).parents[1] / "docs" / "checks.md"
START, END = "<!-- checks: made from the registry -->\n", "<!-- end of checks -->\n"


def table() -> str:
    """A row for each check: what it needs, the key of its limit, and what holds where the sheet leaves that out."""
    rows = ["| check | needs | key of its limit | left out |", "| --- | --- | --- | --- |"]
    for check in CHECKS:
        keys = ", ".join(f"`limits.{limit.key}`" for limit in check.limits)
        left_out = ", ".join(LIMITS.keys[limit.key].default for limit in check.limits)
        rows.append(f"| [{check.id}](#{check.id}) | {check.needs.words} | {keys} | {left_out} |")
    return "\n".join(rows) + "\n"


def rewritten(page: str) -> str:
    before, _, rest = page.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}\n{table()}\n{END}{after}"


def test_page_has_the_table_of_the_registry() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert START in page
    assert END in page
    assert page == rewritten(page)


def test_every_check_has_its_section() -> None:
    headings = re.findall(r"^## (.+)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert set(headings) == {check.id for check in CHECKS}


if __name__ == "__main__":
    PAGE.write_text(rewritten(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
