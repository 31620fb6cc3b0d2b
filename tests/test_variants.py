"""What --vary means: values, ranges, commas that divide and commas that may be decimal."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inlayfit.batch.variants import MOST_VARIANTS, combinations, read_varied, variant_text
from inlayfit.errors import InputError
from inlayfit.quantity import read_number


def values(listed: str, key: str = "joint.pocket_depth") -> tuple[str, ...]:
    return read_varied(f"{key}={listed}").values


@pytest.mark.parametrize(
    ("listed", "expected"),
    [
        ("0.5,0.6", ("0.5", "0.6")),
        ("0.5", ("0.5",)),
        ("1, 5", ("1", "5")),
        ("1/8,1/4", ("1/8", "1/4")),
        ("5,1/4", ("5", "1/4")),
        ("5,1 1/4", ("5", "1 1/4")),
        ("0.5,1", ("0.5", "1")),
        ("1,0.5", ("1", "0.5")),
        ("4,5,6", ("4", "5", "6")),
        ("30,60", ("30", "60")),
        ("1,5", ("1", "5")),
        ("1,250.5", ("1", "250.5")),
        ("1,2..3..1", ("1", "2", "3")),
        ("3mm,4mm", ("3mm", "4mm")),
        ("3 mm,4", ("3 mm", "4")),
        ("2 %,3 %", ("2 %", "3 %")),
        ('1/4",3/8"', ('1/4"', '3/8"')),
        ("[9,7],[10,8]", ("[9,7]", "[10,8]")),
        ("{v: {angle: 30, tip: 0}},{v: {angle: 60}}", ("{v: {angle: 30, tip: 0}}", "{v: {angle: 60}}")),
        ("'ash, white',maple", ("'ash, white'", "maple")),
        ("../fern.svg,../heron.svg", ("../fern.svg", "../heron.svg")),
        ("1/8..3/8..1/16", ("1/8", "3/16", "1/4", "5/16", "3/8")),
        ("1 1/8..1 1/2..1/8", ("1 1/8", "1 1/4", "1 3/8", "1 1/2")),
        ("0..0.3..0.1", ("0", "0.1", "0.2", "0.3")),
        (".5..1.5..0.5", ("0.5", "1", "1.5")),
        ("0.25..0.5..1/8", ("1/4", "3/8", "1/2")),
        ("0.5..1..0.25 mm", ("0.5 mm", "0.75 mm", "1 mm")),
        ("2%..4%..1%", ("2 %", "3 %", "4 %")),
        ("2..1..-0.5", ("2", "1.5", "1")),
        ("-1..1..1", ("-1", "0", "1")),
        ("1..2..0.3", ("1", "1.3", "1.6", "1.9")),
        ("1/8,0.3..0.5..0.1", ("1/8", "0.3", "0.4", "0.5")),
    ],
)
def test_values_and_ranges(listed: str, expected: tuple[str, ...]) -> None:
    assert values(listed) == expected


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("joint.pocket_depth", "expected KEY=V1,V2"),
        ("=1", "expected KEY=V1,V2"),
        ("joint.pocket_depth=", "expected KEY=V1,V2"),
        ("joint.pocket_depth=0.1,", "a value is empty"),
        ("joint.pocket_depth=0.1,,0.2", "a value is empty"),
        ("joint.pocket_depth=0.5,0.5", "0.5 stands twice"),
        ("joint.pocket_depth=0,4,0,5", "0 stands twice, expected each value once (a comma parts values)"),
        ("joint.pocket_depth=1..2", "1..2 is no range, expected first..last..step"),
        ("joint.pocket_depth=1..2..0", "do not lead from 1 to 2"),
        ("joint.pocket_depth=2..1..0.1", "do not lead from 2 to 1"),
        ("joint.pocket_depth=1/0..2..1", "a fraction over 0"),
        ("joint.pocket_depth=1mm..2in..1mm", "mixes units"),
        ("joint.pocket_depth=1..1000000..1", "expected at most 100,000"),
        ("base.blank=[9,7", "found no closing ]"),
        ("title='a", "found no closing '"),
    ],
)
def test_mistakes_say_what_was_found(text: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read_varied(text)
    assert str(caught.value).startswith("--vary: found ")
    assert told in str(caught.value)


def test_bit_sets_are_files_unless_in_braces() -> None:
    files = read_varied("bits=slim.yaml,../2,sixty.yaml")
    assert files.values == ("slim.yaml", "../2", "sixty.yaml")
    assert files.from_files
    assert not read_varied("bits={v: {angle: 30}}").from_files
    assert not read_varied("joint.pocket_depth=0.1,0.2").from_files


@given(
    first=st.integers(-400, 400),
    steps=st.integers(0, 40),
    step=st.integers(1, 300),
    places=st.sampled_from([1, 2, 4, 10, 1000]),
)
def test_ranges_reach_their_last_value_without_drift(first: int, steps: int, step: int, places: int) -> None:
    ends = [Fraction(number, places) for number in (first, first + steps * step, step)]
    found = values("..".join(str(end) for end in ends))
    assert [exact(text) for text in found] == [Fraction(first + number * step, places) for number in range(steps + 1)]
    for text in found:
        assert read_number(text) == pytest.approx(float(exact(text)), rel=1e-15)


def exact(text: str) -> Fraction:
    """A decimal, fraction or mixed number."""
    sign = -1 if text.startswith("-") else 1
    return sign * sum((Fraction(part) for part in text.removeprefix("-").split()), Fraction())


def test_combinations_take_every_value_with_every_other_the_last_key_fastest() -> None:
    varied = [read_varied("joint.glue_gap=0.3,0.4"), read_varied("bits=slim.yaml,sixty.yaml")]
    assert [variant_text(variant) for variant in combinations(varied)] == [
        "joint.glue_gap=0.3, bits=slim.yaml",
        "joint.glue_gap=0.3, bits=sixty.yaml",
        "joint.glue_gap=0.4, bits=slim.yaml",
        "joint.glue_gap=0.4, bits=sixty.yaml",
    ]
    assert combinations([]) == ((),)


def test_combinations_refuse_a_key_twice_and_too_many() -> None:
    with pytest.raises(InputError, match=r"joint\.glue_gap is varied twice"):
        combinations([read_varied("joint.glue_gap=0.3,0.4"), read_varied("joint.glue_gap=0.5")])
    many = [read_varied("joint.glue_gap=0.001..0.4..0.001"), read_varied("joint.sanding=0.001..0.4..0.001")]
    with pytest.raises(InputError, match=f"found 160,000 combinations, expected at most {MOST_VARIANTS:,}"):
        combinations(many)
