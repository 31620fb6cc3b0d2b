"""What a user can get wrong, as exceptions that name place, found and expected."""

from __future__ import annotations

from collections.abc import Iterable


class InputError(Exception):
    """One mistake in what the user gave: a sheet, a file, the command line.

    ``problem`` says what was found and what is expected; ``where`` is the key path
    (``("joint", "pocket_depth")``); ``place`` is ``file:line:column`` or a file's name, added by
    whoever knows it.
    """

    def __init__(self, problem: str, *, where: Iterable[str] = (), place: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.where = tuple(where)
        self.place = place

    def __str__(self) -> str:
        path = key_path(self.where)
        if self.place.startswith("--") and self.place.endswith(f" {path}"):
            # a place on the command line may be the key already
            path = ""
        return ": ".join(part for part in (self.place, path, self.problem) if part)

    def lines(self) -> tuple[str, ...]:
        """One line for each mistake."""
        return (" ".join(str(self).split()),)

    def at(self, place: str) -> InputError:
        """The same mistake with its place, where it has none yet."""
        return InputError(self.problem, where=self.where, place=self.place or place)


class InputErrors(InputError):
    """Several mistakes of one sheet, told in one go."""

    def __init__(self, mistakes: Iterable[InputError]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def lines(self) -> tuple[str, ...]:
        return tuple(line for mistake in self.mistakes for line in mistake.lines())

    def at(self, place: str) -> InputError:
        return InputErrors(mistake.at(place) for mistake in self.mistakes)


def key_path(where: Iterable[str]) -> str:
    """Key path as people write it: ``outline.shapes[2].circle``."""
    path = ""
    for part in where:
        path += part if part.startswith("[") or not path else f".{part}"
    return path
