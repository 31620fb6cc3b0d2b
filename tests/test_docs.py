"""README.md and docs/: every session shown is run and compared, and nothing that exists is left out.

A block fenced as ``console`` is a session. It runs in a fresh copy of the examples folder, line by line:

- ``$ inlayfit ...`` runs the command; ``> FILE`` behind it keeps its output, ``| head -n N``, ``| tail -n N`` and
  ``| grep WORD`` show a part of it, ``| sed -n '/^FIRST/,/^$/p'`` a part down to the next empty line; ``< FILE``
  feeds it
- ``$ echo $?`` shows the exit status of the command before
- ``$ python3 -m venv ...`` is not run, but compared with .ci/run and pyproject.toml

``python tests/test_docs.py`` writes what the program now prints into the sessions; read the difference.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from itertools import takewhile
from pathlib import Path
from typing import Any, Final

import click
import pytest
from click.testing import CliRunner

from inlayfit import __version__
from inlayfit.checks.registry import CHECKS
from inlayfit.cli import main
from inlayfit.joint.depths import Depths
from inlayfit.sheet.keys import LIMITS

ROOT: Final = Path(__file__).parent.parent
DOCS: Final = ROOT / "docs"
EXAMPLES: Final = ROOT / "examples"
PAGES: Final = (ROOT / "README.md", *sorted(DOCS.glob("*.md")))
FENCED: Final = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NUMBER: Final = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w])")
VENV: Final = "python3 -m venv "
SHELL_SIGNS: Final = ("|", ">", "<")


def blocks(page: Path, language: str) -> list[str]:
    return [body for found, body in FENCED.findall(page.read_text(encoding="utf-8")) if found == language]


def commands(session: str) -> list[tuple[str, str]]:
    """Each command of a session with the output shown below it."""
    steps: list[tuple[str, str]] = []
    for line in session.splitlines():
        if line.startswith("$ "):
            steps.append((line[2:], ""))
        else:
            command, shown = steps[-1]
            steps[-1] = (command, f"{shown}{line}\n")
    return steps


@contextmanager
def examples_folder() -> Iterator[None]:
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(EXAMPLES, folder, dirs_exist_ok=True)
        os.chdir(folder)
        try:
            yield
        finally:
            os.chdir(before)


class Shell:
    """As much of a shell as the sessions need."""

    def __init__(self) -> None:
        self.status = 0

    def run(self, command: str) -> str:
        words = shlex.split(command)
        if words[:2] == ["echo", "$?"]:
            return f"{self.status}\n"
        if words[0] != "inlayfit":
            raise ValueError(f"a session cannot run: {command}")
        end = next((index for index, word in enumerate(words) if word in SHELL_SIGNS), len(words))
        arguments, rest = words[1:end], words[end:]
        given = None
        if rest[:1] == ["<"]:
            given, rest = Path(rest[1]).read_text(encoding="utf-8"), rest[2:]
        result = CliRunner().invoke(main, arguments, prog_name="inlayfit", input=given)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        self.status = result.exit_code
        match rest:
            case []:
                return result.output
            case [">", name]:
                Path(name).write_text(result.stdout, encoding="utf-8")
                return result.stderr
            case ["|", "head", "-n", count]:
                return "".join(result.stdout.splitlines(keepends=True)[: int(count)])
            case ["|", "tail", "-n", count]:
                return "".join(result.stdout.splitlines(keepends=True)[-int(count) :])
            case ["|", "grep", word]:
                return "".join(line for line in result.stdout.splitlines(keepends=True) if word in line)
            case ["|", "sed", "-n", script]:
                return part(result.stdout, script)
        raise ValueError(f"a session cannot run: {command}")


def part(output: str, script: str) -> str:
    """The lines of a report's part, as sed shows them: from the one that starts with a word to an empty one."""
    asked = re.fullmatch(r"/\^(\w+)/,/\^\$/p", script)
    if asked is None:
        raise ValueError(f"a session cannot run: sed -n {script}")
    lines = output.splitlines(keepends=True)
    first = next((number for number, line in enumerate(lines) if line.startswith(asked[1])), len(lines))
    return "".join([*takewhile(str.strip, lines[first:]), "\n"]) if first < len(lines) else ""


def sessions() -> list[Any]:
    found = []
    for page in PAGES:
        for number, body in enumerate(blocks(page, "console"), start=1):
            if VENV not in body:
                found.append(pytest.param(body, id=f"{page.name}-{number}"))
    return found


def assert_same(printed: str, shown: str) -> None:
    """Words the same, however they are wrapped; numbers within two units of the last digit shown."""
    printed_words, shown_words = printed.split(), shown.split()
    plain = [NUMBER.sub("#", " ".join(words)) for words in (printed_words, shown_words)]
    assert plain[0] == plain[1]
    numbers = [NUMBER.findall(" ".join(words)) for words in (printed_words, shown_words)]
    for now, then in zip(*numbers, strict=True):
        digits = len(then.partition(".")[2])
        assert abs(float(now) - float(then)) <= (2.001 * 10**-digits if digits else 0), f"{now}, shown is {then}"


@pytest.mark.parametrize("session", sessions())
def test_session_is_what_the_program_prints(session: str) -> None:
    with examples_folder():
        shell = Shell()
        for command, shown in commands(session):
            assert_same(shell.run(command), shown)


def test_comparison_sees_other_words_and_other_numbers() -> None:
    assert_same("depth 0.250 in\nat 1", "depth 0.251\n in at 1")
    for other in ("depth 0.253 in at 1", "depth 0.250 in at 2", "deep 0.250 in at 1", "depth 0.250 in at"):
        with pytest.raises(AssertionError):
            assert_same("depth 0.250 in at 1", other)


def test_commands_for_a_fresh_machine_are_those_of_the_project() -> None:
    shown = [
        line[2:] for page in PAGES for body in blocks(page, "console") for line in body.splitlines() if VENV in line
    ]
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    last_line = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()[-1]
    assert last_line in shown
    assert len(shown) > 1
    for command in set(shown) - {last_line}:
        make, install, *then = command.split(" && ")
        assert make == "python3 -m venv .venv"
        asked = re.fullmatch(r"\.venv/bin/pip install -q (?:-e )?'\.\[(\w+)\]'", install)
        assert asked is not None
        assert asked[1] in extras
        for step in then:
            program, *arguments = shlex.split(step)
            assert program == ".venv/bin/inlayfit"
            result = CliRunner().invoke(main, [word.replace("examples", str(EXAMPLES)) for word in arguments])
            assert result.exit_code == 0


def test_readme_shows_a_sheet_that_is_an_example() -> None:
    assert blocks(ROOT / "README.md", "yaml") == [(EXAMPLES / "fern-lid.yaml").read_text(encoding="utf-8")]


def test_links_between_the_pages_lead_somewhere() -> None:
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name}: {target}"


def test_readme_links_every_page_and_names_every_example() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for page in DOCS.glob("*.md"):
        assert f"(docs/{page.name})" in readme
    for sheet in EXAMPLES.glob("*.yaml"):
        assert f"(examples/{sheet.name})" in readme


def options_of(command: click.Command) -> set[str]:
    return {name for parameter in command.params if isinstance(parameter, click.Option) for name in parameter.opts}


def test_every_command_and_option_is_on_the_commands_page() -> None:
    page = (DOCS / "commands.md").read_text(encoding="utf-8")
    sections = dict(re.findall(r"^## `inlayfit (\w+)[^\n]*\n(.*?)(?=^## |\Z)", page, re.MULTILINE | re.DOTALL))
    assert set(sections) == set(main.commands)
    for name, command in main.commands.items():
        for option in options_of(command):
            assert f"`{option}" in sections[name], f"{name} {option}"
        rows = re.findall(r"^\| (`-[^|]*)\|", sections[name], re.MULTILINE)
        shown = {option for row in rows for option in re.findall(r"(?<![\w-])--?[a-z][\w-]*", row)}
        assert shown == options_of(command), name
    for option in options_of(main):
        assert f"`{option}`" in page


def names_in(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for name, value in data.items():
            yield name
            yield from names_in(value)
    elif isinstance(data, list):
        for value in data:
            yield from names_in(value)


def test_every_json_name_is_on_the_commands_page() -> None:
    page = (DOCS / "commands.md").read_text(encoding="utf-8")
    names = {entry.name for entry in fields(Depths)}
    for sheet in EXAMPLES.glob("*.yaml"):
        output = CliRunner().invoke(main, ["plan", str(sheet), "--format", "json"]).stdout
        names |= set(names_in(json.loads(output)))
    assert {name for name in names if f"`{name}`" not in page} == set()


def test_checks_page_has_a_section_for_every_check_in_order() -> None:
    page = (DOCS / "checks.md").read_text(encoding="utf-8")
    sections = re.findall(r"^## ([a-z-]+)\n(.*?)(?=^## |\Z)", page, re.MULTILINE | re.DOTALL)
    assert [name for name, _ in sections] == [entry.id for entry in CHECKS]
    for name, text in sections:
        key = name.replace("-", "_")
        assert (f"`limits.{key}`" in text) == (key in LIMITS.keys), name


def test_glossary_has_every_depth() -> None:
    page = (DOCS / "glossary.md").read_text(encoding="utf-8")
    for entry in fields(Depths):
        assert f"`{entry.name}`" in page, entry.name


def test_validation_page_has_a_row_for_every_file_of_published_values() -> None:
    page = (DOCS / "validation.md").read_text(encoding="utf-8")
    found = {path.name for path in (ROOT / "tests" / "validation").glob("test_*.py")}
    assert set(re.findall(r"^\| `(test_\w+\.py)`", page, re.MULTILINE)) == found


def test_changelog_starts_with_this_version() -> None:
    page = (DOCS / "changelog.md").read_text(encoding="utf-8")
    assert re.findall(r"^## (\S+)", page, re.MULTILINE)[0] == __version__


def rewritten(body: str) -> str:
    """A session with what the program prints now."""
    if VENV in body:
        return body
    with examples_folder():
        shell = Shell()
        return "".join(f"$ {command}\n{shell.run(command)}" for command, _ in commands(body))


def rewrite(page: Path) -> None:
    def block(found: re.Match[str]) -> str:
        language, body = found.groups()
        return f"```{language}\n{rewritten(body) if language == 'console' else body}```"

    page.write_text(FENCED.sub(block, page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    for each in PAGES:
        rewrite(each)
