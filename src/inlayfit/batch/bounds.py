"""What one sheet of a batch may take of memory and time, so that it costs no other sheet its result."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

MOST_MEMORY: Final = 900_000_000
"""Bytes for all workers together."""
LEAST_MEMORY: Final = 400_000_000
"""Bytes that each worker has at least; outlines of 10,000 vertices do with less."""
MOST_SECONDS: Final = 60.0
"""Of processor time: what else a machine does counts for nothing. An outline of 10,000 vertices takes a few."""


class TooLong(Exception):
    """The time for one sheet is over."""


def limit_memory(workers: int) -> None:
    """Let this process, one of so many, take no more memory than its share; beyond it :class:`MemoryError` is raised.

    Some systems know no such limit, and there it is left out.
    """
    try:
        import resource
    except ImportError:
        return
    most = max(MOST_MEMORY // workers, LEAST_MEMORY)
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    if hard == resource.RLIM_INFINITY or hard > most:
        resource.setrlimit(resource.RLIMIT_DATA, (most, hard))


@contextmanager
def limited_time(seconds: float) -> Iterator[None]:
    """Raise :class:`TooLong` in this block once so many seconds of this process's own time are over.

    Only a main thread can be told so, and only on systems with timers; elsewhere there is no limit.
    """
    if not hasattr(signal, "setitimer") or threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGPROF, _ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def _ring(number: int, frame: FrameType | None) -> None:
    raise TooLong
