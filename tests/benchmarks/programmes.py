"""Times of reading programmes beside splitting them into words: ``python tests/benchmarks/programmes.py [BLOCKS]``.

A programme of straight cuts and one of arcs, of 100,000 blocks or as many as asked; the best of three, in
seconds of the processor.
"""

from __future__ import annotations

import math
import random
import re
import sys
import time
from collections.abc import Callable

from inlayfit.programme.pieces import pieces
from inlayfit.programme.reader import read_programme

REPEATS = 3
SPLIT = re.compile(r"([A-Z])([-+.0-9]+)")
HEAD = ("%", "G21 G90 G17", "T1 M6", "M3 S18000", "G0 X0 Y0 Z5", "G1 Z-1 F300")
TAIL = ("G0 Z5", "M30", "%")


def best(work: Callable[[], object]) -> float:
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def straight(count: int) -> str:
    dice = random.Random(count)
    body = (f"X{dice.uniform(0, 300):.4f} Y{dice.uniform(0, 200):.4f} Z{-dice.uniform(0, 6):.4f}" for _ in range(count))
    return "\n".join([*HEAD, *body, *TAIL])


def curved(count: int) -> str:
    """A wavy line of arcs, up and down by turns."""
    body = []
    for number in range(count):
        radius = 1 + 0.5 * math.sin(number)
        body.append(f"N{number} G{2 + number % 2} X{2 * radius:.4f} Y0. I{radius:.4f} J0.")
        if number % 50 == 49:
            body[-1] = f"N{number} G1 X-{99:.4f}"
    return "\n".join([*HEAD, "G91", *body, "G90", *TAIL])


def main(count: int) -> None:
    print(f"{'programme':12} {'words':>10} {'split':>8} {'read':>8} {'ratio':>6} {'words a second':>15} {'pieces':>8}")
    for name, text in (("straight", straight(count)), ("arcs", curved(count))):
        words = len(SPLIT.findall(text))
        split = best(lambda text=text: SPLIT.findall(text))  # type: ignore[misc]
        read = best(lambda text=text: read_programme(text, name="part.nc", unit="mm"))  # type: ignore[misc]
        moves = read_programme(text, name="part.nc", unit="mm").moves
        cut = best(lambda moves=moves: pieces(moves))  # type: ignore[misc]
        print(f"{name:12} {words:10} {split:8.3f} {read:8.3f} {read / split:6.1f} {words / read:15,.0f} {cut:8.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
