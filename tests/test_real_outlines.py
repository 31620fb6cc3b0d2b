"""Real outlines from open packages: areas and counts against a renderer, the fonts' own pens and plain sums.

tests/real_outlines/manifest.json names package, version and licence of every file; collect.py there made it. Icons are
rendered by resvg and their pieces counted in the pixels; areas of glyphs come from fontTools, those of maps from the
shoelace formula over the rings. ``python tests/test_real_outlines.py`` prints the table of docs/validation.md.
"""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.errors import InputError

FOLDER = Path(__file__).parent / "real_outlines"
OUTLINES: list[dict[str, Any]] = json.loads((FOLDER / "manifest.json").read_text(encoding="utf-8"))
ACROSS = 900
"""Pixels of the longer side of a rendering."""
GAP = 4
"""Holes of fewer pixels are gaps that a renderer leaves along edges that shapes share."""
SVG_SCALE = 20.0
"""Icons are a few mm wide as drawn; at this scale they are a hand wide, and what counts at the bench counts."""
PIXELS = 4e-3
"""How far an area counted in pixels may be off, as a share: the edge is one part in some hundreds of the area."""
EXACT = 5e-4
"""The same for areas known from formulas; chords lie within their curves."""

FINER_THAN_A_PIXEL = {"phosphor-butterfly-fill.svg"}
"""Drawings with a slit that the rendering cannot show; their counts are right once they are grown by half a pixel."""

REFUSED = {
    "tabler-feather.svg": "3 lines meet at",
    "tabler-cloud.svg": "the line does not close, open from .*, 0.0212 mm",
    "tabler-heart.svg": "the line does not close, open from .*, 0.0318 mm",
}
"""Drawings that are no outlines, and what is said of them."""


IN_PART = {
    "tabler-leaf.svg": (r"left out 1 open line: \(5, 21\) to \(12, 11\)", 1, 0),
    "tabler-diamond.svg": (r"left out 1 open line: \(8\.6, 8\.8\) to \(10, 12\)", 1, 0),
    "tabler-compass.svg": (r"left out 4 open lines: ", 1, 1),
}
"""Drawings with lines that lead nowhere beside loops: a rib, a facet, four ticks; what is said, regions and holes."""


def read(entry: dict[str, Any]) -> OutlineFile:
    name = entry["file"]
    size = {
        "svg": Size(natural=True, scale=SVG_SCALE),
        "dxf": Size(unit_mm=0.1, unit_given=True),
    }.get(name.rpartition(".")[2], Size(unit_mm=10.0))
    return read_outline_file((FOLDER / name).read_bytes(), name, size=size, choice=Choice(take=entry.get("take")))


def mm_per_unit(entry: dict[str, Any]) -> float:
    return {"svg": SVG_SCALE * 25.4 / 96, "dxf": 0.1}.get(entry["file"].rpartition(".")[2], 10.0)


def rendered(entry: dict[str, Any]) -> tuple[float, tuple[int, int], float]:
    """Area of a drawing in its px2 as a renderer shows it, its pieces and holes, the side of a pixel in its px.

    Closed lines are filled for that.
    """
    text = (FOLDER / entry["file"]).read_text(encoding="utf-8").replace('opacity="0.2"', "")
    if entry["take"] == "closed":
        text = text.replace('fill="none"\n  stroke="currentColor"', 'fill="black" fill-rule="evenodd" stroke="none"')
    box = [float(number) for number in text.partition('viewBox="')[2].partition('"')[0].split()]
    zoom = max(1, round(ACROSS / max(box[2:])))
    with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=text, zoom=zoom))) as image:
        alpha = np.asarray(image.convert("RGBA"))[:, :, 3]
    area = float(alpha.sum()) / 255 / zoom**2
    shown = np.pad(alpha > 127, 1)
    return area, (pieces(shown, diagonal=False), pieces(~shown, diagonal=True, least=GAP) - 1), 1 / zoom


def pieces(shown: NDArray[np.bool_], *, diagonal: bool, least: int = 1) -> int:
    """Connected pieces of a bitmap, by runs of pixels joined from row to row; ``diagonal``: corners join as well.

    Pieces of fewer pixels than ``least`` are left out.
    """
    parent: list[int] = []
    lengths: list[int] = []

    def root(number: int) -> int:
        while parent[number] != number:
            parent[number] = parent[parent[number]]
            number = parent[number]
        return number

    above: list[tuple[int, int, int]] = []
    for row in shown:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
        runs = []
        for start, end in edges.reshape(-1, 2).tolist():
            parent.append(len(parent))
            lengths.append(end - start)
            run = (start, end, len(parent) - 1)
            for low, high, number in above:
                if low < end + diagonal and start < high + diagonal:
                    parent[root(number)] = root(run[2])
            runs.append(run)
        above = runs
    sizes = Counter[int]()
    for number, length in enumerate(lengths):
        sizes[root(number)] += length
    return sum(size >= least for size in sizes.values())


def measured(outline: OutlineFile) -> tuple[float, int, int]:
    regions = len(outline.polygons)
    return sum(part.area for part in outline.polygons), regions, sum(len(part.interiors) for part in outline.polygons)


def specks(outline: OutlineFile) -> int:
    """Islands of a map too small at this size, which were left out and counted."""
    return sum(int(note.rpartition(" ")[2]) for note in outline.notes if note.startswith("left out specks"))


@pytest.mark.parametrize("entry", OUTLINES, ids=lambda entry: entry["file"])
def test_a_real_outline(entry: dict[str, Any]) -> None:
    if entry["file"] in REFUSED:
        with pytest.raises(InputError, match=REFUSED[entry["file"]]):
            read(entry)
        return
    outline = read(entry)
    area, regions, holes = measured(outline)
    if entry["file"] in IN_PART:
        note, *counts = IN_PART[entry["file"]]
        assert any(re.match(note, found) for found in outline.notes)
        assert [regions, holes] == counts
        return
    scale = mm_per_unit(entry) ** 2
    assert all(part.is_valid for part in outline.polygons)
    if "unit_area" in entry:
        assert area == pytest.approx(entry["unit_area"] * scale, rel=EXACT)
        if not entry["file"].endswith(".svg"):  # contours of a glyph may cross, the renderer knows how
            assert (regions + specks(outline), holes) == (entry["regions"], entry["holes"])
    if entry["file"].endswith(".svg"):
        shown, counts, pixel = rendered(entry)
        assert area == pytest.approx(shown * scale, rel=PIXELS)
        if entry["file"] in FINER_THAN_A_PIXEL:
            assert (regions, holes) != counts
            whole = shapely.MultiPolygon(outline.polygons).buffer(pixel * scale**0.5 / 2)
            outline = replace(outline, polygons=tuple(shapely.get_parts(whole)))
            _, regions, holes = measured(outline)
        assert (regions, holes) == counts


def test_the_same_outline_in_two_formats() -> None:
    """Glyphs as SVG and as loose lines of DXF, maps as GeoJSON and as text: the same shape within 0.03 mm.

    The loose lines are 32 chords to a curve.
    """
    by_stem: dict[str, list[dict[str, Any]]] = {}
    for entry in OUTLINES:
        by_stem.setdefault(Path(entry["file"]).stem, []).append(entry)
    pairs = [entries for entries in by_stem.values() if len(entries) == 2]
    assert len(pairs) == 9 + 3
    for pair in pairs:
        one, other = (shapely.MultiPolygon(sized(entry)) for entry in pair)
        assert shapely.hausdorff_distance(one, other) < 0.03


def sized(entry: dict[str, Any]) -> tuple[shapely.Polygon, ...]:
    """100 mm wide."""
    return read_outline_file((FOLDER / entry["file"]).read_bytes(), entry["file"], size=Size(width=100)).polygons


def test_every_outline_has_its_source() -> None:
    assert len(OUTLINES) >= 60
    assert {entry["file"] for entry in OUTLINES} | {"manifest.json", "collect.py", "wide_corpus.py"} == {
        path.name for path in FOLDER.iterdir() if path.is_file()
    }
    assert all(entry["package"] and entry["version"] and entry["licence"] and entry["source"] for entry in OUTLINES)
    assert sum((FOLDER / entry["file"]).stat().st_size for entry in OUTLINES) < 1.5e6


def test_pieces_are_counted_right() -> None:
    rows = ("......", ".###.#", ".#.#..", ".###..", "......")
    ring = np.array([[pixel == "#" for pixel in row] for row in rows])
    assert pieces(ring, diagonal=False) == 2
    assert pieces(~ring, diagonal=True) == 2
    assert (pieces(ring, diagonal=False, least=4), pieces(~ring, diagonal=True, least=4)) == (1, 1)
    diagonal = np.eye(4, dtype=bool)
    assert (pieces(diagonal, diagonal=False), pieces(diagonal, diagonal=True)) == (4, 1)


def table() -> str:
    """Files by package: tried, read right, refused with reason; the largest difference in area."""
    rows: dict[str, Counter[str]] = {}
    worst: dict[str, float] = {}
    for entry in OUTLINES:
        kind = f"{entry['package']} {entry['version']}, {entry['file'].rpartition('.')[2].upper()}"
        row = rows.setdefault(kind, Counter())
        row["tried"] += 1
        if entry["file"] in REFUSED:
            row["refused"] += 1
            continue
        if entry["file"] in IN_PART:
            row["in part"] += 1
            continue
        area = measured(read(entry))[0] / mm_per_unit(entry) ** 2
        known = entry.get("unit_area") or rendered(entry)[0]
        worst[kind] = max(worst.get(kind, 0.0), abs(area / known - 1))
        row["right"] += 1
    columns = ("package, format", "tried", "right", "lines left out", "refused with reason", "area differs by at most")
    lines = [f"| {' | '.join(columns)} |", "| --- " * len(columns) + "|"]
    for kind, row in rows.items():
        counts = " | ".join(str(row[name]) for name in ("tried", "right", "in part", "refused"))
        lines.append(f"| {kind} | {counts} | {worst[kind]:.2%} |")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
