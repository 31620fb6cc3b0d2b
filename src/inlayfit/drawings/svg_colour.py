"""Colours of SVG under one name each, so that they can be compared and chosen."""

from __future__ import annotations

import re
from functools import lru_cache

from inlayfit.drawings.svg_path import load_svgelements

_OPAQUE = re.compile(r"#[0-9a-f]{3}|#[0-9a-f]{6}|(rgb|hsl)\([^a-z/]+\)")


@lru_cache(maxsize=1000)
def plain_colour(text: str) -> str:
    """A colour as ``#rrggbb``; paint that is none, such as a gradient, comes back without spaces, in small letters.

    ``black``, ``#000`` and ``rgb(0, 0, 0)`` are one colour, ``#000000``.
    """
    written = "".join(text.lower().split())
    known = load_svgelements().Color
    if _OPAQUE.fullmatch(written) and written.count(",") in (0, 2):
        return str(known(written).hex)
    # the library takes a name it does not know for black
    if written.isalpha() and written not in ("none", "transparent"):
        found = known(written)
        if found.value is not None and (written == "black" or found.hex != "#000000"):
            return str(found.hex)
    return written
