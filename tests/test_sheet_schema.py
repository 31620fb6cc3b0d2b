"""What is made from the table of keys: the JSON Schema, and the tables of docs/job-sheet.md.

``python tests/test_sheet_schema.py`` rewrites the tables of the page.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest
import yaml

from inlayfit.errors import InputErrors
from inlayfit.sheet.jobsheet import read_sheet
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.keytypes import Either, Key, KeyType, Listing, Numbered, Pair, Scalar, Section
from inlayfit.sheet.schema import sheet_schema

PAGE = Path(__file__).parents[1] / "docs" / "job-sheet.md"
START, END = "<!-- keys: made from the table of keys -->\n", "<!-- end of keys -->\n"
UNITS = {
    "length": " mm", "length or share": " mm", "feed": " mm/min", "angle": " deg", "force": " N",
    "pressure": " MPa", "temperature": " C",
}  # fmt: skip

CHECKER = jsonschema.Draft202012Validator(sheet_schema())
BASE = {"thickness": 19}
LEAST = {"base": BASE, "plug": {"thickness": 12}, "bits": {"v": {"angle": 30}}}


def reader_takes(sheet: object) -> bool:
    """Whether the reader takes a sheet; JSON is YAML as well."""
    try:
        read_sheet(json.dumps(sheet, ensure_ascii=False).encode(), "sheet.json")
    except InputErrors:
        return False
    return True


def test_schema_is_a_schema_and_plain_json():
    jsonschema.Draft202012Validator.check_schema(sheet_schema())
    assert json.loads(json.dumps(sheet_schema())) == sheet_schema()


def test_schema_knows_every_key_with_its_help():
    def compare(schema: dict, section: Section) -> None:
        assert list(schema["properties"]) == list(section.keys)
        assert schema["additionalProperties"] is False
        for name, key in section.keys.items():
            inner = schema["properties"][name]
            assert inner["description"].startswith(key.help)
            assert key.default in inner["description"]
            if isinstance(key.type, Section):
                compare(inner, key.type)

    compare(sheet_schema(), SHEET)


GOOD = {
    "least": {},
    "unit": {"unit": "in"},
    "text that looks like a number": {"title": 7},
    "numbers as text": {"base": {"thickness": '3/4"', "blank": ["9 in", "7 1/2 in"]}},
    "signs": {"outline": {"file": "a.svg", "at": [-3, "-1/2 in"], "turn": -30}},
    "vulgar fraction": {"base": {"thickness": "1½ in"}},
    "yes as word": {"plug": {"thickness": 12, "cut_out": "No"}},
    "yes as boolean": {"plug": {"thickness": 12, "cut_out": True}},
    "share": {"bits": {"v": {"angle": "30 deg", "stepover": "2 %"}}},
    "stepover as length": {"bits": {"v": {"angle": "30°", "stepover": 0.2}}},
    "one clearing bit": {"bits": {"v": {"angle": 30}, "clearing": {"diameter": 6}}},
    "clearing bits": {"bits": {"v": {"angle": 30}, "clearing": [{"diameter": 6}, {"diameter": 3}]}},
    "shapes": {"outline": {"shapes": [{"circle": 12}, {"polygon": [[0, 0], [1, 0], [0, 1]], "hole": "yes"}]}},
    "regular": {"outline": {"shapes": [{"regular": {"sides": 6, "across_flats": 20}}]}},
    "empty parts": {"joint": {}, "limits": None, "outline": {}},
    "clamp": {"joint": {"clamp_force": "2 kN"}},
    "pressure": {"joint": {"clamp_pressure": "100 PSI"}},
    "air": {"climate": {"use": {"temperature": "70 °F", "humidity": "35%"}}},
    "tolerance": {"tolerance": {"angle": {"known": -0.2}, "square": "0.1 mm in 300 mm", "touch_off": 0.05}},
    "limit or pair": {"limits": {"glue_gap": [0.25, 1]}},
    "programmes": {
        "programmes": {
            "pocket": [{"file": "clear.nc", "bit": "clearing"}, {"file": "walls.nc", "bit": "v"}],
            "plug": {"file": "plug.nc", "tools": {"1": "clearing", "02": "v"}},
        }
    },
    "corner radius": {"bits": {"v": {"angle": 30}, "clearing": {"diameter": 6, "corner": 0.5}}},
    "feed": {"cutting": {"v": {"feed": "60 in/min", "plunge": 500}}},
}
BAD = {
    "no base": {"base": None},
    "unknown key": {"jont": {}},
    "unknown key inside": {"joint": {"gluegap": 1}},
    "no thickness": {"base": {"wood": "oak"}},
    "no bits": {"bits": None},
    "a bit without an angle": {"bits": {"v": {"tip": 0}}},
    "unit": {"unit": "inch"},
    "a word for a length": {"base": {"thickness": "thick"}},
    "unknown length unit": {"base": {"thickness": "19 miles"}},
    "decimal comma": {"base": {"thickness": "19,5"}},
    "negative length": {"joint": {"glue_gap": -1}},
    "negative length as text": {"joint": {"glue_gap": "-1 mm"}},
    "zero width": {"outline": {"file": "a.svg", "width": 0}},
    "flat angle": {"bits": {"v": {"angle": 2}}},
    "share without sign": {"limits": {"seat": 5}},
    "force without unit": {"joint": {"hand_force": 100}},
    "temperature without unit": {"climate": {"use": {"temperature": 21}}},
    "boolean for a length": {"base": {"thickness": True}},
    "null": {"joint": {"glue_gap": None}},
    "list for a value": {"base": {"thickness": [19]}},
    "one value for a pair": {"base": {"thickness": 19, "blank": 9}},
    "three values for a pair": {"base": {"thickness": 19, "blank": [9, 7, 5]}},
    "two points": {"outline": {"shapes": [{"polygon": [[0, 0], [1, 1]]}]}},
    "two shapes in one": {"outline": {"shapes": [{"circle": 3, "rectangle": [1, 2]}]}},
    "no shape": {"outline": {"shapes": [{"at": [0, 0]}]}},
    "two scales": {"outline": {"file": "a.svg", "width": 3, "scale": 2}},
    "two outlines": {"outline": {"file": "a.svg", "shapes": [{"circle": 3}]}},
    "half a star": {"outline": {"shapes": [{"star": {"points": 5, "across": 30}}]}},
    "sides and a half": {"outline": {"shapes": [{"regular": {"sides": 5.5, "across_flats": 20}}]}},
    "tip and ball": {"bits": {"v": {"angle": 30, "tip": 0.1, "ball": 0.5}}},
    "no clearing bits": {"bits": {"v": {"angle": 30}, "clearing": []}},
    "spread twice": {"tolerance": {"tip": {"limit": 0.1, "sd": 0.1}}},
    "spread not at all": {"tolerance": {"tip": {}}},
    "other word": {"touch_off": "table"},
    "maybe": {"plug": {"thickness": 12, "cut_out": "maybe"}},
    "empty text": {"title": ""},
    "bit and tools": {"programmes": {"pocket": {"file": "a.nc", "bit": "v", "tools": {"1": "v"}}}},
    "programme without a file": {"programmes": {"pocket": {"bit": "v"}}},
    "tool without a number": {"programmes": {"plug": [{"file": "a.nc", "tools": {"T1": "v"}}]}},
}


@pytest.mark.parametrize("name", GOOD)
def test_reader_and_schema_take(name):
    sheet = {**LEAST, **GOOD[name]}
    assert [error.message for error in CHECKER.iter_errors(sheet)] == []
    assert reader_takes(sheet)


@pytest.mark.parametrize("name", BAD)
def test_reader_and_schema_refuse(name):
    sheet = {**LEAST, **BAD[name]}
    assert not CHECKER.is_valid(sheet)
    assert not reader_takes(sheet)


# -- docs/job-sheet.md -----------------------------------------------------------------------------


def key_tables(section: Section = SHEET) -> str:
    """A heading and a table for every part of the sheet, as Markdown; parts of the same keys get one table."""
    parts: dict[str, str] = {}
    shared: dict[str, list[str]] = {}
    texts: list[str] = []

    def name_parts(section: Section, path: str) -> None:
        shared.setdefault(alike(section), []).append(path)
        if parts.setdefault(alike(section), path) == path:
            for name, key in section.keys.items():
                for inner, inner_path in sections(key.type, f"{path}.{name}" if path else name):
                    name_parts(inner, inner_path)

    def walk(section: Section, path: str) -> None:
        rows = [
            f"| {name}{'' if key.used else ' †'} | {' | '.join(row(key, name, path))} |"
            for name, key in section.keys.items()
        ]
        before = [*same(section), *rules(section)]
        texts.append("\n".join([f"### {path or 'Top of the sheet'}", "", *before, *head, *rows, ""]))
        for name, key in section.keys.items():
            for inner, inner_path in sections(key.type, f"{path}.{name}" if path else name):
                if parts[alike(inner)] == inner_path:
                    walk(inner, inner_path)

    def same(section: Section) -> Iterator[str]:
        if others := shared[alike(section)][1:]:
            yield f"The same in {', '.join(others)}.\n"

    def alike(section: Section) -> str:
        """The same for parts whose keys hold the same, whether or not they are used already."""
        return re.sub("used=(True|False)", "", repr(section))

    def row(key: Key, name: str, path: str) -> tuple[str, str, str, str]:
        default = "**required**" if key.required else key.default or "none"
        return holds(key.type, f"{path}.{name}" if path else name), limits(key.type), default, key.help

    def holds(type: KeyType, path: str) -> str:
        match type:
            case Scalar(kind="choice"):
                return " or ".join(f"`{choice}`" for choice in type.choices)
            case Scalar():
                return type.kind
            case Pair():
                return f"[{holds(type.item, path)}, {holds(type.item, path)}]"
            case Listing():
                return f"list of: {holds(type.item, path + '[1]')}"
            case Section():
                return f"keys: see {parts[alike(type)]}"
            case Numbered():
                return f"{type.item.kind} for each number"
            case Either():
                return ", or ".join(holds(option, path) for option in type.options)

    head = ["| key | holds | limits | left out | what it is for |", "| --- | --- | --- | --- | --- |"]
    name_parts(section, "")
    walk(section, "")
    return "\n".join(texts)


def sections(type: KeyType, path: str) -> Iterator[tuple[Section, str]]:
    match type:
        case Section():
            yield type, path
        case Listing():
            yield from sections(type.item, f"{path}[1]")
        case Either():
            for option in type.options:
                yield from sections(option, path)


def rules(section: Section) -> Iterator[str]:
    if section.just_one_of:
        yield f"Just one of {', '.join(section.just_one_of)} stands in it.\n"
    if section.at_most_one_of:
        yield f"No two of {', '.join(section.at_most_one_of)} stand together.\n"


def limits(type: KeyType) -> str:
    match type:
        case Scalar():
            return scalar_limits(type)
        case Pair():
            return limits(type.item)
        case Listing():
            found = f"{type.least} to {type.most:,} items"
            inner = limits(type.item)
            return f"{found}, each {inner}" if inner else found
        case Either():
            return "; ".join(dict.fromkeys(words for option in type.options if (words := limits(option))))
        case Numbered():
            return f"numbers up to {type.most:,}"
        case Section():
            return ""


def scalar_limits(scalar: Scalar) -> str:
    def amount(value: float) -> str:
        if scalar.kind == "share":
            return f"{value * 100:g} %"
        return f"{value:,.6g}{UNITS.get(scalar.kind, '')}" if value else "0"

    words = {"above": "more than", "least": "at least", "below": "less than", "most": "at most"}
    given = {name: getattr(scalar, name) for name in words}
    return ", ".join(f"{words[name]} {amount(value)}" for name, value in given.items() if value is not None)


def rewritten(page: str) -> str:
    before, _, rest = page.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}\n{key_tables()}{END}{after}"


def test_page_has_the_tables_of_the_keys():
    page = PAGE.read_text(encoding="utf-8")
    assert START in page
    assert END in page
    assert page == rewritten(page)


def test_sheets_of_the_page_are_read_and_fit_the_schema():
    page = PAGE.read_text(encoding="utf-8")
    sheets = re.findall(r"```yaml\n(.*?)```", page, re.DOTALL)
    whole = [text for text in sheets if "base:" in text]
    assert len(whole) >= 2
    for text in whole:
        assert read_sheet(text.encode(), "job-sheet.md").values
        assert [error.message for error in CHECKER.iter_errors(yaml.safe_load(text))] == []
    for shop in (text for text in sheets if "base:" not in text):
        assert read_sheet(json.dumps(LEAST).encode(), "sheet.yaml", shops=[("shop.yaml", shop.encode())]).values


if __name__ == "__main__":
    PAGE.write_text(rewritten(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
