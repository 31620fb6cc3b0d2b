"""What a shell offers to complete: commands, options, their choices, the sheet's keys, files."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import ShellComplete

from inlayfit.cli import main

BASH = shutil.which("bash")


def offered(*words: str) -> list[tuple[str, str]]:
    *before, begun = words
    shell = ShellComplete(main, {}, "inlayfit", "_INLAYFIT_COMPLETE")
    return [(item.type, item.value) for item in shell.get_completions(before, begun)]


def values(*words: str) -> set[str]:
    return {value for _, value in offered(*words)}


@pytest.mark.parametrize("command", ["plan", "card", "draw", "outline", "dryfit", "bit", "check", "choose", "prove"])
def test_sheets_and_files_are_completed_as_files(command: str) -> None:
    assert [kind for kind, _ in offered(command, "li")] == ["file"]
    assert [kind for kind, _ in offered(command, "lid.yaml", "--shop", "my")] == ["file"]


def test_every_option_that_takes_a_file_completes_files() -> None:
    for name, command in main.commands.items():
        for parameter in command.params:
            if parameter.metavar == "FILE":
                option = max(parameter.opts, key=len)
                assert [kind for kind, _ in offered(name, option, "a")] == ["file"], (name, option)


def test_options_and_their_choices() -> None:
    assert {"--format", "--full", "--nominal"} & values("plan", "--") >= {"--format", "--nominal"}
    assert values("plan", "--format", "") == {"text", "json"}
    assert values("check", "--format", "c") == {"csv"}
    assert values("draw", "--view", "s") == {"section", "spread"}
    assert values("dryfit", "--held", "b") == {"base", "both"}
    assert {"plan", "check", "card"} <= values("")


@pytest.mark.parametrize("option", ["--set", "--vary"])
def test_keys_of_the_sheet(option: str) -> None:
    assert values("check", option, "joint.po") == {"joint.pocket_depth="}
    assert {"bits.v.angle=", "bits.v.tip=", "bits.v.measured.angle="} <= values("check", option, "bits.v.")
    assert "base=" not in values("check", option, "")
    assert values("check", option, "unit=") == {"unit=in", "unit=mm"}
    assert values("check", option, "plug.cut_out=y") == {"plug.cut_out=yes"}
    assert values("check", option, "nonsense.") == set()
    assert values("check", option, "joint.pocket_depth=1") == set()


@pytest.mark.skipif(BASH is None, reason="no bash here")
def test_the_lines_of_the_documents_work_in_bash(tmp_path: Path) -> None:
    (tmp_path / "lid.yaml").write_text("", encoding="utf-8")
    command = tmp_path / "inlayfit"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m inlayfit "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    script = """
    eval "$(_INLAYFIT_COMPLETE=bash_source inlayfit)"
    COMP_WORDS=(inlayfit plan --form) COMP_CWORD=2
    _inlayfit_completion inlayfit; echo "${COMPREPLY[*]}"
    complete -p inlayfit
    """
    environment = {**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"}
    done = subprocess.run(
        [str(BASH), "-c", script], cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=60,
        check=False,
    )  # fmt: skip
    assert done.stdout.splitlines()[0] == "--format", done.stderr
    assert "inlayfit" in done.stdout.splitlines()[1]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_shell_gets_its_script(shell: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "inlayfit"], env={**os.environ, "_INLAYFIT_COMPLETE": f"{shell}_source"},
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 0
    assert f"_INLAYFIT_COMPLETE={shell}_complete" in done.stdout
