"""Result files: written whole or not at all; an existing one is replaced only on request."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterable
from contextlib import suppress

from inlayfit.errors import InputError


def refuse_unwritable(name: str, *, force: bool) -> None:
    """Raise :class:`InputError` where :func:`write_result` could not write; for before a long run."""
    folder = os.path.dirname(os.path.realpath(name))
    if not name:
        raise InputError("found no name, expected a file to write")
    if os.path.isdir(name):
        raise InputError("cannot be written: it is a folder", place=name)
    if not os.path.isdir(folder):
        raise InputError(f"cannot be written: there is no folder {os.path.dirname(name) or folder}", place=name)
    if _is_device(name):
        return
    if os.path.lexists(name) and not force:
        raise InputError("exists already: give another name, or --force to replace it", place=name)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(f"cannot be written: no permission in the folder {os.path.dirname(name) or '.'}", place=name)


def refuse_input(name: str, read: Iterable[str]) -> None:
    """Raise :class:`InputError` where a result would replace one of the files that were read for it, forced or not."""
    for other in read:
        with suppress(OSError, ValueError):
            if os.path.samefile(name, other):
                raise InputError("was read for this result: give the result another name", place=name)


def write_result(name: str, data: str | bytes, *, force: bool) -> None:
    """Write a result file (text as UTF-8) whole, or leave everything as it was.

    The data goes to a new file beside it first, which then takes the name in one step: a run that is cut short
    leaves no half file, and an existing one stays until the new one is complete. ``force`` allows replacing it,
    and keeps its permissions. A device or pipe is written to straight. Raises :class:`InputError` with the name.
    """
    refuse_unwritable(name, force=force)
    written = data.encode() if isinstance(data, str) else data
    try:
        if _is_device(name):
            with open(name, "wb") as device:
                device.write(written)
        else:
            # a link stays a link, and what it points to is replaced
            _write_beside(os.path.realpath(name), written, force=force)
    except FileExistsError as error:
        raise InputError("exists already: give another name, or --force to replace it", place=name) from error
    except (OSError, ValueError) as error:
        reason = str(getattr(error, "strerror", None) or error).lower()
        raise InputError(f"cannot be written: {reason}", place=name) from error


def _write_beside(path: str, data: bytes, *, force: bool) -> None:
    handle, beside = tempfile.mkstemp(prefix=".inlayfit-", dir=os.path.dirname(path))
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, _mode(path))
        if force:
            os.replace(beside, path)
        else:
            _take_free_name(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


def _take_free_name(beside: str, path: str) -> None:
    """Give the new file its name, unless another program took it in the meantime."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if os.path.lexists(path):
            raise FileExistsError(path) from None
        os.replace(beside, path)
    else:
        os.unlink(beside)


def _mode(path: str) -> int:
    """Permissions of the file that is replaced, or those of a new file."""
    try:
        return stat.S_IMODE(os.stat(path).st_mode)
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _is_device(name: str) -> bool:
    try:
        mode = os.stat(name).st_mode
    except (OSError, ValueError):
        return False
    return not (stat.S_ISREG(mode) or stat.S_ISDIR(mode))
