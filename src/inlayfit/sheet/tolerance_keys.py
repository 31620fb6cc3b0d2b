"""The keys of the part ``tolerance``: how well the shop holds its settings."""

from __future__ import annotations

from typing import Final

from inlayfit.sheet.keytypes import Either, Key, Scalar, Section


def _spread(scalar: Scalar, help: str, default: str) -> Key:
    """A tolerance: plus or minus, or one of limit, sd and known."""
    signed = Scalar(kind=scalar.kind, most=scalar.most, least=None if scalar.most is None else -scalar.most)
    section = Section(
        keys={
            "limit": Key(type=scalar, help="Anything within plus or minus this."),
            "sd": Key(type=scalar, help="Standard deviation."),
            "known": Key(type=signed, help="A fixed, known error with its sign."),
        },
        just_one_of=("limit", "sd", "known"),
    )
    return Key(type=Either(options=(scalar, section)), help=help, default=default)


_ERROR: Final = Scalar(kind="length", least=0, most=10)
TOUCH_OFF_SETTINGS: Final = {
    "pocket_v": "The V-bit on the base.",
    "pocket_clear": "The clearing bit on the base.",
    "plug_v": "The V-bit on the plug.",
    "plug_clear": "The clearing bit on the plug.",
}
TOLERANCE: Final = Section(
    keys={
        "touch_off": Key(
            type=Either(
                options=(
                    _ERROR,
                    Section(
                        keys={
                            "limit": Key(type=_ERROR, help="Anything within plus or minus this."),
                            "sd": Key(type=_ERROR, help="Standard deviation."),
                            "known": Key(
                                type=Scalar(kind="length", least=-10, most=10),
                                help="A fixed, known error; too deep is positive.",
                            ),
                            **{
                                name: _spread(_ERROR, what, "as the others")
                                for name, what in TOUCH_OFF_SETTINGS.items()
                            },
                        },
                        at_most_one_of=("limit", "sd", "known"),
                    ),
                )
            ),
            help="How well a bit is touched off, plus or minus; also by setting.",
            default="0.05 mm",
        ),
        "angle": _spread(
            Scalar(kind="angle", least=0, most=20),
            "The V-bit's included angle, about what was measured or declared.",
            "0.25 deg",
        ),
        "tip": _spread(_ERROR, "Width of the V-bit's tip, likewise.", "0.02 mm"),
        "runout": _spread(_ERROR, "Runout of the spindle, total indicator reading.", "0.01 mm"),
        "warp": _spread(_ERROR, "How far a board's face stands off flat when it is cut.", "0.1 mm"),
        "thickness": _spread(_ERROR, "Thickness of the stock.", "0.1 mm"),
        "square": _spread(
            Scalar(kind="slope", least=0, most=0.1), "How far the machine is out of square.", "0.1 mm in 300 mm"
        ),
    }
)
