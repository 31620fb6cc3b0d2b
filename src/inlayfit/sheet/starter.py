"""The starter sheet that ``inlayfit new`` prints: a job that plans, with a comment on every line to change."""

from __future__ import annotations

from string import Template
from typing import Final

from inlayfit.quantity import LengthUnit

_COMMENT_COLUMN: Final = 38
_VALUES: Final[dict[LengthUnit, dict[str, str]]] = {
    "in": {
        "unit": "in", "size": "[3, 2]", "hole": "1", "width": "4.5", "base": "3/4", "plug": "1/2", "floor": "1/8",
        "web": "1/16", "border": "1/4", "depth": "1/4", "glue": "0.02", "surface": "0.1", "level": "0.01",
        "tip": "0.004", "v_diameter": "1/4", "v_reach": "0.45", "v_load": "0.15",
        "diameter": "1/8", "reach": "3/4", "load": "0.1",
        "levelling": "1", "levelling_reach": "1.5", "levelling_load": "0.06", "touch": "0.002", "thick": "0.004",
    },
    "mm": {
        "unit": "mm", "size": "[76, 50]", "hole": "25", "width": "115", "base": "19", "plug": "12", "floor": "3",
        "web": "1.5", "border": "6", "depth": "6", "glue": "0.5", "surface": "2.5", "level": "0.25",
        "tip": "0.1", "v_diameter": "6", "v_reach": "11", "v_load": "4",
        "diameter": "3", "reach": "18", "load": "2.5",
        "levelling": "25", "levelling_reach": "35", "levelling_load": "1.5", "touch": "0.05", "thick": "0.1",
    },
}  # fmt: skip

_SHEET: Final = Template("""\
# Job sheet for inlayfit. Check it with: inlayfit plan THIS-FILE
# Bare numbers are in `unit`; any length may carry its own: 6 mm, 3/16 in, 1 1/2 in, 1/4", 5 thou.
title: Starter, a rectangle with a round hole
unit: $unit

# The inlaid shape as seen on the finished face. Instead of shapes, a drawing:
#   outline: {file: fern.svg, width: $width}
outline:
  shapes:
    - {rectangle: $size} # full width and height
    - {circle: $hole, hole: yes} # diameter; cuts instead of adds

base: # the board that gets the pocket
  wood: black walnut
  thickness: $base # required: measure it
  least_floor: $floor # least wood to leave under the pocket

plug: # the blank that the plug is cut from
  wood: sugar maple
  thickness: $plug # required: measure it
  border: $border # cleared band around the plug
  least_web: $web # least wood to leave behind the plug's own floor
  cut_out: yes # no: you saw it out

joint:
  pocket_depth: $depth # leave it out to have it derived from bits and stock
  glue_gap: $glue # plug's face to the pocket's floor
  surface_gap: $surface # base's face to the plug's own floor
  level_below: $level # how far below the original face the levelling cut goes
  sanding: $level # what sanding takes off after that

bits:
  v: # cuts the walls of both parts
    angle: 30 # required: included angle, flank to flank
    tip: $tip # full width of the flat at the tip; 0 for a true point
    diameter: $v_diameter # where the cone is widest
    reach: $v_reach # how deep it goes before holder or shank touches
    depth_of_cut: $v_load # most depth in a pass
    stepover: 2 % # of the diameter
  clearing: # leave it out and the V-bit clears; cuts the plug out as well
    diameter: $diameter
    reach: $reach
    depth_of_cut: $load
    stepover: 40 %
  levelling: # takes the plug's back off
    diameter: $levelling
    reach: $levelling_reach
    depth_of_cut: $levelling_load
    stepover: 50 %

touch_off: face # or bed: where each part's zero is taken

tolerance: # plus or minus
  touch_off: $touch # how well a bit is set to its zero
  thickness: $thick # how well the stock is measured

# Checked as well where it is given: width and height of the boards (blank: under base and plug), clamps in the way
# (hold_downs), where the wood will live, and the time that the cutting takes:
#   climate: {cutting: {moisture: 8 %}, use: {temperature: 21 C, humidity: 40 %}}
#   cutting: {v: {feed: 1500 mm/min}, clearing: {feed: 2000 mm/min}}
""")


def starter_sheet(unit: LengthUnit) -> str:
    """The annotated sheet with round figures of the unit, its comments in one column."""
    lines = _SHEET.substitute(_VALUES[unit]).splitlines()
    return "".join(f"{_aligned(line)}\n" for line in lines)


def _aligned(line: str) -> str:
    value, mark, comment = line.partition(" # ")
    return f"{value:<{_COMMENT_COLUMN}}# {comment}" if mark else line
