"""Labels of pictures at print size: clear of each other, of every line, and on the paper."""

from __future__ import annotations

import random
from pathlib import Path

import outlines
import pytest
from jobs import GONE, job
from label_boxes import faults

from inlayfit.intake import take_in
from inlayfit.outline.regions import Outline
from inlayfit.pictures.boards import boards
from inlayfit.pictures.outline_plan import outline_plan
from inlayfit.pictures.section import section, small_section
from inlayfit.pictures.spread import spread
from inlayfit.plan import Plan, plan

EXAMPLES = Path(__file__).parent.parent / "examples"
SHAPES = (outlines.star, outlines.comb, outlines.plus, outlines.circle, lambda: outlines.square(60.0),
          outlines.SHARED["islands"], outlines.SHARED["spiral stroke"])  # fmt: skip


def drawings(made: Plan, outline: Outline | None) -> list[str]:
    found = [section(made), small_section(made), spread(made)]
    if outline is not None:
        found += [outline_plan(made, outline), boards(made), boards(made, small=True)]
        found += [outline_plan(made, outline, height=height, telling=False) for height in (40.0, 80.0)]
    return [drawing.svg() for drawing in found if drawing is not None]


def all_faults(made: Plan, outline: Outline | None) -> list[str]:
    return [fault for svg in drawings(made, outline) for fault in faults(svg)]


@pytest.mark.parametrize("name", ["fern-lid", "compass-board", "lakes-sign", "heron-tray"])
def test_labels_of_the_examples_are_clear(name: str) -> None:
    intake = take_in(str(EXAMPLES / f"{name}.yaml"))
    assert all_faults(plan(intake.job, intake.outline), intake.outline) == []


@pytest.mark.parametrize("seed", range(20))
def test_labels_of_a_random_job_are_clear(seed: int) -> None:
    made, outline = random_plan(random.Random(seed))
    assert all_faults(made, outline) == []


def random_plan(dice: random.Random) -> tuple[Plan, Outline | None]:
    outline = dice.choice(SHAPES)()
    angle = dice.choice((15.0, 22.5, 30.0, 45.0, 60.0, 90.0))
    depth = dice.uniform(2.0, 9.0)
    gap = dice.uniform(0.1, 0.9)
    surface = dice.uniform(0.4, 5.0)
    changes: dict[str, object] = {
        "joint.pocket_depth": depth,
        "joint.glue_gap": gap,
        "joint.surface_gap": surface,
        "joint.level_below": dice.choice((0.0, 0.25, 1.5)),
        "base.thickness": depth + dice.uniform(0.5, 25.0),
        "plug.thickness": depth + surface + dice.uniform(0.5, 25.0),
        "bits.v.angle": angle,
        "bits.v.tip": dice.choice((0.0, 0.1, 0.5, 1.5)),
        "bits.v.diameter": dice.choice((6.0, 12.0, 25.0)),
        "touch_off": dice.choice(("face", "bed")),
    }
    if dice.random() < 0.3:
        changes["bits.v.measured"] = {"angle": angle + dice.uniform(-2.0, 2.0)}
    if dice.random() < 0.2:
        changes["bits.clearing"] = GONE
    if dice.random() < 0.6:
        changes |= {"base.blank": (dice.uniform(90.0, 400.0), dice.uniform(90.0, 400.0)),
                    "plug.blank": (dice.uniform(60.0, 200.0), dice.uniform(60.0, 200.0))}  # fmt: skip
    unit = dice.choice(("mm", "in"))
    return plan(job(changes, unit=unit), outline, nominal=dice.random() < 0.2, draws=0), outline


def test_a_fault_is_seen() -> None:
    def drawn(body: str) -> list[str]:
        return faults(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 50 50">{body}</svg>')

    label, stroke = '<text x="5" y="10">words</text>', ' stroke="#000000"'
    ground = '<rect class="ground" x="4" y="5" width="20" height="8" fill="#ffffff" />'
    line = f'<line x1="0" y1="9" x2="50" y2="9"{stroke} />'
    assert drawn(label) == []
    assert drawn(label + '<text x="9" y="11">others</text>') == ["others / words"]
    assert drawn(line + label) == ["words on a line drawn before"]
    assert drawn(label + line) == ["words under a line"]
    assert drawn(line + ground + label) == []
    assert drawn(f'<path d="M0 9 50 9"{stroke} />' + label) == ["words on a line drawn before"]
    assert drawn(f'<circle cx="5" cy="9" r="2"{stroke} />' + label) == ["words on a line drawn before"]
    assert drawn('<text x="48" y="10">words</text>') == ["words off the paper"]
    assert drawn('<text x="5" y="30" transform="rotate(-90 5 30)">words</text>' + label) == []
    assert drawn('<text x="7" y="17" transform="rotate(-90 7 17)">words</text>' + label) == ["words / words"]
