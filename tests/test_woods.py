"""Looking woods up by name, and what stands in for a gap in the table."""

import itertools

import pytest

from inlayfit.joint.wood_table import WOOD_TABLE
from inlayfit.joint.woods import find_wood


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("black walnut", "Walnut, black"),
        ("Walnut, black", "Walnut, black"),
        ("WALNUT", "Walnut, black"),
        ("American black walnut", "Walnut, black"),
        ("hard maple", "Maple, sugar"),
        ("Maple (hard)", "Maple, sugar"),
        ("curly hard maple", "Maple, sugar"),
        ("red oak", "Oak, northern red"),
        ("northern red oak", "Oak, northern red"),
        ("quartersawn white oak", "Oak, white"),
        ("yellow poplar", "Yellow-poplar"),
        ("poplar", "Yellow-poplar"),
        ("Western red cedar", "Redcedar, western"),
        ("western redcedar", "Redcedar, western"),
        ("Douglas fir coast", "Douglas-fir, coast"),
        ("African mahogany", "Khaya"),
        ("Honduras mahogany", "Mahogany, true"),
        ("bass wood", "Basswood, American"),
        ("cherry wood", "Cherry, black"),
        ("padauk", "Padauk, African"),
        ("honey locust", "Honeylocust"),
    ],
)
def test_usual_names(name, expected):
    answer = find_wood(name)

    assert (answer.kind, answer.wood.name, answer.names) == ("found", expected, ())


@pytest.mark.parametrize("record", WOOD_TABLE, ids=lambda record: record.name)
def test_every_wood_is_found_by_its_name_in_any_order_of_words(record):
    words = record.name.replace(",", "").split()
    for order in itertools.permutations(words):
        answer = find_wood(" ".join(order).upper())
        assert answer.kind == "found"
        assert answer.wood.name == record.name
    assert find_wood(answer.wood.plain_name).wood == answer.wood


@pytest.mark.parametrize(
    ("name", "names"),
    [
        ("maple", ("sugar maple", "red maple", "silver maple")),
        ("soft maple", ("red maple", "silver maple")),
        ("curly maple", ("sugar maple", "red maple", "silver maple")),
        ("oak", ("northern red oak", "white oak")),
        ("birch", ("yellow birch", "paper birch")),
        ("hickory", ("shagbark hickory", "pecan hickory")),
        ("mahogany", ("true mahogany", "khaya")),
        ("Douglas-fir", ("coast Douglas-fir", "interior west Douglas-fir")),
        ("redwood", ("old-growth redwood", "young-growth redwood")),
    ],
)
def test_a_name_of_several_woods_lists_them(name, names):
    answer = find_wood(name)

    assert (answer.kind, answer.wood, answer.names) == ("several", None, names)


@pytest.mark.parametrize("name", ["pine", "cedar", "fir", "red cedar", "redcedar"])
def test_a_kind_that_the_table_has_one_of_many_is_asked_about(name):
    assert find_wood(name).kind == "several"


@pytest.mark.parametrize(
    ("name", "nearest"),
    [("wallnut", "black walnut"), ("European walnut", "black walnut"), ("chery", "black cherry"), ("tek", "teak")],
)
def test_an_unknown_name_gets_the_nearest(name, nearest):
    answer = find_wood(name)

    assert (answer.kind, answer.wood) == ("unknown", None)
    assert nearest in answer.names


@pytest.mark.parametrize("name", ["ebony", "rosewood", "bloodwood", "holly", "osage"])
def test_another_wood_is_not_taken_for_a_misspelt_one(name):
    assert find_wood(name).names == ()


@pytest.mark.parametrize("name", ["mapel", "mpale", "maaple"])
def test_a_slip_of_the_pen_is_seen_through(name):
    assert "sugar maple" in find_wood(name).names


@pytest.mark.parametrize("name", ["", "   ", "!!!", "42", "the", "木", "x" * 100_000, "zebrano"])
def test_nonsense_is_unknown_without_a_guess(name):
    answer = find_wood(name)

    assert (answer.kind, answer.names) == ("unknown", ())


def test_printed_values_say_so_and_gaps_are_gaps():
    maple = find_wood("sugar maple").wood

    assert (maple.crush.value, maple.crush.status) == (pytest.approx(10.1), "published")
    assert not maple.crush.estimated
    assert maple.parallel.status == "from memory"
    assert find_wood("balsa").wood.crush.value is None
    assert find_wood("balsa").wood.crush.status == "none"
    assert find_wood("sassafras").wood.hardness.status == "none"


def test_figures_that_only_circulate_are_never_called_published():
    for name, value in (("padauk", "hardness"), ("wenge", "hardness"), ("teak", "gravity"), ("sapele", "gravity")):
        found = getattr(find_wood(name).wood, value)
        assert found.status == "trade figure"
        assert found.estimated


def test_a_record_marks_only_values_it_has():
    for record in WOOD_TABLE:
        assert all(getattr(record, name) is not None for name in record.status)
