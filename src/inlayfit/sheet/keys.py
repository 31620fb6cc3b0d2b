"""The one table of the job sheet's keys.

The sheet reader, the JSON Schema and the page on the job sheet are all made from :data:`SHEET`.
"""

from __future__ import annotations

from typing import Any, Final

from inlayfit.checks.registry import CHECKS
from inlayfit.joint.limits import Limit
from inlayfit.sheet.keytypes import Either, Key, Listing, Numbered, Pair, Scalar, Section
from inlayfit.sheet.tolerance_keys import TOLERANCE

LENGTH: Final = Scalar(kind="length")
POSITIVE: Final = Scalar(kind="length", above=0, most=10_000)
NOT_NEGATIVE: Final = Scalar(kind="length", least=0, most=1_000)
PLACE: Final = Pair(item=Scalar(kind="length", least=-10_000, most=10_000))
SIZE: Final = Pair(item=POSITIVE)
TURN: Final = Scalar(kind="angle", least=-360, most=360)
TEXT: Final = Scalar(kind="text")
YES_NO: Final = Scalar(kind="yes or no")
SHARE: Final = Scalar(kind="share", above=0, most=1)
# thinner than a veneer or thicker than a beam is a slip of the unit
THICKNESS: Final = Scalar(kind="length", least=1, most=500)
CUTTER_DIAMETER: Final = Scalar(kind="length", least=0.1, most=150)
DATUM: Final = Scalar(kind="choice", choices=("centre", "lower left", "lower right", "upper left", "upper right"))
STEPOVER: Final = Scalar(kind="length or share", above=0)

SHAPES: Final = Section(
    keys={
        "rectangle": Key(type=SIZE, help="Width and height."),
        "circle": Key(type=POSITIVE, help="Diameter."),
        "ellipse": Key(type=SIZE, help="Full width and full height."),
        "polygon": Key(
            type=Listing(item=PLACE, least=3, most=30_000), help="Corner points in order; they stand as they are."
        ),
        "regular": Key(
            type=Section(
                keys={
                    "sides": Key(type=Scalar(kind="count", least=3, most=360), help="How many sides.", required=True),
                    "across_corners": Key(type=POSITIVE, help="Diameter of the circle through the corners."),
                    "across_flats": Key(type=POSITIVE, help="Diameter of the circle that touches the sides."),
                },
                just_one_of=("across_corners", "across_flats"),
            ),
            help="Regular polygon, one corner up.",
        ),
        "star": Key(
            type=Section(
                keys={
                    "points": Key(type=Scalar(kind="count", least=3, most=360), help="How many points.", required=True),
                    "across": Key(type=POSITIVE, help="Diameter of the circle through the points.", required=True),
                    "inner": Key(
                        type=POSITIVE, help="Diameter of the circle through the inner corners.", required=True
                    ),
                }
            ),
            help="Star, one point up.",
        ),
        "at": Key(type=PLACE, help="Where its middle lies (a polygon: how far it is shifted).", default="0, 0"),
        "turn": Key(type=TURN, help="Turned by this, anticlockwise.", default="0"),
        "hole": Key(type=YES_NO, help="Cuts instead of adds.", default="no"),
    },
    just_one_of=("rectangle", "circle", "ellipse", "polygon", "regular", "star"),
)

OUTLINE: Final = Section(
    keys={
        "file": Key(type=TEXT, help="Drawing, relative to the sheet: svg, dxf, geojson or wkt."),
        "shapes": Key(type=Listing(item=SHAPES, most=1_000), help="Shapes that add or cut in the order listed."),
        "pocket": Key(type=TEXT, help="Drawing of the pocket, where the plug has one of its own; in place of file."),
        "plug": Key(type=TEXT, help="Drawing of the plug, mirrored; it is compared with the pocket's."),
        "width": Key(type=POSITIVE, help="Scale the outline so that it is this wide."),
        "height": Key(type=POSITIVE, help="Scale the outline so that it is this high."),
        "scale": Key(type=Scalar(kind="number", above=0, most=100_000), help="Scale the outline by this.", default="1"),
        "unit": Key(
            type=Scalar(kind="choice", choices=("in", "mm")),
            help="Unit of a drawing that names none; a DXF needs it, or a width or height.",
            default="the sheet's unit (wkt, geojson)",
        ),
        "layer": Key(
            type=Either(options=(TEXT, Listing(item=TEXT, most=1_000))),
            help="Layers to take from a DXF, read as one drawing.",
            default="all that are shown",
        ),
        "take": Key(
            type=Scalar(kind="choice", choices=("filled", "closed", "strokes", "all")),
            help="What counts: fills; what closed lines enclose; of an SVG strokes with their width; all fills as one.",
            default="filled",
        ),
        "page": Key(
            type=Scalar(kind="choice", choices=("whole", "clip")),
            help="What to do with what lies off the page of an SVG: take it, or cut it off.",
            default="whole",
        ),
        "join": Key(
            type=Scalar(kind="length", above=0, most=0.508),
            help="Ends of lines no further apart than this are joined.",
            default="0.005 mm",
        ),
        "colours": Key(
            type=Either(options=(TEXT, Listing(item=TEXT, most=100))),
            help="Fill colours to take from an SVG; others that lie over them cut.",
            default="all",
        ),
        "at": Key(
            type=PLACE, help="Where the outline's middle lies, from the base's datum.", default="the blank's middle"
        ),
        "turn": Key(type=TURN, help="Turned by this on base and plug blank, anticlockwise.", default="0"),
    },
    just_one_of=("file", "shapes", "pocket"),
    at_most_one_of=("width", "height", "scale"),
)

GRAIN: Final = Section(
    keys={
        "face": Key(
            type=Scalar(kind="choice", choices=("long", "end")),
            help="Which grain the face shows.",
            default="long",
        ),
        "direction": Key(
            type=TURN,
            help="Direction of the grain on the board as seen on the finished face; of end grain, of its rings.",
            default="0 deg",
        ),
    }
)
CRUSH_STRENGTH: Final = Key(
    type=Scalar(kind="pressure", above=0, most=200),
    help="Strength of the wood across the grain, where the table lacks it.",
)
_COEFFICIENT: Final = Scalar(kind="number", above=0, most=0.02)
MOVEMENT: Final = Key(
    type=Section(
        keys={
            "radial": Key(type=_COEFFICIENT, help="Square to the growth rings.", required=True),
            "tangential": Key(type=_COEFFICIENT, help="Along the growth rings.", required=True),
        }
    ),
    help="Change of a size for 1 % of moisture content, as a fraction of it, where the table lacks it.",
)
SPECIFIC_GRAVITY: Final = Key(
    type=Scalar(kind="number", least=0.05, most=1.5), help="Of the wood at 12 % moisture, where the table lacks it."
)

BASE: Final = Section(
    keys={
        "wood": Key(type=TEXT, help="Name of the wood."),
        "thickness": Key(type=THICKNESS, help="Thickness of the board.", required=True),
        "blank": Key(type=SIZE, help="Width and height of the board."),
        "least_floor": Key(
            type=NOT_NEGATIVE, help="Least wood left under the pocket.", default="3 mm, or 1/8 in in an inch sheet"
        ),
        "grain": Key(type=GRAIN, help="How the grain runs."),
        "crush_strength": CRUSH_STRENGTH,
        "movement": MOVEMENT,
        "specific_gravity": SPECIFIC_GRAVITY,
    }
)
PLUG: Final = Section(
    keys={
        "wood": Key(type=TEXT, help="Name of the wood."),
        "thickness": Key(type=THICKNESS, help="Thickness of the plug's blank.", required=True),
        "blank": Key(type=SIZE, help="Width and height of the blank."),
        "at": Key(
            type=PLACE, help="Where the plug's middle lies on its blank, from the datum.", default="the blank's middle"
        ),
        "border": Key(
            type=POSITIVE,
            help="Width of the cleared band around the plug.",
            default="6 mm, or 1/4 in in an inch sheet",
        ),
        "least_web": Key(
            type=NOT_NEGATIVE,
            help="Least wood left behind the plug's own floor.",
            default="1.5 mm, or 1/16 in in an inch sheet",
        ),
        "cut_out": Key(type=YES_NO, help="Whether the router cuts the plug out of its blank.", default="yes"),
        "through": Key(type=NOT_NEGATIVE, help="How far past the blank the cut-out goes.", default="0.2 mm"),
        "grain": Key(type=GRAIN, help="How the grain runs."),
        "crush_strength": CRUSH_STRENGTH,
        "movement": MOVEMENT,
        "specific_gravity": SPECIFIC_GRAVITY,
    }
)
JOINT: Final = Section(
    keys={
        "pocket_depth": Key(
            type=Scalar(kind="length", above=0, most=500),
            help="Depth of the pocket, from the base's face to its floor.",
            default="the deepest that stock and bits allow, up to 1/4 in",
        ),
        "glue_gap": Key(
            type=NOT_NEGATIVE,
            help="Gap between the pocket's floor and the plug's face.",
            default="0.5 mm, or 0.02 in in an inch sheet",
        ),
        "surface_gap": Key(
            type=NOT_NEGATIVE,
            help="Gap between the base's face and the plug's own floor: how deep the plug is cut below its start.",
            default="2.5 mm, or 0.1 in in an inch sheet",
        ),
        "level_below": Key(
            type=NOT_NEGATIVE,
            help="How far below the original face the levelling cut goes.",
            default="0.25 mm, or 0.01 in in an inch sheet",
        ),
        "sanding": Key(
            type=NOT_NEGATIVE,
            help="What sanding takes off later.",
            default="0.25 mm, or 0.01 in in an inch sheet",
        ),
        "wall_allowance": Key(type=NOT_NEGATIVE, help="Wood the clearing bit leaves for the V-bit.", default="0"),
        "hand_force": Key(
            type=Scalar(kind="force", above=0, most=5_000), help="How hard a hand presses.", default="100 N"
        ),
        "clamp_pressure": Key(
            type=Scalar(kind="pressure", above=0, most=20),
            help="Clamping pressure on the outline's area.",
            default="0.7 MPa",
        ),
        "clamp_force": Key(
            type=Scalar(kind="force", above=0, most=1e6), help="Clamping force, in place of a pressure."
        ),
        "clamp_force_each": Key(
            type=Scalar(kind="force", above=0, most=100_000),
            help="What one clamp presses with; an ordinary bar clamp about the default.",
            default="1000 N",
        ),
    },
    at_most_one_of=("clamp_pressure", "clamp_force"),
)

V_ANGLE: Final = Scalar(kind="angle", least=5, most=150)
TIP: Final = Scalar(kind="length", least=0, most=25)
HELD: Final = {
    "shank": Key(type=CUTTER_DIAMETER, help="Diameter of the shank, which begins at the reach."),
    "stick_out": Key(type=POSITIVE, help="From the tip to the collet.", default="the reach"),
}
V_BIT: Final = Section(
    keys={
        "name": Key(type=TEXT, help="What the shop calls it.", default="its angle: 30 deg V-bit"),
        "angle": Key(type=V_ANGLE, help="Included angle, from flank to flank.", required=True),
        "tip": Key(type=TIP, help="Full width of the flat tip.", default="0, a true point"),
        "ball": Key(type=TIP, help="Radius of a ball tip, in place of a flat."),
        "diameter": Key(
            type=CUTTER_DIAMETER, help="Largest diameter of the cone.", default="6 mm, or 1/4 in in an inch sheet"
        ),
        "reach": Key(type=POSITIVE, help="How deep it can go before holder or shank touches."),
        "depth_of_cut": Key(type=POSITIVE, help="Most depth to take in a pass.", default="half the diameter"),
        "stepover": Key(
            type=STEPOVER, help="Step between side by side passes; a share is of the diameter.", default="2 %"
        ),
        "measured": Key(
            type=Section(
                keys={
                    "angle": Key(type=V_ANGLE, help="Included angle as measured.", default="as declared"),
                    "tip": Key(type=TIP, help="Width of the flat as measured.", default="as declared"),
                    "ball": Key(type=TIP, help="Ball radius as measured.", default="as declared"),
                },
                at_most_one_of=("tip", "ball"),
            ),
            help="The real bit, where it differs from what is programmed.",
        ),
        **HELD,
    },
    at_most_one_of=("tip", "ball"),
)
STRAIGHT_BIT: Final = Section(
    keys={
        "name": Key(type=TEXT, help="What the shop calls it.", default="its diameter: 3 mm bit"),
        "diameter": Key(type=CUTTER_DIAMETER, help="Cutting diameter.", required=True),
        "corner": Key(type=NOT_NEGATIVE, help="Radius of its corners.", default="0, sharp"),
        "reach": Key(type=POSITIVE, help="How deep it can go before holder or shank touches."),
        "depth_of_cut": Key(type=POSITIVE, help="Most depth to take in a pass.", default="half the diameter"),
        "stepover": Key(
            type=STEPOVER, help="Step between side by side passes; a share is of the diameter.", default="40 %"
        ),
        **HELD,
    }
)
BITS: Final = Section(
    keys={
        "v": Key(type=V_BIT, help="The V-bit that cuts both walls."),
        "pocket_v": Key(type=V_BIT, help="The V-bit of the pocket, where the plug has another."),
        "plug_v": Key(type=V_BIT, help="The V-bit of the plug, where the pocket has another."),
        "clearing": Key(
            type=Either(options=(STRAIGHT_BIT, Listing(item=STRAIGHT_BIT, most=20))),
            help="Bit or bits that clear the floors.",
            default="none: the V-bit clears",
        ),
        "cut_out": Key(type=STRAIGHT_BIT, help="Bit that cuts the plug out.", default="the largest clearing bit"),
        "levelling": Key(
            type=STRAIGHT_BIT, help="Bit that takes the plug's back off.", default="the largest clearing bit"
        ),
        "collet": Key(type=CUTTER_DIAMETER, help="Diameter of the spindle's collet nut."),
    }
)

HOLD_DOWN: Final = Section(
    keys={
        "part": Key(
            type=Scalar(kind="choice", choices=("base", "plug", "level")),
            help="Which set-up it stands in.",
            required=True,
        ),
        "rectangle": Key(type=SIZE, help="Width and height."),
        "circle": Key(type=POSITIVE, help="Diameter."),
        "polygon": Key(type=Listing(item=PLACE, least=3), help="Corner points."),
        "at": Key(type=PLACE, help="Where its middle lies (a polygon: its zero), from the datum.", default="0, 0"),
        "turn": Key(type=TURN, help="Turned by this, anticlockwise.", default="0"),
        "height": Key(
            type=Scalar(kind="length", least=-500, most=1_000),
            help="How far it stands up above the part's face; below 0 where it stays under it.",
            required=True,
        ),
    },
    just_one_of=("rectangle", "circle", "polygon"),
)

LEVEL: Final = Section(
    keys={
        "over": Key(
            type=Scalar(kind="choice", choices=("plug", "board")),
            help="What the levelling passes above the base's face run over; those into it run over the board.",
            default="plug",
        ),
        "saw_to": Key(
            type=NOT_NEGATIVE, help="Height above the base's face that a saw leaves of the plug before levelling."
        ),
    }
)

AIR: Final = Section(
    keys={
        "moisture": Key(
            type=Scalar(kind="share", least=0, most=0.3), help="Moisture content of the wood; counts before the air."
        ),
        "temperature": Key(
            type=Scalar(kind="temperature", least=-30, most=100),
            help="Temperature of the air, together with its humidity.",
        ),
        "humidity": Key(type=Scalar(kind="share", least=0, most=1), help="Relative humidity of the air."),
    }
)
CLIMATE: Final = Section(
    keys={
        "cutting": Key(type=AIR, help="Where it is cut and glued."),
        "use": Key(type=AIR, help="Where it will live."),
    }
)


def _limit(limit: Limit[Any]) -> Key:
    if limit.kind == "share":
        return Key(type=SHARE, help=limit.help, default=f"{limit.default * 100:g} %")
    if isinstance(limit.default, tuple):
        least, most = limit.default
        return Key(type=Either(options=(_GAP, Pair(item=_GAP))), help=limit.help, default=f"[{least:g}, {most:g}] mm")
    like = limit.like
    default = f"{limit.default:g} mm" if like is None else f"the {like.key.replace('_', '-')} limit"
    return Key(type=_GAP, help=limit.help, default=default)


_GAP: Final = Scalar(kind="length", least=0, most=100)
LIMITS: Final = Section(keys={limit.key: _limit(limit) for check in CHECKS for limit in check.limits})

READINGS: Final = Listing(item=Scalar(kind="length", least=-100, most=500), most=100)
DRY_FIT: Final = Section(
    keys={
        "gaps": Key(type=READINGS, help="Readings of the surface gap."),
        "above": Key(type=READINGS, help="Readings from the plug's back down to the base's face."),
        "over": Key(type=READINGS, help="Readings over both boards."),
        "held": Key(
            type=Scalar(kind="choice", choices=("base", "plug", "both", "none")),
            help="What is still clamped on its zero.",
            default="none",
        ),
    }
)
FEEDS: Final = Section(
    keys={
        "feed": Key(
            type=Scalar(kind="feed", above=0, most=25_400), help="Feed along the cut, a minute.", required=True
        ),
        "plunge": Key(type=Scalar(kind="feed", above=0, most=25_400), help="Feed downwards, a minute."),
    }
)
CUTTING: Final = Section(
    keys={
        "v": Key(type=FEEDS, help="Feeds of the V-bits."),
        "clearing": Key(type=FEEDS, help="Feeds of the clearing bits."),
        "cut_out": Key(type=FEEDS, help="Feeds of the cut-out bit.", default="as clearing"),
        "levelling": Key(type=FEEDS, help="Feeds of the levelling bit.", default="as clearing"),
    }
)

PROGRAMME: Final = Section(
    keys={
        "file": Key(type=TEXT, help="The posted file, from the sheet's folder.", required=True),
        "bit": Key(type=TEXT, help="The bit that runs it: v, clearing, another role, or a bit's name."),
        "tools": Key(type=Numbered(item=TEXT, most=99_999), help="The bit of each T number, where it has several."),
    },
    at_most_one_of=("bit", "tools"),
)
_FILES: Final = Either(options=(PROGRAMME, Listing(item=PROGRAMME, most=50)))
PROGRAMMES: Final = Section(
    keys={
        "pocket": Key(type=_FILES, help="What cuts the base, in the order it runs."),
        "plug": Key(type=_FILES, help="What cuts the plug's blank, in the order it runs."),
        "level": Key(type=_FILES, help="What levels the joint.", used=False),
    }
)

MEASURED: Final = Section(
    keys={
        "pocket_depth": Key(
            type=Scalar(kind="length", above=0, most=500),
            help="The pocket as cut, base's face to its floor; the plug's numbers then go by it.",
            default="as programmed",
        ),
    }
)
SHEET: Final = Section(
    keys={
        "title": Key(type=TEXT, help="What the job is.", default="the sheet's file name"),
        "unit": Key(
            type=Scalar(kind="choice", choices=("in", "mm")),
            help="Unit of bare numbers and of the report.",
            default="mm",
        ),
        "outline": Key(type=OUTLINE, help="The inlaid shape as seen on the finished face.", default="depths only"),
        "base": Key(type=BASE, help="The board that gets the pocket.", required=True),
        "plug": Key(type=PLUG, help="The blank that the plug is cut from.", required=True),
        "joint": Key(type=JOINT, help="Depths and gaps of the joint."),
        "bits": Key(type=BITS, help="The bits.", required=True),
        "touch_off": Key(
            type=Scalar(kind="choice", choices=("face", "bed")),
            help="Where each part's zero is taken: its face, or the bed it lies on.",
            default="face",
        ),
        "datum": Key(type=DATUM, help="Where the work's zero lies on each blank.", default="centre"),
        "hold_downs": Key(type=Listing(item=HOLD_DOWN, most=1_000), help="Clamps and stops."),
        "level": Key(type=LEVEL, help="How the plug's back is taken off."),
        "climate": Key(type=CLIMATE, help="Moisture or air, at cutting and in use."),
        "tolerance": Key(type=TOLERANCE, help="How well the shop holds its settings, plus or minus."),
        "limits": Key(type=LIMITS, help="Limits of the checks, by the check's name with underscores."),
        "measured": Key(type=MEASURED, help="What was measured between the cuts."),
        "dry_fit": Key(type=DRY_FIT, help="Readings of the dry fit, for `inlayfit dryfit`."),
        "cutting": Key(type=CUTTING, help="Feeds, for the cutting time only."),
        "programmes": Key(type=PROGRAMMES, help="The posted programmes, and the bit of each."),
    }
)
