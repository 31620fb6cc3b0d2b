"""The lines of a DXF drawing by layer, and what had to be left out of it.

The format is read by ezdxf, an optional requirement that is imported only when a DXF is read. It sets a unit where
the file names none, and keeps the block's layer for what an insert shows; both are dealt with here.
"""

from __future__ import annotations

import importlib
import io
import logging
import math
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from inlayfit.drawings.dxf_curves import is_full_turn
from inlayfit.drawings.dxf_values import cut_short, has_ended, holds_underscores, refuse_broken_values
from inlayfit.errors import InputError

MAX_ENTITIES = 200_000
MAX_REPEATED = 20_000  # what inserts show, each time counted; it takes longer than what stands by itself
MAX_NESTING = 20

# $INSUNITS; what is not in it (0, or none at all) is no unit
MM_PER_UNIT = {
    1: 25.4, 2: 304.8, 3: 1_609_344.0, 4: 1.0, 5: 10.0, 6: 1000.0, 7: 1e6, 8: 25.4e-6, 9: 0.0254, 10: 914.4,
    11: 1e-7, 12: 1e-6, 13: 1e-3, 14: 100.0, 15: 10_000.0, 16: 100_000.0,
    # of the US survey: foot, inch, yard and mile; a metre is 39.37 of its inches
    21: 12_000 / 39.37, 22: 1000 / 39.37, 23: 36_000 / 39.37, 24: 63_360_000 / 39.37,
}  # fmt: skip

_DRAWN = frozenset(
    {"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE", "HATCH", "MPOLYGON", "SOLID", "TRACE"}
)
# what the recovering reader mends beside the lines: names, looks, links, tables; and numbers, which are looked at first
_OF_NO_CONSEQUENCE = frozenset(
    {
        1, 2, 3, 4, 9, 10, 12, 13, 14, 15, 17, 18, 100, 101, 102, 105, 106, 107, 109, 110, 111, 112, 113, 114, 115, 116,
        117, 118, 119, 201, 202, 203, 204, 205, 206, 207, 213, 214, 216, 222, 223, 224, 227,
    }
)  # fmt: skip
_BINARY = b" Binary DXF\r\n\x1a\x00"


@dataclass(frozen=True)
class DxfShape:
    """One drawn entity where it is to be seen: its layer, and the entity in world coordinates."""

    layer: str
    entity: Any

    @property
    def label(self) -> str:
        """How a message names it."""
        return f"{self.entity.dxftype()} on layer {self.layer}"


@dataclass(frozen=True)
class DxfDrawing:
    """What the model space of a DXF file draws; ``unit_mm`` is None where the file names no unit."""

    shapes: tuple[DxfShape, ...]
    unit_mm: float | None
    notes: tuple[str, ...]


def load_ezdxf(doing: str = "reading") -> Any:
    """The optional requirement for DXF; raises ``InputError`` that says how to install it for what is being done."""
    try:
        return importlib.import_module("ezdxf")
    except ImportError:
        raise InputError(
            f"{doing} DXF needs the package ezdxf: python -m pip install ezdxf"
        ) from None


def read_dxf_drawing(data: bytes, layers: tuple[str, ...] = ()) -> DxfDrawing:
    """Read the bytes of a DXF file, text or binary, of any version.

    ``layers`` are those to take, all that are shown if empty. Raises ``InputError`` for what is no DXF, for a
    layer that is not there, where nothing is drawn, and above the limits.
    """
    document = _document(data)
    walk = _Walk(document, _layer_names(document, layers))
    _round_full_turns(document)
    try:
        for entity in document.modelspace():
            walk.entity(entity, _layer_of(entity), 0)
    except InputError:
        raise
    except RecursionError:
        raise InputError("blocks nested without end: explode them in the drawing program") from None
    except Exception as error:  # whatever a broken file makes the library stumble over
        raise InputError(f"a broken entity: {_short(error)}: save the drawing again") from None
    walk.refuse_unknown_layers()
    if not walk.shapes:
        raise InputError(walk.nothing_drawn())
    code = document.header.get("$INSUNITS", 0) if b"$INSUNITS" in data else 0
    return DxfDrawing(tuple(walk.shapes), MM_PER_UNIT.get(code), tuple(walk.notes()))


def _document(data: bytes) -> Any:
    ezdxf = load_ezdxf()
    recover = importlib.import_module("ezdxf.recover")
    tagger = importlib.import_module("ezdxf.lldxf.tagger")
    info = importlib.import_module("ezdxf.filemanagement")
    # what it warns of goes nowhere: a mistake that matters is an exception
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    if data[:2] in (b"AC", b"PK") or data[:4] == b"\x89PNG":
        raise InputError("not DXF but another format: export DXF from the drawing program")
    try:
        if _BINARY in data[:32]:
            if not has_ended(data):
                raise cut_short(f"after {len(data):,} bytes")
            return ezdxf.document.Drawing.load(tagger.binary_tags_loader(data))
        if b"\x00" in data[:4096] or b"SECTION" not in data:
            raise InputError("not DXF: no sections in the file")
        try:
            encoding = info.dxf_stream_info(io.StringIO(data.decode("latin-1"))).encoding
        except Exception:  # a header that is broken is told of below
            encoding = "cp1252"
        text = data.decode(encoding, errors="surrogateescape")
        if not has_ended(data) or holds_underscores(text):
            refuse_broken_values(text)
        try:
            return ezdxf.read(io.StringIO(text.replace("\r\n", "\n")))
        except Exception:
            refuse_broken_values(text)
        document, audit = recover.read(io.BytesIO(data))
        _refuse_mended(audit, text)
        return document
    except InputError:
        raise
    except (Exception, RecursionError) as error:
        raise InputError(f"not DXF, or broken: {_short(error)}: save it again in the drawing program") from None


def _refuse_mended(audit: Any, text: str) -> None:
    """Refuse what the recovering reader had to change in what is drawn, or took out of it."""
    for entry in (*audit.errors, *audit.fixes):
        if entry.code not in _OF_NO_CONSEQUENCE:
            found = re.search(r"#([0-9A-Fa-f]+)", entry.message)
            place = re.search(rf"^\s*5\s*\n\s*{found[1]}\s*$", text, re.MULTILINE) if found else None
            line = f"line {text.count(chr(10), 0, place.end()) + 1}: " if place else ""
            raise InputError(f"{line}{_short(entry.message)}: repair it, or export the drawing again")


def _layer_names(document: Any, wanted: tuple[str, ...]) -> tuple[str, ...]:
    """The layers asked for; a name that is none may be several with commas between, as messages write them."""
    known = {str(layer.dxf.name).casefold() for layer in document.layers}
    known |= {_layer_of(entity).casefold() for entity in document.modelspace()}
    found: list[str] = []
    for name in wanted:
        parts = [part.strip() for part in name.split(",")]
        found += [name] if name.casefold() in known or not all(parts) else parts
    return tuple(dict.fromkeys(found))


def _layer_of(entity: Any) -> str:
    """An entity's layer; the library keeps none for a kind that it does not know."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _round_full_turns(document: Any) -> None:
    """Give arcs and ellipses that miss a full turn by digits only a full one, since inserts make specks of them."""
    for entity in document.entitydb.values():
        kind, dxf = entity.dxftype(), entity.dxf
        if kind == "ELLIPSE" and is_full_turn(dxf.start_param, dxf.end_param):
            dxf.start_param, dxf.end_param = 0.0, math.tau
        elif kind == "ARC" and is_full_turn(math.radians(dxf.start_angle), math.radians(dxf.end_angle)):
            dxf.start_angle, dxf.end_angle = 0.0, 360.0


def _short(error: BaseException | str) -> str:
    words = " ".join(str(error).split()) or type(error).__name__
    return words if len(words) <= 80 else words[:77] + "..."


@dataclass
class _Walk:
    """Goes through a drawing as it is shown: inserts worked in, hidden layers left out."""

    document: Any
    wanted: tuple[str, ...]
    shapes: list[DxfShape] = field(default_factory=list)
    count: int = 0
    repeated: int = 0
    left_out: Counter[str] = field(default_factory=Counter)
    hidden: Counter[str] = field(default_factory=Counter)
    not_plotted: Counter[str] = field(default_factory=Counter)
    not_wanted: Counter[str] = field(default_factory=Counter)

    def entity(self, entity: Any, outer_layer: str, depth: int) -> None:
        """Take in an entity; ``outer_layer`` is that of the outermost insert, or its own outside of one."""
        kind = entity.dxftype()
        self.count += 1
        self.repeated += depth > 0
        for count, most in ((self.count, MAX_ENTITIES), (self.repeated, MAX_REPEATED)):
            if count > most:
                raise InputError(f"over {most:,} entities {'in blocks ' * (depth > 0)}are drawn: simplify the drawing")
        if entity.dxf.is_supported("invisible") and entity.dxf.get("invisible", 0):
            self.left_out["invisible entity"] += 1
            return
        own = _layer_of(entity)
        # what stands on layer 0 of a block goes with the insert
        layer = outer_layer if own == "0" else own
        if kind == "INSERT":
            self._insert(entity, outer_layer, depth)
        elif kind == "MLINE":
            for part in entity.virtual_entities():
                self.entity(part, outer_layer, depth + 1)
        elif kind not in _DRAWN:
            if self._is_taken(layer, outer_layer, self.left_out.keys()):
                self.left_out[kind] += 1
        elif self._is_taken(layer, outer_layer, None):
            self.shapes.append(DxfShape(layer, entity))

    def _is_taken(self, layer: str, outer_layer: str, beside: Any) -> bool:
        """Whether a layer is shown and wanted; what is not is counted, unless it is no shape (``beside``)."""
        wanted = {name.casefold() for name in self.wanted}
        if wanted and layer.casefold() in wanted:
            return True
        settings = [self._layer(name) for name in dict.fromkeys((layer, outer_layer))]
        if any(found is not None and (found.is_off() or found.is_frozen()) for found in settings):
            counted = self.hidden
        elif any(found is not None and found.dxf.get("plot", 1) == 0 for found in settings):
            counted = self.not_plotted
        elif wanted:
            counted = self.not_wanted
        else:
            return True
        if beside is None:
            counted[layer] += 1
        return False

    def _layer(self, name: str) -> Any:
        layers = self.document.layers
        return layers.get(name) if layers.has_entry(name) else None

    def _insert(self, insert: Any, outer_layer: str, depth: int) -> None:
        if depth >= MAX_NESTING:
            raise InputError(f"blocks nested over {MAX_NESTING} deep: explode them in the drawing program")
        if insert.mcount > MAX_REPEATED:
            raise InputError(f"over {MAX_REPEATED:,} entities in blocks are drawn: simplify the drawing")
        name = str(insert.dxf.get("name", ""))
        block = insert.block()
        if block is None or block.block.is_xref:
            self.left_out[f"insert of {name or 'a block'}, which is not in the file"] += 1
            return
        clip = importlib.import_module("ezdxf.xclip").XClip(insert)
        if clip.has_clipping_path and clip.is_clipping_enabled:
            raise InputError(f"the insert of block {name} is clipped: explode it and trim its lines")
        if insert.mcount > 1:
            for one in insert.multi_insert():
                self._insert(one, outer_layer, depth)
            return

        def skipped(entity: Any, reason: str) -> None:
            if entity.dxftype() in _DRAWN:
                raise InputError(f"{entity.dxftype()} in block {name} is not read ({reason}): explode the block")
            self.left_out[entity.dxftype()] += 1

        for attribute in insert.attribs:
            self.left_out[attribute.dxftype()] += 1
        for part in insert.virtual_entities(skipped_entity_callback=skipped):
            self.entity(part, outer_layer, depth + 1)

    def refuse_unknown_layers(self) -> None:
        """Every layer asked for must hold something."""
        there = sorted({shape.layer for shape in self.shapes} | self.hidden.keys() | self.not_plotted.keys()
                       | self.not_wanted.keys())  # fmt: skip
        folded = {name.casefold() for name in there}
        for name in self.wanted:
            if name.casefold() not in folded:
                found = ", ".join(there) or "none"
                raise InputError(f"nothing is drawn on a layer {name}: layers with lines: {found}",
                                 where=("outline", "layer"))  # fmt: skip

    def nothing_drawn(self) -> str:
        """Why there is no shape."""
        if self.hidden or self.not_plotted:
            names = ", ".join(sorted({**self.hidden, **self.not_plotted}))
            return f"everything is on layers that are hidden or do not plot ({names}): name them in outline.layer"
        if self.left_out:
            return f"no lines in the drawing, only {_counted(self.left_out)}"
        if any(len(layout) for layout in self.document.layouts if layout.name != "Model"):
            return "nothing in the model space, only on layout pages: move the outline to the model space"
        return "the drawing is empty"

    def notes(self) -> list[str]:
        """Lines on what was left out."""
        found = []
        if self.left_out:
            texts = " (convert text to lines)" if self.left_out.keys() & {"TEXT", "MTEXT", "ATTRIB"} else ""
            found.append(f"left out {_counted(self.left_out)}{texts}")
        if self.hidden:
            found.append(f"left out what is on hidden layers: {', '.join(sorted(self.hidden))}")
        if self.not_plotted:
            found.append(f"left out what is on layers that do not plot: {', '.join(sorted(self.not_plotted))}")
        if self.not_wanted:
            found.append(f"left out what is on other layers: {', '.join(sorted(self.not_wanted))}")
        return found


def _counted(kinds: Counter[str]) -> str:
    return ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
