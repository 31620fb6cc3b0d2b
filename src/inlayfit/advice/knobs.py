"""What can be turned on a job: for each check that does not pass, the keys that may mend it, from a little to a lot.

Every knob is a list of settings that go further and further one way, in the digits that are typed, so that a search
finds the least that will do. What a knob can do for a check is only tried here, never promised: see `search`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from inlayfit.advice import joint_knobs as joint
from inlayfit.advice import tool_knobs as tools
from inlayfit.advice.bench import Bench, Ways
from inlayfit.advice.change import Changes, Replanner

if TYPE_CHECKING:
    from inlayfit.plan import Plan

Code = Literal[
    "shallower", "deeper", "more glue gap", "less glue gap", "more surface gap", "less surface gap", "level less",
    "finer stepover", "less clamp", "more clamp", "larger", "smaller", "move hold-down", "touch off closer",
    "flatter boards", "sharper tip", "wider angle", "longer bit", "wider cone", "smaller clearing bit",
    "add clearing bit", "thicker base", "thicker plug", "larger base", "larger plug blank",
]  # fmt: skip

AT_HAND: Final = frozenset[Code](
    {"shallower", "deeper", "more glue gap", "less glue gap", "more surface gap", "less surface gap", "level less",
     "finer stepover", "less clamp", "more clamp", "larger", "smaller", "move hold-down"}
)  # fmt: skip
"""Numbers to type; the rest is care, another bit or other wood."""

HELPS: Final[dict[str, tuple[Code, ...]]] = {
    "glue-gap": ("more glue gap", "less glue gap", "deeper"),
    "surface-gap": ("more surface gap",),
    "base-floor": ("shallower", "thicker base"),
    "plug-web": ("shallower", "less surface gap", "thicker plug"),
    "cone-reach": ("shallower", "wider cone", "less surface gap"),
    "bit-reach": ("shallower", "longer bit", "less surface gap"),
    "floor-ridges": ("finer stepover", "more glue gap"),
    "clearing-access": ("add clearing bit", "smaller clearing bit", "shallower", "larger"),
    "fine-strokes": ("shallower", "sharper tip", "larger"),
    "fine-gaps": ("sharper tip", "less surface gap", "larger"),
    "survives-levelling": ("level less", "deeper", "sharper tip", "larger"),
    "thin-walls": ("shallower", "larger"),
    "corners": ("sharper tip",),
    "seat": ("finer stepover", "less clamp", "more glue gap", "more clamp", "sharper tip", "deeper", "larger",
             "wider angle"),
    "joint-line": ("more clamp", "sharper tip", "larger", "wider angle"),
    "blank-margin": ("larger base", "larger plug blank", "smaller"),
    "hold-downs": ("move hold-down",),
    "levelling": ("level less", "deeper"),
    "stack": ("more glue gap", "touch off closer", "wider angle", "flatter boards"),
    "touch-off": ("more glue gap", "touch off closer", "wider angle"),
    "warp": ("more glue gap", "flatter boards", "wider angle"),
    "wood-movement": ("smaller",),
}  # fmt: skip
"""By check, the knobs that may mend it, those at hand first. What no key can mend (mirror) is not listed."""


@dataclass(frozen=True, kw_only=True)
class Knob:
    """Settings that go further and further one way; ``way`` tells knobs of one code apart."""

    code: Code
    settings: tuple[Changes, ...]
    way: str = ""

    @property
    def at_hand(self) -> bool:
        """Whether it is a number to type, with the bits and boards there are."""
        return self.code in AT_HAND


_MAKERS: Final[dict[Code, Callable[[Bench], Ways]]] = {
    "shallower": joint.shallower,
    "deeper": joint.deeper,
    "more glue gap": joint.more_glue_gap,
    "less glue gap": joint.less_glue_gap,
    "more surface gap": joint.more_surface_gap,
    "less surface gap": joint.less_surface_gap,
    "level less": joint.level_less,
    "finer stepover": tools.finer_stepover,
    "less clamp": joint.less_clamp,
    "more clamp": joint.more_clamp,
    "larger": joint.larger,
    "smaller": joint.smaller,
    "move hold-down": tools.move_hold_down,
    "touch off closer": joint.touch_off_closer,
    "flatter boards": joint.flatter_boards,
    "sharper tip": tools.sharper_tip,
    "wider angle": tools.wider_angle,
    "longer bit": tools.longer_bit,
    "wider cone": tools.wider_cone,
    "smaller clearing bit": tools.smaller_clearing_bit,
    "add clearing bit": tools.add_clearing_bit,
    "thicker base": tools.thicker("base"),
    "thicker plug": tools.thicker("plug"),
    "larger base": tools.larger_blank("base"),
    "larger plug blank": tools.larger_blank("plug"),
}


def knobs(plan: Plan, sheet: Replanner, code: Code) -> Iterator[Knob]:
    """The knobs of a code that this plan has, none where there is no room that way."""
    for way, settings in _MAKERS[code](Bench(plan, sheet)):
        if settings:
            yield Knob(code=code, settings=tuple(settings), way=way)
