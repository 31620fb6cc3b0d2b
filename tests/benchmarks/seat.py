"""Processor time of the whole seat against reading the outline, one plain offset of it, and a height field of 0.05 mm.

Run with `python tests/benchmarks/seat.py`. The field's time is that of a smaller window of the plan, in proportion to
the plan's area.
"""

import sys
import time
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parents[1]))
from joints import joint, seat_of_cut
from seat_field import Field

from inlayfit.drawings.outline_file import read_outline_file
from inlayfit.drawings.size import Size

CELL, WINDOW = 0.05, 3.0


def smooth(count):
    a = np.arange(count) * 2 * np.pi / count
    r = 40 * (1 + 0.25 * np.cos(5 * a))
    return shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], 1))


def rough(count):
    a = np.arange(count) * 2 * np.pi / count
    reach = 0.12 * count  # vertices stay some tenths of a millimetre apart
    r = max(20.0, reach) * (1 + 0.2 * np.cos(3 * a)) + np.random.default_rng(5).normal(0, 0.15, count)
    return shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], 1))


def regions(count):
    each = max(1, count // 20)
    side = int(np.ceil(np.sqrt(each)))
    a = np.arange(20) * 2 * np.pi / 20
    r = np.where(np.arange(20) % 2, 2.0, 4.0)
    star = np.stack([r * np.cos(a), r * np.sin(a)], 1)
    places = [(10 * (i % side), 10 * (i // side)) for i in range(each)]
    return shapely.MultiPolygon([shapely.Polygon(star + np.array(place)) for place in places])


def best(function, times=3):
    """Processor time of the fastest try, so that other work on the machine counts little."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        function()
        taken.append(time.process_time() - start)
    return min(taken)


def field_time(outline):
    """Time of a field of the whole plan; only the part of the outline that can matter for a window is made."""
    middle = shapely.get_coordinates(outline)[0]
    window = shapely.box(*(middle - WINDOW / 2), *(middle + WINDOW / 2))
    part = outline.intersection(window.buffer(4.0, join_style="mitre"))
    part = shapely.MultiPolygon([p for p in getattr(part, "geoms", [part]) if p.area > 0.01])
    field = Field(joint(part), CELL)
    ticks = np.arange(0, WINDOW, CELL)
    points = middle - WINDOW / 2 + np.stack(np.meshgrid(ticks, ticks), -1).reshape(-1, 2)
    taken = best(lambda: field.overlap(points), 1)
    # beside the outline's own area the plan takes in a strip of the plug's cut
    return taken * (outline.area + outline.length * 0.7) / window.area


def row(make, count):
    """One line of the table."""
    outline = make(count)
    cut = joint(outline)
    data = shapely.to_wkt(outline, rounding_precision=9).encode()
    reading = best(lambda: read_outline_file(data, "outline.wkt", size=Size(unit_mm=1.0)))
    offset = best(lambda: outline.buffer(-1.0))
    whole = best(lambda: seat_of_cut(cut, crush_strength_mpa=7.0, clamp_force_n=0.7 * outline.area), 2)
    field = field_time(outline)
    ratios = f"{whole / reading:.1f} | {whole / offset:.1f} | {field:.1f} | {field / whole:.0f}"
    return f"| {make.__name__} | {count} | {whole:.3f} | {ratios} |"


def main():
    print("| outline | vertices | seat, s | times reading | times one offset | field, s | field / seat |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    for make in (smooth, rough, regions):
        for count in (100, 1000, 10000):
            print(row(make, count), flush=True)


if __name__ == "__main__":
    main()
