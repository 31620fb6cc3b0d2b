"""Time of the tolerance stack: the table of fits, and the drawn pairs apart from it.

Run with `python tests/benchmarks/tolerance.py`.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parents[1]))
from jobs import GONE, job

from inlayfit.cli.options import USUAL_DRAWS
from inlayfit.joint.depths import depths
from inlayfit.joint.error_sources import sources
from inlayfit.joint.schedule import schedule
from inlayfit.outline.regions import outline_of
from inlayfit.seat.fit import fit
from inlayfit.tolerance.draws import drawn_stack
from inlayfit.tolerance.pairs import pairs_of

TWO_BITS = {"bits.pocket_v": {"angle": 30.0, "tip": 0.1}, "bits.plug_v": {"angle": 30.0, "tip": 0.2}}


def smooth(count):
    a = np.arange(count) * 2 * np.pi / count
    r = 40 * (1 + 0.25 * np.cos(5 * a))
    return outline_of([shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], 1))])


def rough(count):
    a = np.arange(count) * 2 * np.pi / count
    reach = 0.12 * count  # vertices stay some tenths of a millimetre apart
    r = max(20.0, reach) * (1 + 0.2 * np.cos(3 * a)) + np.random.default_rng(5).normal(0, 0.15, count)
    return outline_of([shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], 1))])


def row(make, count, this, name):
    outline, nominal = make(count), depths(this)[0]
    start = time.perf_counter()
    seated = fit(this, nominal, schedule(this, nominal), outline)
    fitted = time.perf_counter()
    pairs_of(this, seated, sources(this, outline=True), cleared=True)
    tabled = time.perf_counter()
    drawn_stack(this, nominal, seated, 2.0, USUAL_DRAWS, cleared=True)
    done = time.perf_counter()
    # the fit keeps its table: what is left are the pairs
    times = " | ".join(f"{seconds:.2f}" for seconds in (fitted - start, tabled - fitted, done - tabled))
    return f"| {make.__name__} | {count} | {name} | {times} |"


def main():
    print("| outline | vertices | V-bits | fit, s | table of fits, s | 20,000 pairs apart from it, s |")
    print("| --- | ---: | --- | ---: | ---: | ---: |")
    plain = job({"base.wood": "black walnut", "plug.wood": "sugar maple"})
    two = job({"base.wood": "black walnut", "plug.wood": "sugar maple", "bits.v": GONE, **TWO_BITS})
    row(smooth, 100, plain, "")  # what is imported late counts for nobody
    for make in (smooth, rough):
        print(row(make, 1000, plain, "one"), flush=True)
        print(row(make, 1000, two, "two"), flush=True)


if __name__ == "__main__":
    main()
