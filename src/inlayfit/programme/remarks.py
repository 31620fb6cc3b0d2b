"""What a reader tells beside the moves: words without effect on the cut, and what a machine may take otherwise."""

from __future__ import annotations

from typing import Literal, NamedTuple

RemarkKind = Literal["no effect", "read", "doubtful"]


class Remark(NamedTuple):
    """A word or a lack of one; ``line`` is the first it was met on, ``times`` how often."""

    line: int
    word: str
    kind: RemarkKind
    message: str
    times: int = 1


class Remarks:
    """Remarks as they are met, one for each word and message."""

    def __init__(self) -> None:
        self._met: dict[tuple[str, RemarkKind, str], list[int]] = {}

    def add(self, line: int, word: str, kind: RemarkKind, message: str) -> None:
        """Take down a remark; a repeated one counts."""
        entry = self._met.setdefault((word, kind, message), [line, 0])
        entry[1] += 1

    def found(self) -> tuple[Remark, ...]:
        """All of them by line."""
        return tuple(
            sorted(
                Remark(line=line, word=word, kind=kind, message=message, times=times)
                for (word, kind, message), (line, times) in self._met.items()
            )
        )
