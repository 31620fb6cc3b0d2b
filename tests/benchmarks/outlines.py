"""Times of reading an outline beside what the libraries' own parsing takes: ``python tests/benchmarks/outlines.py``.

A lobed ring of 1,000, 10,000 and 100,000 vertices, 200 mm across, in every format, DXF also as loose lines; then
drawings of many pieces: 15,000 squares as 60,000 loose lines, 19,000 as shapes, and a map of 240 countries. The best of
three, in seconds of the processor's time, since the clock counts what else the machine does.
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
from svgelements import SVG
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
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
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


def many() -> dict[str, tuple[str, str, Callable[[], object]]]:
    """Drawings of many pieces."""
    document = ezdxf.new(units=4)
    space = document.modelspace()
    corners = [[(x, y), (x + 8, y), (x + 8, y + 8), (x, y + 8)] for x in range(0, 1250, 10) for y in range(0, 1200, 10)]
    sides = [(square[number], square[(number + 1) % 4]) for number in range(4) for square in corners]
    for start, end in sides:
        space.add_line(start, end)
    text = io.StringIO()
    document.write(text)
    lines = text.getvalue()
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="1500mm" height="1300mm" viewBox="0 0 1500 1300">'
    squares = head + "".join(
        f'<rect x="{number % 150 * 10}" y="{number // 150 * 10}" width="8" height="8"/>' for number in range(19_000)
    )
    countries = []
    for number in range(240):
        coast = [(x / 5, y / 5) for x, y in ring(300)]
        steps = "".join(f"l{x2 - x1:.3f},{y2 - y1:.3f}" for (x1, y1), (x2, y2) in zip(coast, coast[1:]))
        countries.append(f'<path d="M{50 + number % 20 * 60},{50 + number // 20 * 60}{steps}z"/>')
    world = head + "".join(countries)
    return {
        "DXF, 60,000 loose lines of squares": ("a.dxf", lines, lambda: ezdxf.read(io.StringIO(lines))),
        "SVG, 19,000 squares": ("a.svg", squares + "</svg>", lambda: SVG.parse(io.StringIO(squares + "</svg>"))),
        "SVG, map of 240 countries": ("a.svg", world + "</svg>", lambda: SVG.parse(io.StringIO(world + "</svg>"))),
    }


def row(name: str, count: str, file: str, text: str, parse: Callable[[], object]) -> str:
    encoded, size = text.encode(), Size(unit_mm=1.0)
    whole, own = best(lambda: read_outline_file(encoded, file, size=size)), best(parse)
    return f"| {name} | {count} | {whole:.3f} | {own:.3f} | {whole / own:.1f} |"


def main() -> None:
    print("| format | vertices | read, s | library's own parse, s | times |\n| --- | --- | --- | --- | --- |")
    for count in (1_000, 10_000, 100_000):
        for name, (file, text, parse) in cases(ring(count)).items():
            print(row(name, f"{count:,}", file, text, parse), flush=True)
    for name, (file, text, parse) in many().items():
        print(row(name, "", file, text, parse), flush=True)


if __name__ == "__main__":
    main()
