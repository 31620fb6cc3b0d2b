"""A sheet's keys as YAML again, every value as it was written."""

from __future__ import annotations

import json
import re
from typing import Final

from inlayfit.sheet.tree import Entry, Items, Keys, Text

WIDTH: Final = 100
_PLAIN: Final = re.compile(r"[A-Za-z0-9./][A-Za-z0-9./ %()'-]*")


def sheet_text(root: Keys) -> str:
    """YAML of the keys: a part on one line where it has room, its keys below each other where not.

    Comments and empty lines of the file it was read from are not part of it.
    """
    return "".join(f"{line}\n" for line in _block(root, ""))


def _block(keys: Keys, indent: str) -> list[str]:
    lines: list[str] = []
    for name, field in keys.fields.items():
        value = field.value
        line = f"{indent}{name}: {flow(value)}"
        if len(line) <= WIDTH or isinstance(value, Text):
            lines.append(line.rstrip())
        elif isinstance(value, Keys):
            lines += [f"{indent}{name}:", *_block(value, f"{indent}  ")]
        else:
            lines += [f"{indent}{name}:", *(f"{indent}  - {flow(item)}" for item in value.items)]
    return lines


def flow(entry: Entry) -> str:
    """A value on one line."""
    if isinstance(entry, Keys):
        return f"{{{', '.join(f'{name}: {flow(field.value)}' for name, field in entry.fields.items())}}}"
    if isinstance(entry, Items):
        return f"[{', '.join(map(flow, entry.items))}]"
    if entry.nothing or (_PLAIN.fullmatch(entry.text) and entry.text == entry.text.strip()):
        return entry.text
    return json.dumps(entry.text, ensure_ascii=False)
