"""The example with programmes: they are what the tests' writer posts from its plan, and the proof is what docs say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from posted import planned, texts
from programme_writer import STYLES

from inlayfit.intake import take_in

EXAMPLES = Path(__file__).parent.parent / "examples" / "proving"


def written() -> dict[str, str]:
    intake = take_in(str(EXAMPLES / "arrow-tile.yaml"))
    assert intake.outline is not None
    made = planned(intake.job, intake.outline)
    base, plug = texts(made, STYLES["absolute with arcs"])
    # the plug as it was posted first: the start depth left at 0
    below = made.numbers.below_start
    first = replace(made.numbers, start_depth=0.0, plug_walls=((0.0, below),), plug_clear=(below,))
    _, tried = texts(made, STYLES["absolute with arcs"], first)
    return {"arrow-base.nc": base, "arrow-plug.nc": plug, "arrow-plug-first-try.nc": tried}


def test_example_programmes_are_as_written() -> None:
    for name, text in written().items():
        assert (EXAMPLES / name).read_text(encoding="utf-8") == text, f"run python tests/{Path(__file__).name}"


if __name__ == "__main__":
    for name, text in written().items():
        (EXAMPLES / name).write_text(text, encoding="utf-8")
