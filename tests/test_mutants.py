"""Drawings damaged at random: refused in one line or read as others read them, never a traceback, never off in silence.

What is accepted without a word is compared: SVG with a renderer, DXF with the library's reader and even-odd
areas, GeoJSON and well-known text with shapely's own readers. ``python tests/test_mutants.py 20000`` runs as many
of each kind and prints the table of docs/validation.md; ``python tests/test_mutants.py 20000 dxf`` one kind only.
"""

from __future__ import annotations

import io
import itertools
import json
import logging
import math
import random
import re
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
import ezdxf.disassemble
import ezdxf.path
import ezdxf.recover
import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.errors import InputError

ACROSS = 400
"""Pixels of a rendering's longer side."""
SLOW = 10.0
NOT_SHOWN = "others refuse it, or show none of it"
FINE = 0.01
"""By how much, as a share, an area may be off unsaid."""
FOLDER = Path(__file__).parent / "drawings"

SIZED = 'width="100mm" height="80mm" viewBox="0 0 100 80"'
LEAF = (
    f'<svg xmlns="http://www.w3.org/2000/svg" {SIZED}>\n'
    '<style>.vein{fill:#fff}g > .rim{fill:#284}</style>\n'
    '<g transform="translate(5 4) rotate(3)"><path class="rim" d="M5 40C10 5 80 5 90 40 '
    '80 75 10 75 5 40z"/><path class="vein" d="M10 39h70v2H10z"/><circle class="vein" cx="30" cy="25" r="4"/>'
    '<ellipse fill="gold" cx="60" cy="55" rx="9" ry="5"/></g>\n</svg>\n'
)
CLIPPED = (
    f'<svg xmlns="http://www.w3.org/2000/svg" {SIZED}>\n<defs><clipPath id="c">'
    '<circle cx="30" cy="40" r="22"/><use href="#p" x="2"/></clipPath><path id="p" d="M55 10L95 40 55 70z"/>\n'
    '<mask id="m" maskUnits="userSpaceOnUse" x="0" y="0" width="100" height="80">'
    '<rect width="100" height="80" fill="white"/>'
    '<rect x="20" y="30" width="60" height="9" fill="black"/></mask></defs>\n<g clip-path="url(#c)"><rect x="10" '
    'y="12" width="84" height="50" rx="6" mask="url(#m)"/></g>\n<svg x="2" y="62" width="30" '
    'height="16" viewBox="0 0 10 10">'
    '<rect width="30" height="9"/></svg>\n</svg>\n'
)
STROKED = (
    f'<svg xmlns="http://www.w3.org/2000/svg" {SIZED}>\n<g fill="none" '
    'stroke="#000" stroke-width="4" stroke-linecap="round" stroke-linejoin="round">'
    '<path d="M10 40C20 5 60 5 70 40S90 70 92 60"/>\n'
    '<polyline points="10,60 25,50 25,70 40,62" stroke-linejoin="miter"/><rect x="60" y="50" width="16" height="18"/>'
    '<circle cx="20" cy="18" r="8" stroke-width="3"/>\n<path d="M50 70h0M84 10l8 8" stroke-linecap="square"/>'
    "</g>\n</svg>\n"
)
SVG_SEEDS = [(FOLDER / f"{name}.svg").read_text(encoding="utf-8") for name in
             ("fill_rules", "path_commands", "skewed", "styles", "clones", "fern")]  # fmt: skip
GEOMETRIES = {
    "type": "FeatureCollection",
    "features": [
        {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [
            [[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]], [[5, 5], [15, 5], [15, 12.5], [5, 5]]]}},
        {"type": "Feature", "properties": {}, "geometry": {"type": "MultiPolygon", "coordinates": [
            [[[50, 0], [70, 0], [60, 20.5], [50, 0]]], [[[50, 30], [60, 30], [60, 40], [50, 40], [50, 30]]]]}},
    ],
}  # fmt: skip
WKT = (
    "SRID=4326;GEOMETRYCOLLECTION (POLYGON ((0 0, 40 0, 40 30, 0 30, 0 0), (5 5, 15 5, 15 12.5, 5 5)), "
    "MULTIPOLYGON (((50 0, 70 0, 60 20.5, 50 0)), ((50 30, 60 30, 60 40, 50 40, 50 30))))\n"
)


@dataclass(frozen=True)
class Seed:
    """A drawing that is to be damaged, and what stands before and behind it and is not."""

    text: str
    head: str = ""
    tail: str = ""


def dxf_seed(version: str) -> Seed:
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    document = ezdxf.new(version, units=4)
    space = document.modelspace()
    for start, end in itertools.pairwise([(0, 0), (40, 0), (40.5, 30), (0, 30), (0, 0)]):
        space.add_line(start, end)
    space.add_circle((20, 15), 6)
    space.add_arc((60, 15), 10, 30, 210)
    space.add_line((60 + 10 * math.cos(math.pi / 6), 20), (60 - 10 * math.cos(math.pi / 6), 10))
    space.add_polyline2d([(80, 0, 0.5), (100, 0, 0), (100, 20, 0)], format="xyb", close=True)
    if version != "R12":
        space.add_lwpolyline([(0, 50), (30, 50), (30, 70)], close=True)
        space.add_ellipse((60, 60), (20, 0), 0.4)
    text = io.StringIO()
    document.write(text)
    head, begin, rest = text.getvalue().partition("  2\nENTITIES\n")
    body, end, tail = rest.partition("  0\nENDSEC\n")
    if version == "R12":
        head = "  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n  0\nSECTION\n"
    return Seed(begin + body + end, head, tail)


# --- damage ---------------------------------------------------------------------------------------------------------

NUMBERS = ("0", "-1", "1e9", "nan", "1,5", "0.5", "7 mm", "3.4.5", "", "-0", "1e-9", "100", "inf", "1_0")


def damaged(text: str, pick: random.Random) -> str:
    """The text after one to three accidents: a character, a stretch, a number or a line changed, lost or doubled."""
    for _ in range(pick.choice((1, 1, 1, 2, 3))):
        at = pick.randrange(len(text))
        to = min(len(text), at + pick.choice((1, 1, 2, 5, 20, 60)))
        other = pick.randrange(len(text))
        numbers = list(re.finditer(r"-?\d+\.?\d*", text))
        number = pick.choice(numbers) if numbers else None
        lines = text.split("\n")
        line = pick.randrange(len(lines))
        kind = pick.randrange(9)
        if kind == 0:
            text = text[:at] + text[to:]
        elif kind == 1:
            text = text[:at] + pick.choice("0123456789.,-eE MLCAZzhvl\"'<>/=#()&;:_\n") + text[at + 1 :]
        elif kind == 2:
            text = text[:at] + text[other : other + 12] + text[at:]
        elif kind in (3, 4) and number:
            text = text[: number.start()] + pick.choice(NUMBERS) + text[number.end() :]
        elif kind == 5 and number:
            moved = float(number[0]) * pick.choice((0.5, 2, -1, 1.01)) + pick.choice((0, 0, 1, -3))
            text = text[: number.start()] + f"{moved:g}" + text[number.end() :]
        elif kind == 6:
            del lines[line : line + pick.choice((1, 2, 2))]
            text = "\n".join(lines)
        elif kind == 7:
            lines.insert(pick.randrange(len(lines)), lines[line])
            text = "\n".join(lines)
        else:
            text = text[:to] if pick.random() < 0.3 else text[:at] + text[at:to].swapcase() + text[to:]
        if not text:
            return " "
    return text


# --- what others make of it -----------------------------------------------------------------------------------------


def rendered(text: str, choice: Choice) -> tuple[float, float] | None:
    """Painted area as a share of the page, and the length of a pixel as a share of its longer side."""
    try:
        with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=text, dpi=96))) as image:
            side = {"width": ACROSS} if image.size[0] >= image.size[1] else {"height": ACROSS}
        with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=text, dpi=96, **side))) as image:
            pixels = np.asarray(image.convert("RGBA")).astype(float)
    except (ValueError, OSError, MemoryError):
        return None
    share = pixels[:, :, 3] / 255
    if choice.colours:  # of the leaf: dark green, which neither veins nor gold come near
        share = share * (np.abs(pixels[:, :, :3] - (0x22, 0x88, 0x44)).sum(axis=2) < 60)
    return float(share.sum()), float(max(pixels.shape[:2]))


def svg_differs(text: str, read: OutlineFile, choice: Choice) -> str:
    # units and names in capitals are CSS's, not the renderer's; nor are sizes of a million metres, and strokes wider
    # than their curve's diameter get a hole there
    text = re.sub(r"(?<=\d)(?:MM|CM|IN|PT|PC|PX)\b", lambda unit: unit[0].lower(), text)
    text = text.replace("FILL:", "fill:")
    if "1e9" in text or any(float(width) > 20 for width in re.findall(r"stroke-width=\"(\d+\.?\d*)", text)):
        return NOT_SHOWN
    shown = rendered(re.sub(r'((?:fill-|stroke-)?opacity)\s*=\s*"[^"]*"', "", text), choice)
    if shown is None:
        return NOT_SHOWN
    from inlayfit.drawings.svg_drawing import read_svg_drawing

    drawing = read_svg_drawing(text.encode(), "strokes" if choice.take == "strokes" else "fills")
    if drawing.page_px is None:
        return NOT_SHOWN
    pixel = max(drawing.page_px) * 25.4 / 96 / shown[1]
    whole = shapely.MultiPolygon(read.polygons)
    off = abs(whole.area - shown[0] * pixel**2)
    if off > FINE * whole.area + 0.25 * pixel * whole.length + 4 * pixel**2:
        return f"area {whole.area:.4g} for {shown[0] * pixel**2:.4g} mm2 in pixels of {pixel:.3g} mm"
    return ""


def dxf_differs(text: str, read: OutlineFile, _: Choice) -> str:
    try:
        document = ezdxf.read(io.StringIO(text))
    except Exception:  # a damaged name or handle, say; numbers that it mends are refused before they come here
        document = ezdxf.recover.read(io.BytesIO(text.encode()))[0]
    lines = []
    for entity in ezdxf.disassemble.recursive_decompose(document.modelspace()):
        try:
            path = ezdxf.path.make_path(entity)
        except Exception:
            continue
        lines += [[(p.x, p.y) for p in one.flattening(0.002)] for one in path.sub_paths()]
    shapes = [shapely.LineString(line) for line in lines if len(line) > 1]
    area = shapely.build_area(shapely.union_all(shapely.set_precision(shapes, 1e-3))) if shapes else shapely.Point(0, 0)
    code = document.header.get("$INSUNITS", 0)
    mm = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}.get(code)
    if mm is None:
        return NOT_SHOWN
    own = sum(polygon.area for polygon in read.polygons)
    if abs(own - area.area * mm**2) > FINE * own:
        return f"area {own:.6g} for {area.area * mm**2:.6g} mm2"
    return ""


def shapely_differs(reader: Callable[[str], shapely.Geometry]) -> Callable[[str, OutlineFile, Choice], str]:
    def differs(text: str, read: OutlineFile, _: Choice) -> str:
        try:
            geometry = reader(text)
        except (shapely.errors.GEOSException, ValueError):
            return NOT_SHOWN
        own, other = sum(polygon.area for polygon in read.polygons), geometry.area
        if own and abs(own - other) > FINE * own:
            return f"area {own:.6g} for {other:.6g}"
        return ""

    return differs


@dataclass(frozen=True)
class Kind:
    seeds: list[Seed]
    name: str
    differs: Callable[[str, OutlineFile, Choice], str]
    choice: Choice = field(default_factory=Choice)


PAGE = Choice(clip_page=True)
KINDS = {
    "SVG": Kind([Seed(text) for text in SVG_SEEDS], "a.svg", svg_differs, PAGE),
    "SVG, colours chosen": Kind([Seed(LEAF)], "a.svg", svg_differs, Choice(clip_page=True, colours=("#284",))),
    "SVG, clips and masks": Kind([Seed(CLIPPED)], "a.svg", svg_differs, PAGE),
    "SVG, strokes": Kind([Seed(STROKED)], "a.svg", svg_differs, Choice(clip_page=True, take="strokes")),
    "DXF": Kind([dxf_seed("R12"), dxf_seed("R2000")], "a.dxf", dxf_differs),
    "GeoJSON": Kind([Seed(json.dumps(GEOMETRIES, indent=1))], "a.geojson", shapely_differs(shapely.from_geojson)),
    "well-known text": Kind(
        [Seed(WKT)], "a.wkt", shapely_differs(lambda text: shapely.from_wkt(text.partition(";")[2]))
    ),
}  # fmt: skip


@dataclass
class Outcome:
    counts: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest: float = 0.0


def tried(kind: Kind, count: int, seed: int) -> Outcome:
    found = Outcome()
    for number in range(count):
        pick = random.Random(f"{seed} {number}")
        source = pick.choice(kind.seeds)
        text = source.head + damaged(source.text, pick) + source.tail
        start = time.process_time()
        try:
            read = read_outline_file(
                text.encode("utf-8", "surrogatepass"), kind.name, size=Size(unit_mm=1.0), choice=kind.choice
            )
        except InputError as error:
            found.counts["refused"] += 1
            if len(error.lines()) != 1 or not error.lines()[0].strip():
                found.faults.append(f"{number}: not one line: {error}")
            continue
        except Exception as error:
            found.faults.append(f"{number}: {type(error).__name__}: {error}")
            continue
        finally:
            took = time.process_time() - start
            found.slowest = max(found.slowest, took)
            if took > SLOW:
                found.faults.append(f"{number}: took {took:.1f} s")
        # that a size rests on px, or how much was cut off at the page, is no difference from what is seen
        told = [note for note in read.notes if " px, " not in note and not note.startswith("cut off at the page")]
        if told:
            found.counts["read, with a note"] += 1
            continue
        words = kind.differs(text, read, kind.choice)
        found.counts["read, not by others" if words == NOT_SHOWN else "read, and compared"] += 1
        if words and words != NOT_SHOWN:
            found.faults.append(f"{number}: {words}")
    return found


@pytest.mark.parametrize("name", KINDS)
def test_some_mutants(name: str) -> None:
    found = tried(KINDS[name], 25, 7)
    assert found.faults == []
    assert found.counts["refused"] + found.counts["read, and compared"] > 10


@pytest.mark.wide
@pytest.mark.parametrize("name", KINDS)
def test_many_mutants(name: str) -> None:
    assert tried(KINDS[name], 2_000, 2).faults == []


def main() -> None:
    count, wanted = int(sys.argv[1]), sys.argv[2].casefold() if len(sys.argv) > 2 else ""
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    columns = ("kind", "tried", "refused", "read, with a note", "read, not by others", "read, and compared", "faults",
               "slowest, s")  # fmt: skip
    print(f"| {' | '.join(columns)} |", "| --- " * len(columns) + "|", sep="\n", flush=True)
    for name, kind in KINDS.items():
        if wanted in ("", name.casefold()):
            found = tried(kind, count, seed)
            counts = [found.counts[column] for column in columns[2:6]]
            row = (name, f"{count:,}", *(f"{value:,}" for value in counts), len(found.faults), f"{found.slowest:.1f}")
            print(f"| {' | '.join(map(str, row))} |", *found.faults, sep="\n", flush=True)


if __name__ == "__main__":
    main()
