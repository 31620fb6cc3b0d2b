"""Many sheets and variants in one run: what is shared, what is kept apart, order, ranks, crashes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from inlayfit import plan as planning
from inlayfit.batch.lines import COLUMNS, BatchReport, Progress, summary
from inlayfit.batch.ranking import merit
from inlayfit.batch.run import Run, Tally
from inlayfit.batch.sheet_checker import Outcome, request
from inlayfit.batch.sheet_list import sheet_list
from inlayfit.batch.variants import read_varied
from inlayfit.cli import main
from inlayfit.errors import InputError
from inlayfit.joint.job import OutlineSource
from inlayfit.outline import analysis as analysing
from inlayfit.outline_shelf import MOST_KEPT, OutlineShelf

DEPTHS_ONLY = """\
unit: mm
base: {thickness: 19, least_floor: 3}
plug: {thickness: 12, border: 6, least_web: 1.5}
joint: {pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5, level_below: 0.25, sanding: 0.25}
bits:
  v: {angle: 30, tip: 0.1, diameter: 6, reach: 11, depth_of_cut: 6, stepover: 2 %}
  clearing: {diameter: 3, reach: 18, depth_of_cut: 3, stepover: 40 %}
"""
LEAF = DEPTHS_ONLY + "outline: {file: leaf.wkt, width: 60}\n"
TILE = DEPTHS_ONLY + "outline: {shapes: [{rectangle: [60, 40]}]}\n"
LEAF_DRAWING = "POLYGON ((0 0, 4 1, 8 4, 9 9, 4 8, 1 4, 0 0))"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    write(tmp_path, {"plain.yaml": DEPTHS_ONLY, "leaf.yaml": LEAF, "tile.yaml": TILE, "leaf.wkt": LEAF_DRAWING})
    return tmp_path


def write(folder: Path, files: dict[str, str]) -> None:
    for name, words in files.items():
        (folder / name).write_text(words, encoding="utf-8")


def outcomes(*sheets: str, vary: tuple[str, ...] = (), **more: Any) -> list[Outcome]:
    return list(Run(request(sheets, varied=[read_varied(text) for text in vary], **more)).outcomes())


def planned(sheet: str, *arguments: str) -> dict[str, Any]:
    """What the main command says of a sheet."""
    return json.loads(CliRunner().invoke(main, ["plan", sheet, "--format", "json", *arguments]).stdout)


@pytest.mark.parametrize("sheet", ["plain.yaml", "leaf.yaml", "tile.yaml"])
def test_variant_is_what_plan_says_of_the_sheet_with_these_values(shop: Path, sheet: str) -> None:
    for outcome in outcomes(sheet, vary=("joint.pocket_depth=4..6..1", "bits.v.angle=30 deg,60 deg")):
        settings = [word for key, value in outcome.variant.items() for word in ("--set", f"{key}={value}")]
        record = dict(outcome.record or {})
        assert record.pop("variant") == outcome.variant
        expected = planned(sheet, *settings, "--draws", "0")  # the request draws none unless told
        expected.pop("advice", None)  # worked out for one sheet at a time only
        assert json.loads(json.dumps(record).replace("--vary ", "--set ")) == expected


def test_sizes_of_an_outline_are_read_each_at_its_own_size(shop: Path) -> None:
    for outcome in outcomes("leaf.yaml", "tile.yaml", vary=("outline.width=40..80..10",)):
        width = outcome.variant["outline.width"]
        assert outcome.record is not None
        assert outcome.record["outline"]["bounds"][2] == pytest.approx(float(width))
        assert outcome.record["outline"] == planned(outcome.sheet, "--set", f"outline.width={width}")["outline"]


def test_outline_is_surveyed_once_for_all_that_share_it(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(shop, {"leaf-oak.yaml": LEAF + "title: The same in oak\n"})
    seen: list[object] = []
    survey = analysing.survey
    monkeypatch.setattr(analysing, "survey", lambda outline: seen.append(outline) or survey(outline))

    outcomes("leaf.yaml", "leaf-oak.yaml", vary=("joint.glue_gap=0.3,0.4,0.5",))
    assert len(seen) == 1

    outcomes("leaf.yaml", "tile.yaml", vary=("outline.width=40 mm,50 mm", "joint.glue_gap=0.3,0.4,0.5"))
    assert len(seen) == 1 + 4


def test_changed_drawing_is_not_mistaken_for_the_one_before(shop: Path) -> None:
    run = Run(request(["leaf.yaml"], varied=[read_varied("joint.glue_gap=0.3,0.4")])).outcomes()
    first = next(run)
    write(shop, {"leaf.wkt": "POLYGON ((0 0, 10 0, 10 5, 0 5, 0 0))"})
    second = next(run)
    assert first.record is not None
    assert second.record is not None
    assert first.record["outline"]["holes"] == second.record["outline"]["holes"] == 0
    assert second.record["outline"]["area"] == pytest.approx(60 * 30)
    assert first.record["outline"]["area"] != pytest.approx(60 * 30)


def test_shelf_keeps_the_outlines_used_last() -> None:
    shelf = OutlineShelf()
    sources = [
        OutlineSource(file=None, shapes=({"circle": 10.0 + size},), width=None, height=None, scale=None, unit="mm")
        for size in range(MOST_KEPT + 1)
    ]
    first, second, *rest = (shelf.outline(source, None) for source in sources[:-1])
    assert shelf.outline(sources[0], None) is first
    shelf.outline(sources[-1], None)
    assert shelf.outline(sources[0], None) is first
    assert shelf.outline(sources[-2], None) is rest[-1]
    # the one not used for longest gave way
    again = shelf.outline(sources[1], None)
    assert again is not second
    assert again == second
    assert shelf.analysis(again) is shelf.analysis(again)


def test_bad_sheets_cost_the_others_nothing(shop: Path) -> None:
    write(shop, {"typo.yaml": DEPTHS_ONLY.replace("glue_gap", "glue_gapp"), "broken.yaml": "base: {thickness: 19"})
    write(shop, {"no-drawing.yaml": DEPTHS_ONLY + "outline: {file: gone.svg}\n", "thin.yaml": DEPTHS_ONLY})
    found = outcomes(
        "plain.yaml", "typo.yaml", "gone.yaml", "broken.yaml", "no-drawing.yaml", ".", "leaf.yaml",
        settings=["title=A lid"],
    )  # fmt: skip
    assert [outcome.record is not None for outcome in found] == [True, False, False, False, False, False, True]
    assert found[1].mistakes == ("typo.yaml:4:26: joint.glue_gapp: unknown key, the nearest is glue_gap",)
    assert found[2].error == "gone.yaml: cannot be read: no such file or directory"
    assert "broken.yaml:1:7: found no end to the {" in found[3].error
    assert "no-drawing.yaml:8:" in found[4].error
    assert found[5].error == ".: cannot be read: it is a folder"


def test_mistakes_that_only_a_variant_makes_are_its_own(shop: Path) -> None:
    found = outcomes("plain.yaml", vary=("joint.glue_gap=0.5,7,0.6",))
    assert [bool(outcome.mistakes) for outcome in found] == [False, True, False]
    assert found[1].error.startswith("--vary joint.glue_gap: a glue gap of 7.00 mm leaves no plug")


def test_bug_on_one_variant_is_told_and_costs_no_other(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = planning.plan

    def trips(job: Any, *rest: Any, **more: Any) -> Any:
        if job.joint.glue_gap == 0.4:
            raise ZeroDivisionError("division by zero")
        return plan(job, *rest, **more)

    monkeypatch.setattr(planning, "plan", trips)
    found = outcomes("plain.yaml", vary=("joint.glue_gap=0.3,0.4,0.5",))
    assert [outcome.record is not None for outcome in found] == [True, False, True]
    assert found[1].error == "inlayfit failed: ZeroDivisionError: division by zero"
    assert "Traceback" in found[1].trouble
    result = CliRunner().invoke(main, ["check", "plain.yaml", "--vary", "joint.glue_gap=0.3,0.4", "--jobs", "1"])
    assert result.exit_code == 70
    assert "Traceback" in result.stderr


def test_bit_sets_stand_in_for_all_bits_and_keep_their_own_unit(shop: Path) -> None:
    slim = "bits: {pocket_v: {angle: 20}, plug_v: {angle: 20}}\nlimits: {bit_reach: 3}\n"
    wide = "unit: in\nbits: {v: {angle: 60, tip: 0.01, diameter: 1/2}}\n"
    write(shop, {"slim.yaml": slim, "wide.yaml": wide})
    own, one_set, other_set = (
        outcomes("plain.yaml")[0],
        *outcomes("plain.yaml", vary=("bits=slim.yaml,wide.yaml",)),
    )
    for outcome, angle in ((own, 30), (one_set, 20), (other_set, 60)):
        assert outcome.record is not None
        bits = {entry["bit"] for entry in outcome.record["passes"] if entry["step"] == "walls"}
        assert all(name.startswith(f"{angle} deg V") for name in bits)
    assert one_set.record is not None
    assert other_set.record is not None
    assert "clearing_width" not in one_set.record["depths"]
    assert [file["file"] for file in other_set.record["inputs"]] == ["plain.yaml", "wide.yaml"]
    cone = next(check for check in other_set.record["checks"] if check["id"] == "cone-reach")
    # the cone of a 1/2 in bit with a flat of 0.01 in, 60 degrees
    assert cone["value"] == pytest.approx((0.5 - 0.01) * 25.4 / 2 / 3**-0.5, abs=1e-6)


def test_single_keys_count_over_a_varied_bit_set(shop: Path) -> None:
    write(shop, {"slim.yaml": "bits: {v: {angle: 20}}\n"})
    found = outcomes("plain.yaml", vary=("bits.v.angle=40 deg,50 deg", "bits=slim.yaml"), settings=["bits.v.name=old"])
    for outcome, angle in zip(found, (40, 50), strict=True):
        assert outcome.record is not None
        assert (
            planned("plain.yaml", "--set", f"bits={{v: {{angle: {angle}, name: old}}}}")["depths"]
            == (outcome.record["depths"])
        )


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"vary": ("joint.glue_gapp=1",)}, "--vary joint.glue_gapp: unknown key, the nearest is glue_gap"),
        ({"settings": ["joint.glue_gapp=1"]}, "--set joint.glue_gapp: unknown key, the nearest is glue_gap"),
        ({"settings": ["joint.glue_gap=1"], "vary": ("joint.glue_gap=1",)}, "joint.glue_gap is set and varied"),
        ({"vary": ("bits=plain.yaml,gone.yaml",)}, "gone.yaml: cannot be read"),
        ({"vary": ("bits=leaf.wkt",)}, "leaf.wkt:1:1: found"),
        ({"vary": ("bits=rules.yaml",)}, "rules.yaml: found no bits"),
        ({"shops": ["gone.yaml"]}, "gone.yaml: cannot be read"),
    ],
)
def test_what_would_spoil_every_sheet_is_told_before_any(shop: Path, arguments: Any, told: str) -> None:
    write(shop, {"rules.yaml": "limits: {surface_gap: 1.5}\n"})
    with pytest.raises(InputError) as caught:
        outcomes("plain.yaml", **arguments)
    assert told in str(caught.value)


def test_shop_rules_serve_every_sheet(shop: Path) -> None:
    write(shop, {"rules.yaml": "limits: {surface_gap: 2.6}\n"})
    for outcome in outcomes("plain.yaml", "leaf.yaml", shops=["rules.yaml"]):
        assert outcome.record is not None
        check = next(check for check in outcome.record["checks"] if check["id"] == "surface-gap")
        assert (check["status"], check["limit"]) == ("doubtful", 2.6)
        assert "rules.yaml" in [file["file"] for file in outcome.record["inputs"]]


def test_ranks_put_what_fits_first_then_the_larger_margin(shop: Path) -> None:
    wanted = request(["plain.yaml", "tile.yaml"], varied=[read_varied("joint.surface_gap=0, 0.5, 2.5, 2, 5.4")])
    found = list(Run(wanted).ranked())
    assert [(outcome.sheet, outcome.rank) for outcome in found] == [
        (sheet, rank) for sheet in ("plain.yaml", "tile.yaml") for rank in range(1, 6)
    ]
    for sheet in (found[:5], found[5:]):
        verdicts = [outcome.record["verdict"] for outcome in sheet if outcome.record]
        assert verdicts == sorted(verdicts, key=("fits", "doubtful", "does not fit").index)
        assert verdicts[-1] == "does not fit"


def check(id: str, status: str, **numbers: float) -> dict[str, Any]:
    return {"id": id, "status": status, **numbers}


def test_merit_by_verdict_then_counts_then_margin_then_work() -> None:
    def record(
        verdict: str, *checks: dict[str, Any], passes: int = 3, minutes: float | None = None, left_out: str = ""
    ) -> dict[str, Any]:
        time = {"total": minutes, "left_out": [{"step": left_out, "needs": "more"}] if left_out else []}
        shop = {} if minutes is None else {"minutes": time}
        return {"verdict": verdict, "checks": checks, "passes": [{}] * passes, "shop": shop}

    near = check("glue-gap", "pass", value=0.5, limit=0.4)
    far = check("glue-gap", "pass", value=0.8, limit=0.4)
    full = check("pass-load", "pass", value=3, limit=3)
    doubt = check("plug-web", "doubtful", value=1.55, limit=1.5)
    short = check("base-floor", "fail", value=2.9, limit=3)
    shorter = check("base-floor", "fail", value=1, limit=3)
    in_order = [
        record("fits", far, full),
        record("fits", near, passes=9, minutes=12.5),
        record("fits", near, passes=2, minutes=12.6, left_out="base level"),
        # a step without its feed leaves a time that cannot be compared
        record("fits", near, passes=1, minutes=3, left_out="pocket clear"),
        record("fits", near, passes=2),
        record("fits", near, full, passes=5),
        record("doubtful", far, doubt),
        record("doubtful", near, doubt),
        record("doubtful", far, doubt, doubt),
        record("does not fit", far, short),
        record("does not fit", far, shorter),
        record("does not fit", far, shorter, short),
        None,
    ]
    found = [Outcome(number=0, sheet="a", variant={}, record=entry) for entry in in_order]
    assert sorted(reversed(found), key=merit) == found


def test_ranks_put_the_shorter_cutting_time_first_where_the_rest_is_even(shop: Path) -> None:
    varied = [read_varied("cutting.v.feed=600mm,1500mm,900mm")]
    wanted = request(["tile.yaml"], varied=varied, settings=["cutting.clearing.feed=1200 mm/min"], nominal=True)
    found = list(Run(wanted).ranked())
    assert [outcome.variant["cutting.v.feed"] for outcome in found] == ["1500mm", "900mm", "600mm"]


def test_sheet_list_takes_folders_apart_and_tells_what_it_passed_over(shop: Path) -> None:
    (shop / "lids" / "deeper").mkdir(parents=True)
    (shop / "lids" / "folder.yaml").mkdir()
    lids = {"b.yml": DEPTHS_ONLY, "a.yaml": DEPTHS_ONLY, "bits.yaml": "bits: {v: {angle: 30}}\n", "c.txt": DEPTHS_ONLY}
    write(shop / "lids", {**lids, "broken.yaml": "base: {", ".hidden.yaml": DEPTHS_ONLY})
    write(shop / "lids" / "deeper", {"d.yaml": DEPTHS_ONLY})
    # as a spreadsheet on Windows saves it
    write(shop, {"names.txt": "\ufeffleaf.yaml\r\n# the lids\r\n\r\nlids\n  #leaf.yaml\n"})
    inside = [os.path.join("lids", name) for name in ("a.yaml", "b.yml", "broken.yaml")]
    found = sheet_list(["plain.yaml", "lids"], listed_in="names.txt")
    assert found.sheets == ("plain.yaml", *inside, "leaf.yaml", *inside)
    assert set(found.passed_over) == {os.path.join("lids", "bits.yaml")}
    assert found.other_ending == ()


def test_sheet_list_names_what_its_ending_hides(shop: Path) -> None:
    (shop / "lids").mkdir()
    (shop / "loud").mkdir()
    write(shop / "lids", {"a.yaml": DEPTHS_ONLY, "B.YAML": DEPTHS_ONLY, "c.Yml": DEPTHS_ONLY, "d.TXT": ""})
    write(shop / "loud", {"E.YML": DEPTHS_ONLY})
    found = sheet_list(["lids"])
    assert found.sheets == (os.path.join("lids", "a.yaml"),)
    assert set(found.other_ending) == {os.path.join("lids", name) for name in ("B.YAML", "c.Yml")}
    with pytest.raises(InputError, match=r"passed over E\.YML for the ending"):
        sheet_list(["loud"])
    # one that is named is taken as it is
    assert sheet_list([os.path.join("loud", "E.YML")]).sheets == (os.path.join("loud", "E.YML"),)


@pytest.mark.parametrize(
    ("names", "listed_in", "told"),
    [
        ([], None, "found no sheets"),
        ([], "empty.txt", "empty.txt: found no sheets"),
        (["empty"], None, "folders inside it are not searched"),
        (["-", "-"], None, "found - twice"),
        (["-"], "-", "found - twice"),
        ([], "gone.txt", "gone.txt: cannot be read"),
    ],
)
def test_sheet_list_refuses_what_names_no_sheet(shop: Path, names: list[str], listed_in: str | None, told: str) -> None:
    (shop / "empty").mkdir()
    write(shop, {"empty.txt": "\n"})
    with pytest.raises(InputError) as caught:
        sheet_list(names, listed_in=listed_in)
    assert told in str(caught.value)


def test_line_tells_lift_and_joint_line_where_the_seat_was_checked() -> None:
    seat = {"lift": 0.034, "lift_strong": 0.01, "joint_line": {"largest": 0.081, "at": [1, 2]}}
    record = {"verdict": "fits", "scope": "as cut", "unit": "mm", "checks": [], "passes": [], "seat": seat, "notes": []}
    outcome = Outcome(number=0, sheet="a.yaml", variant={}, record=record)
    wanted = request(["a.yaml"])
    assert BatchReport("text", wanted).line(outcome).endswith("  plug 0.03 mm proud, joint line 0.08 mm\n")
    cells = dict(zip(COLUMNS, BatchReport("csv", wanted).line(outcome).strip().split(","), strict=True))
    assert (cells["lift"], cells["lift_strong"], cells["joint_line"]) == ("0.034", "0.01", "0.081")
    record["notes"] = ["left out 1 text ('Anna')"]
    assert BatchReport("text", wanted).line(outcome).endswith("  note: left out 1 text ('Anna')\n")
    assert BatchReport("csv", wanted).line(outcome).endswith(",left out 1 text ('Anna'),\n")


def test_tally_counts_sheets_where_there_is_no_plan(shop: Path) -> None:
    wanted = request(["plain.yaml", "gone.yaml"], varied=[read_varied("joint.glue_gap=0.5,7,0.2")])
    tally = Tally()
    for outcome in Run(wanted).outcomes():
        tally.add(outcome)
    assert tally.verdicts == Counter({"fits": 1, "doubtful": 1})
    assert tally.unread == {0, 1}
    assert summary(tally, wanted, 6) == (
        "2 sheets in 3 variants: 1 fits, 1 doubtful, 0 do not fit, 2 sheets could not be read"
    )
    assert summary(tally, wanted, 4).startswith("2 sheets in 3 variants, 4 of 6 done: ")


def test_progress_shows_after_a_second_and_leaves_nothing_behind() -> None:
    now, written = [0.0], list[str]()
    progress = Progress(200, write=written.append, clock=lambda: now[0])
    progress.show(10)
    now[0] = 0.99
    progress.show(50)
    progress.clear()
    assert written == []
    now[0] = 1.01
    progress.show(100)
    progress.show(101)
    assert written == [f"[{'#' * 15}{'.' * 15}] 100 of 200\r"]
    progress.clear()
    progress.clear()
    assert written[1:] == [" " * len(written[0].rstrip("\r")) + "\r"]


POOL = """\
import os, signal, time
from inlayfit.batch.workers import Lost, results

def start():
    own = []
    def work(item):
        own.append(item)
        if item == "die":
            os.kill(os.getpid(), signal.SIGKILL)
        if item == "exit":
            os._exit(3)
        if item == "slow":
            time.sleep(0.3)
        return item, os.getpid(), len(own)
    return work

def run(batches, workers):
    number = 0
    numbered = []
    for batch in batches:
        numbered.append([(number + at, item) for at, item in enumerate(batch)])
        number += len(batch)
    found = list(results(start, numbered, workers=workers))
    assert sorted(at for at, _ in found) == list(range(number)), found
    return [result for _, result in sorted(found, key=lambda entry: entry[0])]
"""


def in_process(script: str) -> None:
    """Run a script that starts processes; this one has threads, which do not go with that."""
    done = subprocess.run([sys.executable, "-c", POOL + script], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")


needs_fork = pytest.mark.skipif(sys.platform != "linux", reason="the script's own functions reach workers by a fork")


@needs_fork
def test_workers_share_the_items_and_keep_a_batch_together() -> None:
    in_process("""
found = run([["slow", "b", "c"], ["slow", "e"], ["f"]], 2)
assert [item for item, *_ in found] == ["slow", "b", "c", "slow", "e", "f"]
pids = [pid for _, pid, _ in found]
assert len(set(pids)) == 2 and os.getpid() not in pids
assert pids[0] == pids[1] == pids[2] and pids[3] == pids[4]
assert len(run([["a"]], 4)) == 1
assert run([], 4) == []
""")


@needs_fork
@pytest.mark.parametrize("workers", [1, 2, 5])
def test_dead_worker_costs_its_own_item_only(workers: int) -> None:
    in_process(f"""
found = run([["a", "die", "c", "exit"], ["die"], ["e", "f"], ["exit", "exit"], ["g"]], {workers})
lost = {{at: result.why for at, result in enumerate(found) if isinstance(result, Lost)}}
killed, ended = "was killed by SIGKILL", "ended with status 3"
assert lost == {{1: killed, 3: ended, 4: killed, 7: ended, 8: ended}}, lost
assert [result[0] for result in found if not isinstance(result, Lost)] == ["a", "c", "e", "f", "g"]
""")


@needs_fork
def test_workers_end_when_nobody_wants_more() -> None:
    in_process("""
stream = results(start, [[(0, "a"), (1, "slow")], [(2, "slow"), (3, "slow")]], workers=2)
_, (_, pid, _) = next(stream)
stream.close()
import multiprocessing
assert multiprocessing.active_children() == []
try:
    os.kill(pid, 0)
except ProcessLookupError:
    pass
else:
    raise SystemExit("it still runs")
""")
