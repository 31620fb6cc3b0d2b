"""Table of woods: strength, hardness, specific gravity and dimensional change as printed.

Sources, all by the Forest Products Laboratory, "Wood Handbook: Wood as an Engineering Material" (FPL-GTR-190, 2010;
FPL-GTR-282, 2021): Tables 5-3 and 5-5 (strength, side hardness, specific gravity of small clear specimens) and
Table 13-5 (dimensional change). They are averages: between pieces of one wood the coefficient of variation is about
28 % for crushing across the grain, 20 % for hardness, 10 % for specific gravity.

Crushing across the grain is the stress at which a steel plate on part of the surface starts to leave a mark (the
proportional limit), not a breaking stress. The handbook prints none for woods from outside North America, and a
single specific gravity for those, on green volume. Maximum crushing strength along the grain is quoted from memory of
the same tables; a figure that is not firm is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal

Status = Literal[
    "published",
    "from memory",
    "trade figure",
    "estimate from hardness",
    "estimate from specific gravity",
    "estimate from shrinkage",
    "none",
]
"""What a value rests on. ``from memory``: the handbook's, quoted without a copy at hand. ``trade figure``: it
circulates, the handbook does not print it."""


@dataclass(frozen=True)
class WoodRecord:
    """One wood as printed: kPa and N as in the metric tables, at 12 % moisture content unless green is said.

    The coefficients are the fraction of its size that a dimension changes for 1 % of moisture content, within 6 to
    14 %. Those of the commercial red and white oaks and the true hickories are the group's. None: not printed.
    """

    name: str
    """The handbook's row name, the kind first: 'Maple, sugar'."""
    also: tuple[str, ...] = ()
    """Other names in the trade."""
    crush_green: int | None = None
    crush: int | None = None
    parallel: int | None = None
    """Maximum crushing strength along the grain."""
    hardness: int | None = None
    """Side hardness: the load that embeds an 11.28 mm ball to half its diameter."""
    gravity_green: float | None = None
    """Ovendry mass over green volume."""
    gravity: float | None = None
    """Ovendry mass over volume at 12 %."""
    radial: float | None = None
    tangential: float | None = None
    softwood: bool = False
    meeting_point: int = 25
    """Moisture content in % where the lines for dry and green wood meet (Table 5-13)."""
    status: Mapping[str, Status] = field(default_factory=lambda: MappingProxyType({}))
    """Status by field where it is not 'published' (``parallel``: not 'from memory')."""


def _except(**status: Status) -> Mapping[str, Status]:
    return MappingProxyType(status)


_C = _except(radial="from memory", tangential="from memory")

# fmt: off
# name, other names, crush green, crush, parallel (kPa), hardness (N), gravity green, gravity, radial, tangential
_HARDWOODS: Final = (
    WoodRecord(
        "Maple, sugar", ("hard maple", "rock maple"), 4400, 10100, 54000, 6400, 0.56, 0.63, 0.00165, 0.00353
    ),
    WoodRecord("Maple, red", ("soft maple",), 2800, 6900, 45100, 4200, 0.49, 0.54, 0.00137, 0.00289),
    WoodRecord(
        "Maple, silver", ("soft maple",), 2600, 5100, 36000, 3100, 0.44, 0.47, 0.00102, 0.00252, status=_C
    ),
    WoodRecord("Walnut, black", (), 3400, 7000, 52300, 4500, 0.51, 0.55, 0.00190, 0.00274),
    WoodRecord("Cherry, black", (), 2500, 4800, 49000, 4200, 0.47, 0.50, 0.00126, 0.00248),
    WoodRecord("Oak, northern red", ("red oak",), 4200, 7000, 46600, 5700, 0.56, 0.63, 0.00158, 0.00369),
    WoodRecord("Oak, white", (), 4600, 7400, 51300, 6000, 0.60, 0.68, 0.00180, 0.00365),
    WoodRecord("Ash, white", (), 4600, 8000, 51100, 5900, 0.55, 0.60, 0.00169, 0.00274, meeting_point=24),
    WoodRecord("Birch, yellow", (), 3000, 6700, 56300, 5600, 0.55, 0.62, 0.00256, 0.00338, meeting_point=27),
    WoodRecord("Birch, paper", ("white birch",), 1900, 4100, 39200, 4000, 0.48, 0.55, 0.00219, 0.00304, status=_C),
    WoodRecord("Beech, American", (), 3700, 7000, 50300, 5800, 0.56, 0.64, 0.00190, 0.00431),
    WoodRecord("Hickory, shagbark", ("true hickory",), 5800, 12100, 63500, 8400, 0.64, 0.72, 0.00259, 0.00411),
    WoodRecord("Hickory, pecan", ("pecan",), 5400, 11900, 54100, 8100, 0.60, 0.66, 0.00169, 0.00315),
    WoodRecord(
        "Yellow-poplar", ("tulip poplar", "tulip tree"), 1900, 3400, 38200, 2400, 0.40, 0.42, 0.00158, 0.00289
    ),
    WoodRecord(
        "Basswood, American", ("basswood", "American linden"), 1200, 2600, 32600, 1800, 0.32, 0.37, 0.00230, 0.00330
    ),
    WoodRecord("Alder, red", (), 1700, 3000, 40100, 2600, 0.37, 0.41, 0.00151, 0.00256),
    WoodRecord("Butternut", (), 1500, 3200, None, 2200, 0.36, 0.38, 0.00116, 0.00223),
    WoodRecord(
        "Chestnut, American", (), 2100, 4300, 36700, 2400, 0.40, 0.43, 0.00116, 0.00234, meeting_point=24
    ),
    WoodRecord("Elm, American", ("white elm",), 2500, 4800, 38100, 3700, 0.46, 0.50, 0.00144, 0.00338),
    WoodRecord("Sweetgum", (), 2600, 4300, 43600, 3800, 0.46, 0.52, 0.00183, 0.00365),
    WoodRecord("Sycamore, American", (), 2500, 4800, 37100, 3400, 0.46, 0.49, 0.00172, 0.00296),
    WoodRecord("Hackberry", (), 2800, 6100, 37500, 3900, 0.49, 0.53, 0.00165, 0.00315),
    WoodRecord("Sassafras", (), 2600, 5900, 32800, None, 0.42, 0.46, 0.00137, 0.00216),
    WoodRecord("Locust, black", ("robinia",), 8000, 12600, 70200, 7600, 0.66, 0.69, 0.00158, 0.00252),
)
_SOFTWOODS: Final = (
    WoodRecord(
        "Douglas-fir, coast",
        (),
        2600, 5500, 49900, 3200, 0.45, 0.48, 0.00165, 0.00267,
        softwood=True, meeting_point=24, status=_C,
    ),
    WoodRecord(
        "Douglas-fir, interior west", (),
        2900, 5200, 51200, 2900, 0.46, 0.50, 0.00165, 0.00263,
        softwood=True, meeting_point=24, status=_C,
    ),
    WoodRecord(
        "Pine, eastern white", ("white pine",),
        1500, 3000, 33100, 1700, 0.34, 0.35, 0.00071, 0.00212,
        softwood=True, status=_C,
    ),
    WoodRecord(
        "Redcedar, western", ("western red cedar",), 1700, 3200, 31400, 1600, 0.31, 0.32, softwood=True
    ),
    WoodRecord(
        "Redwood, old-growth", (), 2900, 4800, 42400, 2100, 0.38, 0.40, softwood=True, meeting_point=21
    ),
    WoodRecord(
        "Redwood, young-growth", ("redwood, second-growth",),
        1900, 3600, 36000, 1900, 0.34, 0.35,
        softwood=True, meeting_point=21, status=_except(hardness="from memory"),
    ),
    WoodRecord("Fir, white", (), radial=0.00112, tangential=0.00245, softwood=True),
)
# Table 13-5 alone, or no handbook row at all
_OTHERS: Final = (
    WoodRecord(
        "Mahogany, true",
        ("American mahogany", "genuine mahogany", "Honduras mahogany"),
        parallel=46700, hardness=3600, gravity_green=0.45, radial=0.00172, tangential=0.00238,
    ),
    WoodRecord(
        "Teak", parallel=58000, hardness=4400, gravity_green=0.55, gravity=0.66, radial=0.00101, tangential=0.00186,
        status=_except(gravity="trade figure"),
    ),
    WoodRecord(
        "Purpleheart", ("amaranth",),
        hardness=8300, gravity_green=0.67, radial=0.00109, tangential=0.00212,
        status=_except(radial="estimate from shrinkage", tangential="trade figure"),
    ),
    WoodRecord(
        "Sapele", ("sapeli",),
        parallel=56300, hardness=6700, gravity_green=0.55, gravity=0.67, radial=0.00158, tangential=0.00259,
        status=_except(
            gravity="trade figure", radial="estimate from shrinkage", tangential="estimate from shrinkage"
        ),
    ),
    WoodRecord(
        "Padauk, African", (),
        hardness=8760, radial=0.00112, tangential=0.00180,
        status=_except(hardness="trade figure", radial="estimate from shrinkage", tangential="trade figure"),
    ),
    WoodRecord(
        "Wenge", (), hardness=8600, tangential=0.00201,
        status=_except(hardness="trade figure", tangential="trade figure"),
    ),
    WoodRecord("Khaya", ("African mahogany",), radial=0.00141, tangential=0.00201),
    WoodRecord("Iroko", radial=0.00153, tangential=0.00205),
    WoodRecord("Limba", ("korina",), radial=0.00151, tangential=0.00187),
    WoodRecord("Okoume", ("gaboon",), radial=0.00194, tangential=0.00212),
    WoodRecord("Spanish-cedar", ("cedrela",), radial=0.00141, tangential=0.00219),
    WoodRecord("Lauan, dark red", (), radial=0.00133, tangential=0.00267),
    WoodRecord("Greenheart", radial=0.00390, tangential=0.00430),
    WoodRecord("Primavera", radial=0.00106, tangential=0.00180),
    WoodRecord("Ramin", radial=0.00133, tangential=0.00308),
    WoodRecord("Balsa", radial=0.00102, tangential=0.00267),
    WoodRecord("Persimmon, common", radial=0.00278, tangential=0.00403),
    WoodRecord("Holly, American", radial=0.00165, tangential=0.00353),
    WoodRecord("Apple", radial=0.00205, tangential=0.00376),
    WoodRecord("Honeylocust", ("honey locust",), radial=0.00144, tangential=0.00230),
)
# fmt: on

WOOD_TABLE: Final = (*_HARDWOODS, *_SOFTWOODS, *_OTHERS)
