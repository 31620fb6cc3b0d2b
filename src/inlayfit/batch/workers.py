"""Worker processes that outlive a crash of one of them: only the item it was at is lost."""

from __future__ import annotations

import multiprocessing
import signal
import sys
from collections import deque
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Generic, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


@dataclass(frozen=True)
class Lost:
    """Stands for the result of an item whose worker died over it."""

    why: str


@dataclass
class _Worker(Generic[Item]):
    process: BaseProcess
    connection: Connection
    items: deque[tuple[int, Item]]
    """Numbered items handed to it whose results have not come back, the one it is at first."""


def results(
    start: Callable[[], Callable[[Item], Result]],
    batches: Sequence[Sequence[tuple[int, Item]]],
    *,
    workers: int,
) -> Generator[tuple[int, Result | Lost], None, None]:
    """Number and result of every item, as they come.

    Each worker calls ``start`` once and what it returns for each item; the items of one of ``batches`` go to one
    worker in turn, so that what they share is worked out once. Where a worker dies its item is :class:`Lost` and a
    new worker goes on behind it. Closing the iterator ends the workers. Interrupts are left to the caller's process.
    """
    # forking is quick, but not safe beside threads, which numpy starts, nor with some systems' libraries
    forks = sys.platform == "linux" and "numpy" not in sys.modules
    context: Any = multiprocessing.get_context("fork" if forks else "spawn")
    waiting = deque(deque(batch) for batch in batches if batch)
    crew: list[_Worker[Item]] = []
    retired: list[BaseProcess] = []

    def hire(items: deque[tuple[int, Item]]) -> None:
        here, there = context.Pipe()
        # a forked worker holds copies of the other pipes' ends, which would keep it waiting if this process died
        strangers = [here, *(worker.connection for worker in crew)] if forks else []
        process = context.Process(target=_serve, args=(start, there, strangers), daemon=True)
        process.start()
        there.close()
        worker = _Worker(process, here, items)
        crew.append(worker)
        _hand_over(worker, items)

    try:
        while waiting and len(crew) < workers:
            hire(waiting.popleft())
        while crew:
            ready = wait([worker.connection for worker in crew])
            for worker in [worker for worker in crew if worker.connection in ready]:
                try:
                    result: Result = worker.connection.recv()
                except (EOFError, OSError):
                    crew.remove(worker)
                    number, _ = worker.items.popleft()
                    if worker.items:
                        waiting.appendleft(worker.items)
                    worker.connection.close()
                    if waiting:
                        hire(waiting.popleft())
                    yield number, Lost(_end_of(worker.process))
                    continue
                number, _ = worker.items.popleft()
                if not worker.items:
                    if waiting:
                        _hand_over(worker, waiting.popleft())
                    else:
                        crew.remove(worker)
                        worker.connection.close()
                        retired.append(worker.process)
                yield number, result
    finally:
        for worker in crew:
            worker.process.terminate()
            worker.connection.close()
        for process in (*retired, *(worker.process for worker in crew)):
            process.join()


def _hand_over(worker: _Worker[Item], items: deque[tuple[int, Item]]) -> None:
    worker.items = items
    # a worker may be dead already; the end of its pipe tells so later
    with suppress(ConnectionError):
        worker.connection.send([item for _, item in items])


def _serve(
    start: Callable[[], Callable[[Item], Result]], connection: Connection, strangers: Sequence[Connection]
) -> None:
    """The life of a worker: items in, results out, until the other end closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for stranger in strangers:
        stranger.close()
    work = start()
    with suppress(EOFError, ConnectionError):
        while True:
            for item in connection.recv():
                connection.send(work(item))


def _end_of(process: BaseProcess) -> str:
    """How a worker ended."""
    process.join()
    code = process.exitcode or 0
    if code >= 0:
        return f"ended with status {code}"
    with suppress(ValueError):
        return f"was killed by {signal.Signals(-code).name}"
    return f"was killed by signal {-code}"
