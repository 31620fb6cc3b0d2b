"""Reads several hundred drawings of other packages than those kept here, and compares each with a renderer.

Run by hand: ``python tests/real_outlines/wide_corpus.py FOLDER`` prints the table of docs/validation.md and, below it,
what was refused and what differs. FOLDER gets the packages' archives, by ``npm pack`` and ``apt-get download``, where
they are not in it already.

A drawing is read as its sheet would have it read after the first refusal: strokes with their width where there are
any, all colours where some overlap, cut off at the page. The renderer (resvg) then shows the same: its pixels are
counted for area, bounds, regions and holes. Lines of DXF are put together by ezdxf's own paths and GEOS's even-odd
areas instead.
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
import tarfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
import ezdxf.disassemble
import ezdxf.path
import numpy as np
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.drawings.svg_drawing import read_svg_drawing
from inlayfit.errors import InputError

ACROSS, FINER = 700, 2400
"""Pixels of the longer side of a rendering, and of the one that is made where counts differ."""
HAND = 100.0
"""A drawing's longer side in mm: at this size what counts at the bench counts."""
GAP = 4

SOURCES: list[tuple[str, str, int]] = [
    ("npm @mapbox/maki@8.2.0", "icons/", 25),
    ("npm @rapideditor/temaki@5.13.0", "icons/", 25),
    ("npm weather-icons@1.3.2", "font/", 1),
    ("npm flag-icons@7.5.0", "flags/4x3/", 12),
    ("npm @twemoji/svg@15.0.0", "", 30),
    ("npm heroicons@2.2.0", "24/", 24),
    ("npm ionicons@8.1.0", "dist/svg/", 25),
    ("npm lucide-static@1.62.0", "icons/", 25),
    ("npm eva-icons@1.1.3", "fill/svg/", 20),
    ("npm iconoir@7.12.1", "icons/", 25),
    ("npm typicons.font@2.1.2", "src/svg/", 20),
    ("npm @mdi/svg@7.4.47", "svg/", 20),
    ("npm remixicon@4.9.1", "icons/", 20),
    ("npm @carbon/icons@11.89.0", "svg/32/", 20),
    ("npm css.gg@2.1.4", "icons/svg/", 20),
    ("npm boxicons@2.1.4", "svg/", 24),
    ("deb openclipart-svg", "usr/share/openclipart/svg/animals", 40),
    ("deb openclipart-svg", "usr/share/openclipart/svg/plants", 30),
    ("deb openclipart-svg", "usr/share/openclipart/svg/shapes", 20),
    ("deb tango-icon-theme", "usr/share/icons/Tango/scalable/", 25),
    ("deb openscad-testing-data", "usr/share/openscad/testdata/", 60),
    ("deb librecad-data", "usr/share/librecad/library/", 60),
]
"""Package, folder in it, and how many of its drawings, spread evenly over their names."""

TOLD = re.compile(r"fades out|a pattern|open line|1 filter|filters")
"""Notes that tell why the outline is not what is seen: colours that fade are filled here, open lines are no edges."""
LOGOS = re.compile(r"logo|brand", re.IGNORECASE)


def archive(folder: Path, source: str) -> tarfile.TarFile:
    kind, _, package = source.partition(" ")
    if kind == "npm":
        path = folder / (package.removeprefix("@").replace("/", "-").replace("@", "-") + ".tgz")
        if not path.exists():
            subprocess.run(["npm", "pack", "-s", package], cwd=folder, check=True)
        return tarfile.open(path)
    if not (found := sorted(folder.glob(f"{package}_*.deb"))):
        subprocess.run(["apt-get", "download", "-qq", package], cwd=folder, check=True)
        found = sorted(folder.glob(f"{package}_*.deb"))
    packed = subprocess.run(["dpkg-deb", "--fsys-tarfile", str(found[0])], check=True, capture_output=True).stdout
    return tarfile.open(fileobj=io.BytesIO(packed))


def drawings(folder: Path, source: str, inside: str, count: int) -> Iterator[tuple[str, bytes]]:
    with archive(folder, source) as packed:
        names = {}
        for name in packed.getnames():
            short = name.removeprefix("./").removeprefix("package/")
            if short.startswith(inside) and short.lower().endswith((".svg", ".dxf")) and not LOGOS.search(short):
                names[short] = name
        short = sorted(names)
        picked = dict.fromkeys(np.linspace(0, len(short) - 1, min(count, len(short))).astype(int).tolist())
        for number in picked:
            file = packed.extractfile(names[short[number]])
            if file is not None:
                yield short[number], file.read()


@dataclass
class Seen:
    """What a drawing shows: area, bounds (low x, low y, high x, high y), regions, holes; lengths in one unit."""

    area: float
    bounds: NDArray[np.float64]
    regions: int
    holes: int
    precision: float = 0.0
    """How far a bound may be off."""


@dataclass
class Tally:
    files: int = 0
    right: int = 0
    with_notes: int = 0
    refused: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    differ: list[str] = field(default_factory=list)
    finer: int = 0
    """Right once gaps and bridges finer than a pixel are closed or cut."""
    worst: float = 0.0
    slowest: float = 0.0


def plain(text: str) -> str:
    """The drawing without shades, words and pictures, which are no outlines; what is invisible stays so."""
    text = re.sub(r'((?:fill-|stroke-|stop-)?opacity)\s*=\s*"(?!0*\.?0*")[^"]*"', r'\1="1"', text)
    text = re.sub(r'((?:fill-|stroke-|stop-)?opacity)\s*:\s*(?!0*\.?0*\s*[;"}])[^;"}]*', r"\1:1", text)
    text = re.sub(r"<(/?)(?:svg:)?(text|image)\b", r"<\1desc", text)
    return re.sub(r'filter\s*[:=]\s*"?url\([^)]*\)"?', "", text)


def rendered(text: str, across: int) -> Seen | None:
    with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=text, dpi=96))) as image:
        wide, high = image.size
    side = {"width": across} if wide >= high else {"height": across}
    with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=text, dpi=96, **side))) as image:
        alpha = np.asarray(image.convert("RGBA"))[:, :, 3]
    shown = alpha > 127
    if not shown.any():
        return None
    pixel = HAND / max(alpha.shape)
    faint = alpha > 25  # a hairline's pixels are pale
    rows, columns = np.flatnonzero(faint.any(axis=1)), np.flatnonzero(faint.any(axis=0))
    high = alpha.shape[0]
    bounds = np.array([columns[0], high - 1 - rows[-1], columns[-1] + 1, high - rows[0]]) * pixel
    padded = np.pad(shown, 1)
    counts = pieces(padded, diagonal=False, least=GAP), pieces(~padded, diagonal=True, least=GAP) - 1
    return Seen(float(alpha.sum()) / 255 * pixel**2, bounds, *counts, precision=1.5 * pixel)


def pieces(shown: NDArray[np.bool_], *, diagonal: bool, least: int) -> int:
    """Connected pieces of a bitmap of at least so many pixels, by runs joined from row to row."""
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


def read_svg(data: bytes) -> tuple[OutlineFile, shapely.Geometry]:
    """A drawing at a hand's size, as its sheet would have it read after refusals; its area placed on the page too."""
    with Image.open(io.BytesIO(resvg_py.svg_to_bytes(svg_string=data.decode("utf-8-sig"), dpi=96))) as image:
        scale = HAND / (max(image.size) * 25.4 / 96)
    choice = Choice(clip_page=True)
    for _ in range(4):
        try:
            read = read_outline_file(data, "a.svg", size=Size(natural=True, scale=scale), choice=choice)
        except InputError as error:
            choice = next_choice(error, choice, data)
            continue
        if choice.take is None and any("stroke" in note or "no fill" in note for note in read.notes):
            choice = Choice(take="strokes", clip_page=choice.clip_page)
            continue
        return read, placed(read, data, scale, choice)
    read = read_outline_file(data, "a.svg", size=Size(natural=True, scale=scale), choice=choice)
    return read, placed(read, data, scale, choice)


def next_choice(error: InputError, choice: Choice, data: bytes) -> Choice:
    problem = str(error)
    if ("set outline.take to closed" in problem or "have no area" in problem) and choice.take is None:
        return Choice(take="strokes", clip_page=True)
    if "tells no page" in problem:
        return Choice(take=choice.take, colours=choice.colours)
    if "overlap" in problem or "as a page does" in problem:
        counted = "strokes" if choice.take == "strokes" else "fills"
        colours = tuple(dict.fromkeys(shape.colour for shape in read_svg_drawing(data, counted).shapes))
        return Choice(take=choice.take, colours=colours, clip_page=choice.clip_page)
    raise error


def placed(read: OutlineFile, data: bytes, scale: float, choice: Choice) -> shapely.Geometry:
    """The outline where it lies on the page, its lower left corner at (0, 0)."""
    from inlayfit.drawings.svg_outline import svg_polygons

    drawing = read_svg_drawing(data, "strokes" if choice.take == "strokes" else "fills")
    polygons, _ = svg_polygons(drawing, scale=scale, natural=True, choice=choice, flatness=0.005)
    high = 0.0 if drawing.page_px is None else drawing.page_px[1] * 25.4 / 96 * scale
    return shapely.transform(shapely.MultiPolygon(polygons), lambda points: points + (0.0, high))  # noqa: RUF005


def measured(area: shapely.Geometry) -> Seen:
    parts = shapely.get_parts(area)
    return Seen(area.area, shapely.total_bounds(area), len(parts), sum(len(part.interiors) for part in parts))


def read_dxf(data: bytes) -> tuple[OutlineFile, shapely.Geometry]:
    choice = Choice()
    for _ in range(3):
        try:
            read = read_outline_file(data, "a.dxf", size=Size(width=HAND), choice=choice)
            break
        except InputError as error:
            if "leave them out" in str(error):
                choice = Choice(take="closed", layers=choice.layers)
            elif "choose with outline.layer" in str(error) and not choice.layers:
                named = {entity.dxf.layer for entity in ezdxf.read(io.StringIO(data.decode("latin-1"))).modelspace()}
                choice = Choice(take=choice.take, layers=tuple(sorted(named)))
            else:
                raise
    return read, shapely.MultiPolygon(read.polygons)


def built(data: bytes) -> Seen | None:
    """The even-odd area of a DXF's lines, put together by ezdxf and GEOS; at a hand's size."""
    document = ezdxf.read(io.StringIO(data.decode("latin-1").replace("\r\n", "\n")))
    lines = []
    for entity in ezdxf.disassemble.recursive_decompose(document.modelspace()):
        try:
            paths = ezdxf.path.from_hatch(entity) if entity.dxftype() == "HATCH" else [ezdxf.path.make_path(entity)]
        except TypeError:
            continue
        for path in paths:
            lines += [[(p.x, p.y) for p in one.flattening(0.001)] for one in path.sub_paths()]
    shapes = [shapely.LineString(line) for line in lines if len(line) > 1]
    if not shapes:
        return None
    grid = float(np.ptp(shapely.total_bounds(shapes).reshape(2, 2), axis=0).max()) * 1e-5
    noded = shapely.union_all(shapely.set_precision(shapes, grid))
    area = shapely.build_area(noded)
    return None if area.is_empty else measured(area)


def scaled(seen: Seen) -> Seen:
    low_x, low_y, high_x, high_y = seen.bounds
    factor = HAND / max(high_x - low_x, high_y - low_y)
    bounds = (seen.bounds - [low_x, low_y, low_x, low_y]) * factor
    return Seen(seen.area * factor**2, bounds, seen.regions, seen.holes, 0.02)


def difference(ours: Seen, shown: Seen, edge: float) -> tuple[str, float]:
    """What differs, in words, and by how much the area does; ``edge`` is the length of the outline."""
    off = abs(ours.area - shown.area)
    words = []
    if off > max(0.005 * shown.area, 0.05 * shown.precision * edge):
        words.append(f"area {ours.area:.2f} for {shown.area:.2f} mm2")
    if (abs(ours.bounds - shown.bounds) > shown.precision).any():
        words.append(f"bounds off by {abs(ours.bounds - shown.bounds).max():.2f} mm")
    if (ours.regions, ours.holes) != (shown.regions, shown.holes):
        words.append(f"{ours.regions} regions {ours.holes} holes for {shown.regions} and {shown.holes}")
    return ", ".join(words), off / shown.area


def compared(name: str, data: bytes, tally: Tally) -> None:
    tally.files += 1
    start = time.process_time()
    is_dxf = name.lower().endswith(".dxf")
    try:
        read, area = read_dxf(data) if is_dxf else read_svg(data)
    except InputError as error:
        tally.refused.append(f"{name}: {error}")
        return
    except ValueError as error:  # the renderer's own
        tally.refused.append(f"{name}: not rendered: {error}")
        return
    finally:
        tally.slowest = max(tally.slowest, time.process_time() - start)
    if is_dxf:
        shown = built(data)
        ours, shown = scaled(measured(area)), None if shown is None else scaled(shown)
        words, off = ("nothing built", 1.0) if shown is None else difference(ours, shown, 0.0)
    else:
        text = plain(data.decode("utf-8-sig"))
        words, off = "not seen", 1.0
        for across in (ACROSS, FINER):
            shown = rendered(text, across)
            if shown is None:
                continue
            words, off = difference(measured(area), shown, area.length)
            if not words:
                break
        if words and shown is not None:  # gaps and bridges that no pixel shows
            pixel = shown.precision / 1.5
            coarse = measured(area.buffer(0.75 * pixel).buffer(-1.5 * pixel).buffer(0.75 * pixel))
            fine = measured(area)
            for counted in (measured(area.buffer(pixel / 2)), measured(area.buffer(-pixel / 2)), coarse):
                seen = Seen(fine.area, fine.bounds, counted.regions, counted.holes)
                if not difference(seen, shown, area.length)[0]:
                    words = ""
                    tally.finer += 1
                    break
    tally.worst = max(tally.worst, off if not words else 0.0)
    if words and any(TOLD.search(note) for note in read.notes):
        tally.told.append(f"{name}: {words}")
    elif words:
        tally.differ.append(f"{name}: {words}; notes: {'; '.join(read.notes) or 'none'}")
    else:
        tally.right += 1
        tally.with_notes += any(note.startswith("left out") for note in read.notes)


def main() -> None:
    folder = Path(sys.argv[1])
    rows: dict[str, Tally] = {}
    for source, inside, count in SOURCES:
        for name, data in drawings(folder, source, inside, count):
            kind = f"{source.partition(' ')[2]}, {name.rpartition('.')[2].upper()}"
            compared(name, data, rows.setdefault(kind, Tally()))
            print(f"{time.process_time():.1f} s  {kind}: {name}", file=sys.stderr, flush=True)
    columns = ("package, format", "files", "as the renderer shows", "of them with something left out and told",
               "refused with reason", "differ as the notes say", "differ", "area differs by at most")  # fmt: skip
    print(f"| {' | '.join(columns)} |", "| --- " * len(columns) + "|", sep="\n")
    for kind, row in rows.items():
        counts = (row.files, row.right, row.with_notes, len(row.refused), len(row.told), len(row.differ))
        print(f"| {kind} | {' | '.join(map(str, counts))} | {row.worst:.2%} |")
    whole = [sum(getattr(row, name) for row in rows.values()) for name in ("files", "right", "with_notes")]
    print(whole, *(sum(len(getattr(row, name)) for row in rows.values()) for name in ("refused", "told", "differ")))
    for title in ("refused", "told", "differ"):
        print(f"\n{title}:")
        for kind, row in rows.items():
            for line in getattr(row, title):
                print(f"  {kind}: {line[:400]}")
    print("finer than a pixel:", sum(row.finer for row in rows.values()))
    print("slowest, s:", max(row.slowest for row in rows.values()))


if __name__ == "__main__":
    main()
