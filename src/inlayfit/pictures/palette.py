"""Colours and line styles.

Each wood also has its own hatching and each kind of line its own dashes, so that eyes that see fewer colours, and
prints in grey, tell them apart as well.
"""

from __future__ import annotations

from typing import Final

PAPER: Final = "#ffffff"
INK: Final = "#1f2933"
FAINT: Final = "#6b7780"

BASE_WOOD: Final = "#b9a68b"
BASE_GRAIN: Final = "#7d6a50"
PLUG_WOOD: Final = "#f3ead7"
PLUG_GRAIN: Final = "#a8916a"
GLUE: Final = "#2b7a94"
OPEN: Final = "#b3261e"
"""Where the joint gapes, or wood is in the way."""
LEVEL: Final = "#5b3a8c"

LEVEL_DASH: Final = "4 1 1 1"
START_DASH: Final = "1.6 1"
GLUE_GROUND: Final = "#dcebf0"

WALLS: Final = "#b8955a"
CLEARED: Final = "#f2f7f9"
CLEARED_MARK: Final = "#8fb0bc"
LEFT_TO_V: Final = "#fbe3ae"
LEFT_TO_V_MARK: Final = "#8a5a00"
V_BOTTOM: Final = "#4b2f63"
V_BOTTOM_MARK: Final = "#8d6fa6"

BOARD: Final = "#e6dccb"
SWEPT: Final = "#f7f7f5"
HELD: Final = "#4b5a66"
