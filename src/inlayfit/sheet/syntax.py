"""What a YAML parser's complaint means, in a woodworker's words."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

NO_SPACE_AFTER_COLON: Final = re.compile(r"\s*(?P<name>[A-Za-z_][A-Za-z0-9_]*):(?P<value>[^\s/:,}\]].*)")
"""``angle:30``, which YAML takes as one piece of text; ``://`` and ``::`` are left alone."""
# where YAML itself starts a new line
LINE_BREAK: Final = re.compile(r"\r\n|[\n\r\x85\u2028\u2029]")


class Position(NamedTuple):
    """Line and column, both counted from 0."""

    line: int
    column: int


class Complaint(NamedTuple):
    """A mistake of syntax in plain words, and where to look for it."""

    problem: str
    at: Position


def missing_space(text: str) -> str:
    """What to say of ``angle:30`` in ``text``; empty where that is not what is wrong."""
    match = NO_SPACE_AFTER_COLON.match(text)
    if match is None:
        return ""
    value = match["value"]
    if value[0] in "{[":
        shown = f"{value[0]}...{'}' if value[0] == '{' else ']'}"
    else:
        value = value.split(",")[0].rstrip(" }]")
        shown = value if len(value) <= 30 else value[:27] + "..."
    return f"the space after the colon is missing, expected {match['name']}: {shown}"


def in_plain_words(text: str, problem: str, doing: str, at: Position, opened: Position | None) -> Complaint:
    """Say what a YAML parser's ``problem`` at ``at`` means, met while ``doing`` something.

    ``opened`` is where the thing begins that the parser was reading, such as a bracket or a quote. Both
    loaders of PyYAML word their problems differently; the pieces looked for here are common to both, and
    whatever is not known is passed on as the parser put it.
    """
    lines = LINE_BREAK.split(text)
    line = lines[at.line] if at.line < len(lines) else ""
    sign = line[at.column : at.column + 1]
    if "tab character" in problem or ("cannot start any token" in problem and sign == "\t"):
        return Complaint("found a tab, expected spaces to indent", at)
    if "cannot start any token" in problem:
        return Complaint(f"found a value that begins with {sign}, expected it in quotes", at)
    if "mapping values are not allowed" in problem:
        return _second_colon(lines, at)
    if "could not find expected ':'" in problem:
        return _no_colon(lines, opened or at)
    if "unexpected ':'" in problem:
        said = missing_space(line[opened.column :]) if opened else ""
        return Complaint(said or "found a colon without a value, expected key: value", opened or at)
    if "unexpected end of stream" in problem or "unexpected document separator" in problem:
        return Complaint("found a quote that is never closed, expected it at the end too", opened or at)
    if "expected ',' or" in problem:
        return _open_bracket(lines, problem, at, opened or at)
    if "unknown escape" in problem and opened is not None:
        return Complaint("found a backslash in double quotes, expected single quotes around it", opened)
    if sign and sign in "]}":
        return Complaint(f"found {sign!r} without its opening bracket", at)
    if "expected node content" in problem or "expected the node content" in problem:
        return Complaint(f"found {repr(sign) if sign else 'the end'}, expected a value", at)
    if "block collection" in doing:
        return Complaint("found a key after list items, expected a - or less indent", at)
    if "did not find expected key" in problem or "expected <block end>" in problem:
        return _out_of_line(line, at)
    if "sequence entries are not allowed" in problem:
        return Complaint("found a - behind a key, expected the list to begin on a line of its own", at)
    return Complaint(f"found text that is not YAML ({doing or problem}), expected key: value", at)


def _second_colon(lines: list[str], at: Position) -> Complaint:
    before = lines[at.line][: at.column]
    if ": " in before:
        return Complaint("found a second colon on a line, expected one key a line or { } around several", at)
    above, number = _line_above(lines, at.line)
    if said := missing_space(above):
        return Complaint(said, Position(number, _indent(above)))
    if above and ":" not in above:
        return _no_colon(lines, Position(number, _indent(above)))
    return Complaint(
        "found a key indented under a value, expected it in line with the key above",
        Position(at.line, _indent(before)),
    )


def _no_colon(lines: list[str], at: Position) -> Complaint:
    line = lines[at.line] if at.line < len(lines) else ""
    said = missing_space(line)
    return Complaint(said or f"found {_short(line)} without a colon, expected key: value", at)


def _open_bracket(lines: list[str], problem: str, at: Position, opened: Position) -> Complaint:
    closing = "}" if "'}'" in problem else "]"
    opening = "{" if closing == "}" else "["
    where = f"the {opening} of line {opened.line + 1}" if len(lines) > 1 else f"the {opening}"
    inside = lines[at.line][: at.column] if at.line < len(lines) else ""
    said = missing_space(re.split(r"[{\[,]", inside)[-1])
    if said:
        return Complaint(said, at)
    rest = [lines[at.line][at.column :] if at.line < len(lines) else "", *lines[at.line + 1 :]]
    if at.line == opened.line and any(line.strip() for line in rest):
        return Complaint(f"found no comma after a value, expected , or {closing} to go on from {where}", at)
    return Complaint(f"found no end to {where}, expected , or {closing}", opened)


def _out_of_line(line: str, at: Position) -> Complaint:
    if line[: at.column].strip():
        found = _short(line[at.column :])
        return Complaint(f"found {found} behind a value, expected the end of the line", at)
    return Complaint("found an indent that fits no line above, expected keys of one part in line", at)


def _line_above(lines: list[str], number: int) -> tuple[str, int]:
    for above in range(min(number, len(lines)) - 1, -1, -1):
        if lines[above].strip() and not lines[above].lstrip().startswith("#"):
            return lines[above], above
    return "", number


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _short(text: str) -> str:
    shown = " ".join(text.split())
    return repr(shown if len(shown) <= 40 else shown[:37] + "...")
