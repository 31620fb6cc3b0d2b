"""Times of reading an outline beside what the libraries' own parsing takes: ``python tests/benchmarks/outlines.py``.

A lobed ring of 1,000, 10,000 and 100,000 vertices, 200 mm across, in every format; DXF also as loose lines. The best of
three, in seconds.
"""

from __future__ import annotations

import io
import json
import math
import time
from collections.abc import Callable

import ezdxf
import numpy as np
import shapely
from svgelements import Path as SvgPath

from inlayfit.drawings.outline_file import read_outline_file
from inlayfit.drawings.size import Size

REPEATS = 3


def ring(count: int) -> list[tuple[float, float]]:
    angles = np.linspace(0, 2 * math.pi, count, endpoint=False)
    radius = 80 + 15 * np.sin(5 * angles) + 5 * np.sin(23 * angles)
    return [(round(x, 5), round(y, 5)) for x, y in zip(radius * np.cos(angles), radius * np.sin(angles))]


def best(work: Callable[[], object]) -> float:
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def dxf(points: list[tuple[float, float]], *, loose: bool) -> str:
    document = ezdxf.new(units=4)
    space = document.modelspace()
    if loose:
        for start, end in zip(points, [*points[1:], points[0]]):
            space.add_line(start, end)
    else:
        space.add_lwpolyline(points, close=True)
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def cases(points: list[tuple[float, float]]) -> dict[str, tuple[str, str, Callable[[], object]]]:
    """Per format: file name, text, and the library's own parse of it."""
    closed = [*points, points[0]]
    data = "M" + "L".join(f"{x} {y}" for x, y in points) + "z"
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" viewBox="0 0 300 300"><path d="{data}"/></svg>'
    geojson = json.dumps({"type": "Polygon", "coordinates": [closed]})
    wkt = "POLYGON ((" + ", ".join(f"{x} {y}" for x, y in closed) + "))"
    polyline, lines = dxf(points, loose=False), dxf(points, loose=True)
    return {
        "SVG": ("a.svg", svg, lambda: SvgPath(data)),
        "DXF, one polyline": ("a.dxf", polyline, lambda: ezdxf.read(io.StringIO(polyline))),
        "DXF, loose lines": ("a.dxf", lines, lambda: ezdxf.read(io.StringIO(lines))),
        "GeoJSON": ("a.geojson", geojson, lambda: shapely.from_geojson(geojson)),
        "WKT": ("a.wkt", wkt, lambda: shapely.from_wkt(wkt)),
    }


def main() -> None:
    print("| format | vertices | read, s | library's own parse, s | times |\n| --- | --- | --- | --- | --- |")
    for count in (1_000, 10_000, 100_000):
        for name, (file, text, parse) in cases(ring(count)).items():
            encoded = text.encode()
            size = Size(unit_mm=1.0)
            whole = best(lambda: read_outline_file(encoded, file, size=size))  # noqa: B023 (called at once)
            own = best(parse)
            print(f"| {name} | {count:,} | {whole:.3f} | {own:.3f} | {whole / own:.1f} |")


if __name__ == "__main__":
    main()
