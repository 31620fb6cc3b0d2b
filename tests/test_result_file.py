"""Result files: whole or not at all, nothing of the user's lost."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from inlayfit.cli import main
from inlayfit.errors import InputError
from inlayfit.result_file import refuse_unwritable, write_result

OLD = "the user's own\n"


def problem(name: Path | str, *, force: bool = False) -> str:
    """The mistake, the same beforehand and at the writing."""
    with pytest.raises(InputError) as before:
        refuse_unwritable(str(name), force=force)
    with pytest.raises(InputError) as caught:
        write_result(str(name), "new", force=force)
    assert str(before.value) == str(caught.value)
    return str(caught.value)


def test_a_new_file_is_written_as_it_is(tmp_path: Path) -> None:
    for data in ("Fläche\nline\n", b"\x00\xff\r\n"):
        name = tmp_path / f"{type(data).__name__}.out"
        refuse_unwritable(str(name), force=False)
        write_result(str(name), data, force=False)
        assert name.read_bytes() == (data.encode() if isinstance(data, str) else data)
        mask = os.umask(0)
        os.umask(mask)
        assert stat.S_IMODE(name.stat().st_mode) == 0o666 & ~mask
    assert len(list(tmp_path.iterdir())) == 2


def test_an_existing_file_is_replaced_only_with_force(tmp_path: Path) -> None:
    name = tmp_path / "plug.svg"
    name.write_text(OLD)
    name.chmod(0o640)
    assert problem(name) == f"{name}: exists already: give another name, or --force to replace it"
    assert name.read_text() == OLD
    write_result(str(name), "new", force=True)
    assert name.read_text() == "new"
    assert stat.S_IMODE(name.stat().st_mode) == 0o640
    assert [entry.name for entry in tmp_path.iterdir()] == ["plug.svg"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "plug.svg", tmp_path / "latest.svg"
    target.write_text(OLD)
    link.symlink_to(target)
    assert "exists already" in problem(link)
    write_result(str(link), "new", force=True)
    assert link.is_symlink()
    assert target.read_text() == "new"


def test_names_that_cannot_be_written(tmp_path: Path) -> None:
    assert problem("") == "found no name, expected a file to write"
    assert problem(tmp_path) == f"{tmp_path}: cannot be written: it is a folder"
    missing = tmp_path / "none" / "plug.svg"
    assert problem(missing, force=True) == f"{missing}: cannot be written: there is no folder {missing.parent}"


def test_a_folder_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # the owner of everything may write everywhere: the answer of the system stands in for a locked folder
    monkeypatch.setattr(os, "access", lambda *_: False)
    name = tmp_path / "plug.svg"
    assert problem(name) == f"{name}: cannot be written: no permission in the folder {tmp_path}"


@pytest.mark.parametrize("force", [False, True])
def test_a_run_cut_short_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    name = tmp_path / "plug.svg"
    if force:
        name.write_text(OLD)
    for error, words in ((OSError(28, "No space left on device"), "no space left on device"), (KeyboardInterrupt, "")):

        def fail(_handle: int, error: BaseException | type[BaseException] = error) -> None:
            raise error

        monkeypatch.setattr(os, "fsync", fail)
        with pytest.raises((InputError, KeyboardInterrupt)) as caught:
            write_result(str(name), "new", force=force)
        assert words in str(caught.value)
        assert [entry.read_text() for entry in tmp_path.iterdir()] == ([OLD] if force else [])


def test_a_name_taken_in_the_meantime_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = tmp_path / "plug.svg"
    for links in (True, False):
        name.unlink(missing_ok=True)

        def arrive(_handle: int) -> None:
            name.write_text(OLD)

        def no_links(*_: object) -> None:
            raise OSError(95, "Operation not supported")

        with monkeypatch.context() as patched:
            patched.setattr(os, "fsync", arrive)
            if not links:
                patched.setattr(os, "link", no_links)
            with pytest.raises(InputError, match="exists already"):
                write_result(str(name), "new", force=False)
        assert [entry.read_text() for entry in tmp_path.iterdir()] == [OLD]


def test_a_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", no_links)
    write_result(str(tmp_path / "plug.svg"), "new", force=False)
    assert [(entry.name, entry.read_text()) for entry in tmp_path.iterdir()] == [("plug.svg", "new")]


def test_a_device_is_written_to(tmp_path: Path) -> None:
    write_result(os.devnull, "new", force=False)
    assert stat.S_ISCHR(os.stat(os.devnull).st_mode)


@pytest.mark.parametrize(
    "command", [("draw", "--view", "section"), ("card",), ("outline", "--part", "pocket")], ids=lambda words: words[0]
)
def test_what_was_read_is_never_replaced(command: tuple[str, ...], tmp_path: Path) -> None:
    drawing = tmp_path / "leaf.geojson"
    drawing.write_text('{"type": "Polygon", "coordinates": [[[0, 0], [60, 0], [60, 40], [0, 40], [0, 0]]]}')
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(
        "unit: mm\noutline: {file: leaf.geojson}\n"
        "base: {thickness: 18}\nplug: {thickness: 12}\nbits: {v: {angle: 30}}\n"
    )
    before = {file: file.read_bytes() for file in (drawing, sheet)}
    for file in before:
        done = CliRunner().invoke(main, [command[0], str(sheet), *command[1:], "-o", str(file), "--force"])
        assert done.exit_code == 2
        if command[0] != "outline" or file == drawing:  # the outline's writer knows no .yaml
            assert "was read for this result" in done.output
    assert before == {file: file.read_bytes() for file in before}
