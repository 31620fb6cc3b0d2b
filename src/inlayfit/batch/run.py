"""Many sheets and their variants: each one tried, whatever is wrong with another; results in the order of input."""

from __future__ import annotations

import signal
import threading
from collections import Counter
from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import groupby
from math import ceil
from types import FrameType
from typing import Any, Final, Self

from inlayfit.batch.ranking import merit
from inlayfit.batch.sheet_checker import Checker, Outcome, Request, bounded_checker

BATCHES_PER_WORKER: Final = 4
"""Into how many pieces the work is cut for each worker: more keep all busy to the end, fewer share more."""


class Run:
    """One run over all sheets and variants of a request."""

    def __init__(
        self, request: Request, *, workers: int = 1, notice: Callable[[int], None] = lambda finished: None
    ) -> None:
        """``notice`` is called with the number of outcomes so far whenever there is one more."""
        self.request = request
        self.workers = workers
        self.notice = notice
        self.total = len(request.sheets) * len(request.variants)
        self.finished = 0
        """How many outcomes there are, those included that wait for their turn."""
        self.interrupted = False

    def outcomes(self) -> Generator[Outcome, None, None]:
        """Outcomes in the order of input, each as soon as those before it are there.

        At an interrupt (Ctrl-C) what is finished still comes, and :attr:`interrupted` is set.
        """
        held: dict[int, Outcome] = {}
        turn = 0
        with closing(self._as_they_come()) as stream, _Interrupts() as interrupts:
            while True:
                try:
                    found = interrupts.next_of(stream)
                except KeyboardInterrupt:
                    self.interrupted = True
                    break
                if found is None:
                    break
                held[found[0]] = found[1]
                self.finished += 1
                self.notice(self.finished)
                while turn in held:
                    yield held.pop(turn)
                    turn += 1
        for number in sorted(held):
            yield held[number]

    def ranked(self) -> Generator[Outcome, None, None]:
        """Outcomes sheet by sheet, each sheet's variants from the best down and numbered."""
        for _, group in groupby(self.outcomes(), key=lambda outcome: outcome.number):
            for rank, outcome in enumerate(sorted(group, key=merit), start=1):
                yield replace(outcome, rank=rank)

    def _as_they_come(self) -> Generator[tuple[int, Outcome], None, None]:
        variants = len(self.request.variants)
        workers = min(self.workers, self.total)
        if workers <= 1:
            check = Checker(self.request)
            for number in range(self.total):
                yield number, check(divmod(number, variants))
            return
        from inlayfit.batch.workers import Lost, results

        # a sheet's variants stay together, as long as all workers have enough to do
        most = max(1, min(variants, ceil(self.total / (workers * BATCHES_PER_WORKER))))
        batches = [
            [(number, divmod(number, variants)) for number in range(first, min(first + most, start + variants))]
            for start in range(0, self.total, variants)
            for first in range(start, start + variants, most)
        ]
        with closing(results(partial(bounded_checker, self.request, workers), batches, workers=workers)) as stream:
            for number, result in stream:
                if isinstance(result, Lost):
                    sheet, which = divmod(number, variants)
                    result = Outcome(
                        number=sheet,
                        sheet=self.request.sheets[sheet],
                        variant=dict(self.request.variants[which]),
                        trouble=f"the process that worked on it {result.why}",
                    )
                yield number, result


@dataclass(kw_only=True)
class Tally:
    """Counts a run's outcomes as they pass."""

    verdicts: Counter[str] = field(default_factory=Counter)
    unread: set[int] = field(default_factory=set)
    """Sheets with a mistake of the user's."""
    broken: set[int] = field(default_factory=set)
    """Sheets that the program itself failed on."""

    def add(self, outcome: Outcome) -> None:
        if outcome.record is not None:
            self.verdicts[outcome.record["verdict"]] += 1
        elif outcome.mistakes:
            self.unread.add(outcome.number)
        else:
            self.broken.add(outcome.number)


class _Interrupts:
    """Lets Ctrl-C through while the next outcome is waited for, and puts it off while one is handed on.

    A second Ctrl-C is never put off.
    """

    def __init__(self) -> None:
        self.asked = False
        self.waiting = False
        self.before: Any = None

    def __enter__(self) -> Self:
        # a shell starts background jobs with interrupts ignored; only the main thread may handle them
        ignored = signal.getsignal(signal.SIGINT) is signal.SIG_IGN
        if not ignored and threading.current_thread() is threading.main_thread():
            self.before = signal.signal(signal.SIGINT, self._note)
        return self

    def __exit__(self, *error: object) -> None:
        if self.before is not None:
            signal.signal(signal.SIGINT, self.before)

    def next_of(self, stream: Iterator[tuple[int, Outcome]]) -> tuple[int, Outcome] | None:
        """The next of ``stream``; None at its end. Raises :class:`KeyboardInterrupt`."""
        self.waiting = True
        try:
            if self.asked:
                raise KeyboardInterrupt
            return next(stream, None)
        finally:
            self.waiting = False

    def _note(self, number: int, frame: FrameType | None) -> None:
        if self.waiting or self.asked:
            raise KeyboardInterrupt
        self.asked = True
