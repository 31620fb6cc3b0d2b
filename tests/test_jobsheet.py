"""Reading job sheets: good ones, their layers, hostile ones, and every message of tests/bad_sheets.

``python tests/test_jobsheet.py`` rewrites the expected messages from the program; read the difference.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest
import yaml

from inlayfit.errors import InputErrors
from inlayfit.sheet import tree as sheet_tree
from inlayfit.sheet.jobsheet import MOST_MISTAKES, SheetValues, read_sheet
from inlayfit.sheet.keytypes import Share

BAD_SHEETS = Path(__file__).parent / "bad_sheets"
LEAST = "base: {thickness: 19}\nplug: {thickness: 12}\nbits: {v: {angle: 30}}\n"
IN_INCHES = """\
title: Fern on a keepsake-box lid
unit: in                   # for bare numbers
outline: {file: fern.svg, width: 4.5}
base: {wood: black walnut, thickness: 3/4, blank: [9, 7], least_floor: 1/8,
  grain: {face: long, direction: 0 deg}}
plug: {wood: sugar maple, thickness: 1/2, blank: [6, 6], border: 1/4", least_web: 1/16,
  cut_out: yes, through: 0.01}
joint: {pocket_depth: 1/4, glue_gap: 0.02, surface_gap: 0.1, wall_allowance: 0,
  hand_force: 100 N, clamp_pressure: 0.7 MPa}
bits:
  v: {angle: 30, tip: 0.004, diameter: 1/4, reach: 0.45, depth_of_cut: 1/4, stepover: 2 %}
  clearing: {diameter: 3/16, reach: 3/4, depth_of_cut: 1/8, stepover: 40 %}
touch_off: face
"""
IN_MM = """\
unit: mm
base: {thickness: 19}
plug: {thickness: 12}
outline:
  shapes: [{rectangle: [60, 40]}, {circle: 12, at: [15, 0], hole: true}, {ellipse: [20, 8], turn: 30 deg},
    {polygon: [[0, 0], [9, 0], [4, 7]]}, {star: {points: 5, across: 30, inner: 12}}]
datum: lower left
bits: {pocket_v: {angle: 30, tip: 0.1}, plug_v: {angle: 30, measured: {angle: 29.6, tip: 0.16}},
  clearing: [{name: 3 mm, diameter: 3}, {name: 6 mm, diameter: 6}],
  levelling: {diameter: 25, stepover: 12 mm}}
hold_downs: [{part: base, rectangle: [20, 20], at: [88, 60], height: 15}]
climate: {cutting: {moisture: 8 %}, use: {temperature: 70 F, humidity: 35 %}}
tolerance: {touch_off: {limit: 0.05, pocket_v: {sd: 0.02}}, angle: 0.25, square: 0.1 mm in 300 mm}
limits: {glue_gap: [0.25, 1], floor_ridges: 50 %}
dry_fit: {gaps: [2.9, 3.0, 2.95], held: base}
cutting: {v: {feed: 1500, plunge: 20 in/min}}
"""
LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if hasattr(yaml, "CSafeLoader") else [])]


def read(text: str | bytes, *, settings: tuple[str, ...] = (), shops: tuple[str, ...] = ()) -> SheetValues:
    data = text if isinstance(text, bytes) else text.encode()
    files = [(f"shop{number}.yaml", shop.encode()) for number, shop in enumerate(shops, 1)]
    return read_sheet(data, "sheet.yaml", settings=settings, shops=files)


def mistakes(text: str | bytes, *, settings: tuple[str, ...] = (), shops: tuple[str, ...] = ()) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        read(text, settings=settings, shops=shops)
    return list(caught.value.lines())


def read_bad_sheet(path: Path) -> SheetValues:
    """Read a sheet of the folder; comments at its top name its shop files and settings."""
    head = [line[2:].split(": ", 1) for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("# s")]
    shops = [(name, (BAD_SHEETS / "shops" / name).read_bytes()) for word, name in head if word == "shop"]
    settings = [value for word, value in head if word == "set"]
    return read_sheet(path.read_bytes(), path.name, settings=settings, shops=shops)


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize("path", sorted(BAD_SHEETS.glob("*.yaml")), ids=lambda path: path.stem)
def test_bad_sheet_gives_exact_messages(path, loader, monkeypatch):
    if loader is yaml.SafeLoader and path.stem in ("no_space_before_bracket", "colon_without_value"):
        pytest.skip("PyYAML's own scanner is kinder to a colon before a bracket")
    monkeypatch.setattr(sheet_tree, "_LOADER", loader)
    with pytest.raises(InputErrors) as caught:
        read_bad_sheet(path)
    assert "\n".join(caught.value.lines()) + "\n" == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_inch_sheet_in_mm():
    sheet = read(IN_INCHES)
    assert (sheet.unit, sheet.unit_given, sheet.notes) == ("in", True, ())
    assert sheet.values["title"] == "Fern on a keepsake-box lid"
    assert sheet.values["outline"] == {"file": "fern.svg", "width": 4.5 * 25.4}
    assert sheet.values["base"] == {
        "wood": "black walnut",
        "thickness": 19.05,
        "blank": (228.6, 177.8),
        "least_floor": 25.4 / 8,
        "grain": {"face": "long", "direction": 0},
    }
    assert sheet.values["plug"]["border"] == 25.4 / 4
    assert sheet.values["plug"]["cut_out"] is True
    assert sheet.values["joint"]["hand_force"] == 100
    assert sheet.values["joint"]["clamp_pressure"] == 0.7
    assert sheet.values["bits"]["v"]["stepover"] == Share(0.02)
    assert sheet.values["bits"]["clearing"]["diameter"] == 4.7625
    assert sheet.values["touch_off"] == "face"


def test_mm_sheet():
    values = read(IN_MM).values
    assert [next(iter(shape)) for shape in values["outline"]["shapes"]] == [
        "rectangle", "circle", "ellipse", "polygon", "star",
    ]  # fmt: skip
    assert values["outline"]["shapes"][1] == {"circle": 12, "at": (15, 0), "hole": True}
    assert values["outline"]["shapes"][3]["polygon"] == ((0, 0), (9, 0), (4, 7))
    assert values["outline"]["shapes"][4]["star"]["points"] == 5
    assert [bit["name"] for bit in values["bits"]["clearing"]] == ["3 mm", "6 mm"]
    assert values["bits"]["levelling"]["stepover"] == 12
    assert values["bits"]["plug_v"]["measured"] == {"angle": 29.6, "tip": 0.16}
    assert values["climate"]["use"]["temperature"] == pytest.approx((70 - 32) / 1.8)
    assert values["climate"]["cutting"]["moisture"] == 0.08
    assert values["tolerance"]["touch_off"] == {"limit": 0.05, "pocket_v": {"sd": 0.02}}
    assert values["tolerance"]["square"] == 0.1 / 300
    assert values["limits"] == {"glue_gap": (0.25, 1), "floor_ridges": 0.5}
    assert values["cutting"]["v"] == {"feed": 1500, "plunge": 20 * 25.4}
    assert values["datum"] == "lower left"


def test_no_key_is_without_a_use_any_more():
    given = "dry_fit: {held: base}\njoint: {hand_force: 90 N, glue_gap: 1}\nlimits: {corners: 1}\n"
    assert read(LEAST + given).unused == ()


def test_text_is_taken_as_written():
    sheet = read(LEAST + "title: 010 yes # comment\noutline: {file: '1:30', take: closed}\n")
    assert sheet.values["title"] == "010 yes"
    assert sheet.values["outline"]["file"] == "1:30"
    assert read(LEAST + "title: |\n  Fern\n  on a lid\n").values["title"] == "Fern on a lid"


@pytest.mark.parametrize(("word", "value"), [("yes", True), ("TRUE", True), ("No", False), ("'false'", False)])
def test_yes_and_no(word, value):
    assert read(LEAST.replace("thickness: 12", f"thickness: 12, cut_out: {word}")).values["plug"]["cut_out"] is value


@pytest.mark.parametrize("part", ["joint:", "joint: {}", "outline:", "limits: ~", "tolerance: {}"])
def test_a_part_with_nothing_in_it_is_left_out(part):
    assert read(LEAST + part + "\n").values == read(LEAST).values


def test_aliases_and_a_byte_order_mark_are_read():
    text = "\ufeffbase: &b {thickness: 19}\nplug: *b\nbits: {v: {angle: 30}}\n"
    assert read(text).values["plug"] == {"thickness": 19}
    assert read(text.replace("\n", "\r\n")).values == read(text).values


def test_place_of_a_key_or_the_nearest_part():
    sheet = read(IN_MM)
    lines = IN_MM.splitlines()
    assert sheet.place_of(("base", "thickness")) == "sheet.yaml:2:8"
    assert sheet.place_of(("base", "wood")) == "sheet.yaml:2:1"
    assert sheet.place_of(("joint", "glue_gap")) == "sheet.yaml:1:1"
    column = lines[4].index("circle") + 1
    assert sheet.place_of(("outline", "shapes", "[2]", "circle")) == f"sheet.yaml:5:{column}"
    assert sheet.place_of(("outline", "shapes", "[2]", "turn")) == f"sheet.yaml:5:{column - 1}"
    assert sheet.place_of(("outline", "shapes", "[9]")) == "sheet.yaml:5:3"
    set_one = read(LEAST, settings=("joint.glue_gap=1",), shops=("limits: {surface_gap: 1 mm}\n",))
    assert set_one.place_of(("joint", "glue_gap")) == "--set joint.glue_gap"
    assert set_one.place_of(("limits", "surface_gap")) == "shop1.yaml:1:10"


# -- shop files ------------------------------------------------------------------------------------


def test_shop_file_fills_what_the_sheet_leaves_out():
    shop = "unit: mm\njoint: {glue_gap: 0.4, sanding: 0.3}\nbits: {clearing: [{diameter: 3}, {diameter: 6}]}\n"
    sheet = read(LEAST + "unit: mm\njoint: {glue_gap: 0.6}\n", shops=(shop,))
    assert sheet.values["joint"] == {"glue_gap": 0.6, "sanding": 0.3}
    assert sheet.values["bits"]["v"] == {"angle": 30}
    assert len(sheet.values["bits"]["clearing"]) == 2
    assert sheet.notes == ()


def test_lists_and_values_replace_whole():
    shop = "unit: mm\nbits: {clearing: {diameter: 3, reach: 12}}\ntolerance: {touch_off: 0.1}\n"
    text = LEAST.replace("30}}", "30}, clearing: [{diameter: 6}]}") + "tolerance: {touch_off: {limit: 0.05}}\n"
    sheet = read(text, shops=(shop,))
    assert sheet.values["bits"]["clearing"] == ({"diameter": 6},)
    assert sheet.values["tolerance"]["touch_off"] == {"limit": 0.05}


def test_later_shop_files_lie_over_earlier_ones():
    shops = ("unit: mm\njoint: {glue_gap: 0.3, sanding: 0.1}\n", "unit: mm\njoint: {glue_gap: 0.4}\n")
    assert read(LEAST, shops=shops).values["joint"] == {"glue_gap": 0.4, "sanding": 0.1}


def test_an_empty_part_of_the_sheet_lets_the_shop_file_through():
    assert read(LEAST + "joint:\n", shops=("unit: mm\njoint: {sanding: 0.1}\n",)).values["joint"] == {"sanding": 0.1}
    assert read(LEAST, shops=("# nothing yet\n",)).values == read(LEAST).values


def test_bare_numbers_of_a_shop_file_are_in_its_own_unit():
    sheet = read(LEAST + "unit: mm\n", shops=("unit: in\njoint: {glue_gap: 0.02}\n",))
    assert sheet.unit == "mm"
    assert sheet.values["joint"]["glue_gap"] == 0.02 * 25.4
    assert sheet.notes == ()


def test_a_shop_file_without_a_unit_is_read_in_the_sheets_and_that_is_told():
    shop = "joint: {glue_gap: 0.02}\n"
    sheet = read(IN_INCHES.replace("glue_gap: 0.02, ", ""), shops=(shop,))
    assert sheet.values["joint"]["glue_gap"] == 0.02 * 25.4
    assert sheet.notes == ("shop1.yaml names no unit: its bare numbers are read in inches, the sheet's unit",)
    assert read(LEAST, shops=("joint: {glue_gap: 0.4 mm}\nlimits: {seat: 4 %}\n",)).notes == ()


def test_a_sheet_without_a_unit_takes_the_shop_files():
    text = LEAST.replace("19", "3/4").replace("12", "1/2")
    sheet = read(text, shops=("unit: in\njoint: {glue_gap: 0.02}\n",))
    assert (sheet.unit, sheet.unit_given) == ("in", True)
    assert sheet.values["base"]["thickness"] == 19.05
    assert sheet.notes == ("sheet.yaml names no unit: its bare numbers are read in inches, the unit of shop1.yaml",)
    assert read(LEAST).unit_given is False


@pytest.mark.parametrize(
    ("sheet_part", "shop", "left"),
    [
        ("", "bits: {pocket_v: {angle: 60}, plug_v: {angle: 60}}", ("bits", {"v": {"angle": 30}})),
        ("joint: {clamp_force: 2 kN}", "joint: {clamp_pressure: 1 MPa}", ("joint", {"clamp_force": 2000})),
        ("outline: {width: 50 mm, file: a.svg}", "outline: {scale: 2, shapes: [{circle: 3 mm}]}",
         ("outline", {"width": 50, "file": "a.svg"})),
        ("tolerance: {tip: {sd: 0.01 mm}}", "tolerance: {tip: {limit: 0.05 mm}}",
         ("tolerance", {"tip": {"sd": 0.01}})),
    ],
)  # fmt: skip
def test_a_shop_files_rival_keys_give_way(sheet_part, shop, left):
    part, values = left
    assert read(f"{LEAST}{sheet_part}\n", shops=(shop + "\n",)).values[part] == values


def test_two_v_bits_lie_over_a_shop_files_one():
    text = LEAST.replace("v: {angle: 30}", "pocket_v: {angle: 30}, plug_v: {angle: 31}")
    bits = read(text, shops=("bits: {v: {angle: 60}}\n",)).values["bits"]
    assert bits == {"pocket_v": {"angle": 30}, "plug_v": {"angle": 31}}


SHOP_BITS = """\
unit: mm
bits:
  v: {name: old faithful, angle: 30, tip: 0.1, reach: 12, measured: {angle: 29.6}}
  clearing: {name: 6 mm two-flute, diameter: 6, reach: 22, depth_of_cut: 3}
"""


@pytest.mark.parametrize(
    ("sheets", "values", "left_out"),
    [
        ("v: {angle: 30}", {"angle": 30}, "name, tip, reach, measured"),
        ("v: {angle: 60, tip: 0.2, reach: 9}", {"angle": 60, "tip": 0.2, "reach": 9}, "name, measured"),
        ("clearing: {diameter: 3}", {"diameter": 3}, "name, reach, depth_of_cut"),
    ],
)
def test_a_bit_whose_size_the_sheet_gives_takes_nothing_from_another_files_bit(sheets, values, left_out):
    role, needed = sheets.partition(":")[0], "angle" if sheets.startswith("v") else "diameter"
    text = LEAST.replace("{v: {angle: 30}}", f"{{{sheets}}}")
    sheet = read(text, shops=(SHOP_BITS,))
    assert sheet.values["bits"][role] == values
    assert sheet.notes == (
        "sheet.yaml names no unit: its bare numbers are read in mm, the unit of shop1.yaml",
        f"bits.{role} is the bit of sheet.yaml, which gives its {needed}; left out, as another bit's: {left_out} in "
        "shop1.yaml",
    )


def test_a_shops_bit_may_be_used_in_another_way():
    text = LEAST.replace("{v: {angle: 30}}", "{clearing: {depth_of_cut: 2}, v: {measured: {tip: 0.15}}}")
    sheet = read("unit: mm\n" + text, shops=(SHOP_BITS,))
    bits = sheet.values["bits"]
    assert bits["clearing"] == {"name": "6 mm two-flute", "diameter": 6, "reach": 22, "depth_of_cut": 2}
    assert bits["v"]["measured"] == {"angle": 29.6, "tip": 0.15}
    assert sheet.notes == (
        "bits.v is the bit of shop1.yaml, with measured from sheet.yaml",
        "bits.clearing is the bit of shop1.yaml, with depth_of_cut from sheet.yaml",
    )


def test_a_size_that_names_no_bit_by_itself_is_refused_over_a_shops_bit():
    text = LEAST.replace("{v: {angle: 30}}", "{v: {tip: 0.2}}")
    assert mistakes(text, shops=(SHOP_BITS,)) == [
        "sheet.yaml:3:12: bits.v: found tip without angle, expected angle as well: with its size a bit is taken whole, "
        "and the one in shop1.yaml is left out"
    ]


def test_a_later_shop_files_bit_takes_nothing_from_an_earlier_ones():
    slim = "unit: mm\nbits: {clearing: {diameter: 2}}\n"
    assert read(LEAST, shops=(SHOP_BITS, slim)).values["bits"]["clearing"] == {"diameter": 2}


def test_a_covered_value_of_a_shop_file_is_not_read():
    assert read(LEAST + "joint: {glue_gap: 1}\n", shops=("joint: {glue_gap: wide}\n",)).values["joint"]["glue_gap"] == 1


# -- settings --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("setting", "path", "value"),
    [
        ("joint.glue_gap=0.4 mm", ("joint", "glue_gap"), 0.4),
        ("joint.glue_gap = 0.02", ("joint", "glue_gap"), 0.02 * 25.4),
        ('base.thickness=7/8"', ("base", "thickness"), 22.225),
        ("base.thickness='1 in'", ("base", "thickness"), 25.4),
        ("base.blank=[9,7]", ("base", "blank"), (228.6, 177.8)),
        ('base.blank=[9", 7 in]', ("base", "blank"), (228.6, 177.8)),
        ("bits.v.angle=60°", ("bits", "v", "angle"), 60),
        ("bits.v.stepover=5%", ("bits", "v", "stepover"), Share(0.05)),
        ("bits.v={angle: 60, tip: 0.1 mm}", ("bits", "v"), {"angle": 60, "tip": 0.1}),
        ("title=#2: the fern, 100 % = all", ("title",), "#2: the fern, 100 % = all"),
        ("title=@home", ("title",), "@home"),
        ("limits.corners=0.5 mm", ("limits", "corners"), 0.5),
        ("datum=lower left", ("datum",), "lower left"),
    ],
)
def test_setting(setting, path, value):
    found = read(IN_INCHES, settings=(setting,)).values
    for step in path:
        found = found[step]
    assert found == value


def test_setting_takes_a_key_out():
    sheet = read(IN_INCHES, settings=("joint.pocket_depth=", "limits.seat=", "touch_off= "))
    assert "pocket_depth" not in sheet.values["joint"]
    assert "touch_off" not in sheet.values
    assert sheet.values["joint"]["glue_gap"] == read(IN_INCHES).values["joint"]["glue_gap"]
    shop = "unit: mm\njoint: {pocket_depth: 5}\n"
    assert read(LEAST, shops=(shop,), settings=("joint.pocket_depth=",)).values.get("joint") is None


def test_settings_reach_into_lists():
    values = read(
        IN_MM, settings=("bits.clearing[2].diameter=8", "outline.shapes[1].circle=12", "dry_fit.gaps[3]=")
    ).values
    assert [bit["diameter"] for bit in values["bits"]["clearing"]] == [3, 8]
    assert values["outline"]["shapes"][0] == {"circle": 12}
    assert values["dry_fit"]["gaps"] == (2.9, 3.0)


def test_a_setting_of_a_bits_size_takes_its_name_out_and_keeps_the_rest():
    text = IN_INCHES.replace("v: {angle: 30,", "v: {name: old faithful, angle: 30,")
    sheet = read(text, settings=("bits.v.angle=60",))
    assert "name" not in sheet.values["bits"]["v"]
    assert sheet.values["bits"]["v"] == {**read(IN_INCHES).values["bits"]["v"], "angle": 60}
    assert sheet.notes == ("--set bits.v.angle: bits.v.name 'old faithful' is left out, its other keys stay",)
    named = read(IN_MM, settings=("bits.clearing[2].diameter=8", "bits.clearing[2].name=big")).values["bits"]
    assert named["clearing"][1] == {"name": "big", "diameter": 8}
    for same in ("bits.v.angle=30", "bits.v.reach=1/2"):
        assert read(text, settings=(same,)).values["bits"]["v"]["name"] == "old faithful"


def test_settings_come_in_their_order_and_over_the_shop_files():
    settings = ("joint.glue_gap=0.4", "joint.glue_gap=0.5")
    assert read(LEAST, settings=settings, shops=("joint: {glue_gap: 1}\n",)).values["joint"]["glue_gap"] == 0.5


def test_setting_the_unit_reads_the_sheet_in_it():
    sheet = read(LEAST.replace("19", "3/4").replace("12", "1/2"), settings=("unit=in", "joint.glue_gap=0.02"))
    assert sheet.unit_given
    assert sheet.values["base"]["thickness"] == 19.05
    assert sheet.values["joint"]["glue_gap"] == 0.02 * 25.4


def test_a_setting_stands_in_place_of_the_sheets_rival_key_and_that_is_told():
    sheet = read(LEAST + "joint: {clamp_pressure: 1 MPa}\n", settings=("joint.clamp_force=2 kN",))
    assert sheet.values["joint"] == {"clamp_force": 2000}
    assert sheet.notes == ("--set joint.clamp_force: stands in place of joint.clamp_pressure (sheet.yaml:4:9)",)


def test_two_settings_that_cannot_stand_together():
    lines = mistakes(LEAST + "outline: {file: a.svg}\n", settings=("outline.width=9", "outline.height=9"))
    assert lines == ["--set outline.height: found beside width, expected only one of width, height, scale"]


def test_a_setting_fills_a_part_with_nothing_in_it():
    assert read(LEAST + "joint:\n", settings=("joint.glue_gap=1",)).values["joint"] == {"glue_gap": 1}


def test_taking_out_what_is_not_there_is_no_mistake():
    settings = ("limits.seat=", "tolerance.tip.sd=", "bits.cut_out.reach=", "dry_fit.gaps[2]=")
    assert read(LEAST + "tolerance: {tip: 0.1}\n", settings=settings).values["tolerance"] == {"tip": 0.1}


# -- text that means harm, or none -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "place", "found"),
    [
        (b"title: caf\xe9\n", ":1:11", "bytes that are not UTF-8 text, expected a sheet saved as UTF-8"),
        (
            b"\xef\xbb\xbftitle: \xe9\n",
            ":1:8",
            "bytes that are not UTF-8 text, expected a sheet saved as UTF-8",
        ),
        (
            "title: Lid\n".encode("utf-16"),
            ":1:1",
            "bytes that are not UTF-8 text, expected a sheet saved as UTF-8",
        ),
        (b"unit: mm\ntitle: L\x00d\n", ":2:9", "the control character 0x00, expected plain text"),
        (b"#" * 4_000_001, "", "4.0 MB, expected at most 4 MB (a long outline belongs in a file of its own)"),
    ],
)
def test_bytes_that_are_no_sheet(data, place, found):
    assert mistakes(data) == [f"sheet.yaml{place}: found {found}"]


HOSTILE = {
    "brackets": "title: " + "[" * 2_000_000,
    "braces": "title: " + "{a: " * 500_000,
    "dashes": "- " * 1_000_000,
    "many values": "title: [" + "1," * 1_500_000 + "]",
    "many keys": "".join(f"k{n}: 1\n" for n in range(150_000)),
    "one key over and over": "base: 1\n" * 90_000,
    "wrong points": LEAST + "outline: {shapes: [{polygon: [" + "[x, y], " * 30_000 + "]}]}\n",
    "alias bomb": "a: &a [1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n"
    + "".join(f"k{n}: &k{n} [{', '.join([f'*k{n - 1}' if n else '*a'] * 10)}]\n" for n in range(50)),
    "long number": LEAST + "joint: {glue_gap: " + "9" * 1_000_000 + "}\n",
    "long gap in a number": LEAST + "joint: {glue_gap: '1" + " " * 1_000_000 + "x'}\n",
    "long slope": LEAST + "tolerance: {square: '" + "1 in " * 200_000 + "'}\n",
    "long key": LEAST + "'" + "k" * 1_000_000 + "': 1\n",
    "long title": LEAST + "title: '" + "a \n\n" * 200_000 + "'\n",
    "tabs": LEAST + "\t" * 1_000_000,
    "open quote": LEAST + "title: '" + "a\n" * 500_000,
    "anchors": "title: [" + ", ".join(f"&a{n} x" for n in range(120_000)) + "]",
}


@pytest.mark.skipif(not hasattr(yaml, "CSafeLoader"), reason="PyYAML without its C parser reads slowly")
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_sheets_end_soon_in_a_few_lines(name):
    start = time.process_time()
    lines = mistakes(HOSTILE[name])
    assert time.process_time() - start < 3  # a second is aimed at; the rest is for a slow machine
    assert 1 <= len(lines) <= MOST_MISTAKES + 1
    assert all(len(line) < 400 for line in lines)


def test_a_large_outline_is_read():
    points = ", ".join(f"[{n}.5, {n % 7}]" for n in range(9_000))
    shapes = read(f"{LEAST}outline: {{shapes: [{{polygon: [{points}]}}]}}\n").values["outline"]["shapes"]
    assert len(shapes[0]["polygon"]) == 9_000
    assert shapes[0]["polygon"][-1] == (8999.5, 8999 % 7)


def test_sheets_cut_short_or_garbled_give_lines_and_nothing_else():
    signs = "{}[]:,'\"#&*!|>%@`\t\n -?~<1a"
    refused: list[str] = []
    for text in (IN_INCHES, IN_MM):
        for at in range(0, len(text), 7):
            for garbled in (
                text[:at],
                text[:at] + signs[at % len(signs)] + text[at:],
                text[:at] + text[at + 1 :],
            ):
                try:
                    read(garbled)
                except InputErrors as error:
                    refused.extend(error.lines())
    assert len(refused) > 100
    assert [line for line in refused if not line.startswith("sheet.yaml:") or "\n" in line] == []


if __name__ == "__main__":
    for sheet in sorted(BAD_SHEETS.glob("*.yaml")):
        try:
            read_bad_sheet(sheet)
        except InputErrors as error:
            sheet.with_suffix(".txt").write_text("\n".join(error.lines()) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("title", "kept", "noted"),
    [
        ("Lid # 2", "Lid", True),
        ("Lid #2", "Lid", True),
        ("Lid\t# 2", "Lid", True),
        ("'Lid # 2'", "Lid # 2", False),
        ('"Lid # 2"  # for Anna', "Lid # 2", False),
        ("Lid#2", "Lid#2", False),
        ("Lid", "Lid", False),
    ],
)
def test_a_title_that_a_comment_sign_cuts_off_is_noted(title: str, kept: str, noted: bool) -> None:
    rest = "unit: mm  # as always\nbase: {thickness: 18}  # of oak\nplug: {thickness: 12}\nbits: {v: {angle: 30}}\n"
    found = read_sheet(f"title: {title}\n{rest}".encode(), "lid.yaml")
    assert found.values["title"] == kept
    told = "lid.yaml:1:8: the title ends before ' #', which begins a comment: put the whole title in quotes if that "
    assert list(found.notes) == ([f"{told}belongs to it"] if noted else [])
