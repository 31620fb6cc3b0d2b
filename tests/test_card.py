"""The bench card: its numbers against the model, its words whole, and its pages in a real browser."""

from __future__ import annotations

import io
import re
import unicodedata
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import browser
import outlines
import pytest
from click.testing import CliRunner
from jobs import GONE, job
from pypdf import PdfReader

from inlayfit.cli import main
from inlayfit.dryfit.answer import dry_fit
from inlayfit.intake import take_in
from inlayfit.joint.job import Programmes, ProgrammeSource
from inlayfit.joint.reading import Reading
from inlayfit.outline.regions import Outline
from inlayfit.pictures.card import CardInput, card
from inlayfit.pictures.card_bits import bits
from inlayfit.pictures.dry_fit_target import dry_fit_command, expected_text, readings
from inlayfit.pictures.seat_words import seat_words
from inlayfit.plan import Plan, plan
from inlayfit.report.cautions import cautions
from inlayfit.report.shop_text import clamping_words, gluing_words
from inlayfit.report.text import full_text, headline

EXAMPLES = Path(__file__).parent.parent / "examples"
SHEETS = ("fern-lid", "compass-board", "lakes-sign", "heron-tray")
VOID = {"meta", "br", "hr", "img", "link", "input"}


class Parsed(HTMLParser):
    """A page's elements in order, what each holds, and whether every element was closed."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[tuple[str, ...], str]] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((tuple(self.open), " ".join(data.split())))

    def words(self, tag: str = "body") -> list[str]:
        """Visible text within elements of this tag, titles and descriptions of drawings left out."""
        return [
            text for within, text in self.texts
            if tag in within and not {"title", "desc", "style", "head"} & set(within)
        ]  # fmt: skip

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for found, attributes in self.elements if found == tag]


def made(changes: dict[str, object] | None = None, outline: Outline | None = None, unit: str = "mm") -> Plan:
    return plan(job(changes or {}, unit=unit), outline)


def parsed(*plans: Plan, outline: Outline | None = None, sheet: str = "lid.yaml") -> Parsed:
    return Parsed(card([CardInput(plan=one, outline=outline, sheet=sheet) for one in plans]))


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_numbers_to_type_are_the_plans(unit: str) -> None:
    found = made(unit=unit)
    page = parsed(found)
    labels, numbers = page.words("dt"), [words for words in page.words("dd") if re.fullmatch(r"[\d.]+", words)]
    # the card and the report are typed from alike: sixteenths have a digit more in both
    report = full_text(found).partition("\n\nPass schedule")[0]
    told = dict(re.findall(r"^  ([a-z ]+?) {2,}([\d.]+) ", report, re.MULTILINE)[:8])
    assert dict(zip(labels, numbers, strict=True)) == {
        words: told[name]
        for words, name in {
            "Pocket depth": "pocket depth",
            "Plug start depth": "plug start depth",
            "Plug below start": "plug below start",
            "Plug total depth": "plug total depth",
            "Pocket clearing offset, inwards": "pocket clearing offset",
            "Plug clearing offset, outwards": "plug clearing offset",
            "Glue gap, nominal": "glue gap",
            "Surface gap, nominal": "surface gap",
        }.items()
    }


def test_every_pass_has_a_box_with_its_depths() -> None:
    found = made()
    page = Parsed(card([CardInput(plan=found, outline=None, sheet="lid.yaml")]))
    boxes = [attributes for attributes in page.all("span") if attributes.get("class") == "box"]
    # a box more, for the dry fit before the cut-out
    assert len(boxes) == len(found.facts.passes) + 1
    words, cut_out = page.words("span"), next(entry for entry in found.facts.passes if entry.step == "cut out")
    assert words[words.index("dry fit first") + 1] == f"{cut_out.total_depth:.2f}"
    for entry in found.facts.passes:
        if entry.part == "plug" and entry.step != "cut out":
            assert f"{entry.start_depth:.2f} + {entry.depth_below_start:.2f}" in words
        elif entry.part != "base":
            assert f"{entry.total_depth:.2f}" in words
    assert " ".join(words).count("breaks through to the gap: stand aside") == 1
    # a bit with very many passes does not fill the page
    many = parsed(made({"bits.clearing.depth_of_cut": 0.1}))
    shown = [attributes for attributes in many.all("span") if attributes.get("class") == "box"]
    assert len(shown) < 60
    assert "... every 0.10, 60 passes, to" in many.words("span")


def test_levelling_tells_heights_above_the_face_and_never_a_sign() -> None:
    for changes in ({}, {"touch_off": "bed"}, {"joint.level_below": 0.0}):
        found = made(changes)
        page = parsed(found)
        levels = [entry for entry in found.facts.passes if entry.step == "level"]
        assert min(entry.total_depth for entry in levels) < -2
        words = page.words("span")
        for entry in levels:
            told = f"{abs(entry.total_depth):.2f} {'above' if entry.total_depth < 0 else 'below'}"
            assert any(one.startswith(told) for one in words), told
        assert not [one for one in page.words() if re.search(r"(?<![\w-])-\s?\d", one)]


def test_bed_zero_gives_the_height_above_the_bed() -> None:
    found = made({"touch_off": "bed"})
    words = " ".join(parsed(found).words())
    assert "6.00 (12.00)" in words  # an 18 mm base with a 6 mm pocket
    assert "zero on the bed, height above it in brackets; from the base's face" in words
    assert "measure the blanks: base 18.00 mm, plug 12.00 mm" in words
    # the cut-out goes past the blank
    assert "12.20 (0.20 into the bed)" in words


def test_a_job_that_fails_says_do_not_cut_across_its_numbers() -> None:
    failing = made({"base.least_floor": 13.0})
    assert failing.verdict == "does not fit"
    page = parsed(failing)
    words = page.words()
    # in a bar of its own, across the depths and across the passes
    assert words.count("DO NOT CUT") == 3
    assert not any("to type" in one or "a box each" in one for one in words)
    # first what is wrong, then the numbers that it makes useless, and nothing to tick
    order = [words.index(one) for one in ("DO NOT CUT", "Needs attention", "Depths as worked out (mm)")]
    assert order == sorted(order)
    stopped = [attributes for attributes in page.all("section") if "stopped" in (attributes.get("class") or "")]
    assert len(stopped) == 2
    assert ".stopped .box::before { display: none; }" in card([CardInput(plan=failing, outline=None, sheet="a")])
    assert "Dry fit, pressed by hand, before the plug is cut out" not in words
    for changes in ({}, {"joint.glue_gap": 0.2}):
        sound = parsed(made(changes))
        assert "DO NOT CUT" not in sound.words()
        assert "Numbers to type (mm)" in sound.words("h2")


def test_bits_stand_with_what_they_are_and_how_they_run() -> None:
    found = made({"bits.v.measured": {"angle": 29.6, "tip": 0.16},
                  "cutting": {"v": {"feed": 1500.0, "plunge": 500.0}, "clearing": {"feed": 2000.0}}})  # fmt: skip
    bit, clearing = found.job.bits.pocket_v, found.job.bits.clearing[0]
    rows = dict(bit_rows(found))
    declared = f"{bit.shape.angle:g} deg, tip {2 * bit.shape.tip_radius:g}, {bit.diameter:g} diameter"
    assert rows[bit.name][:2] == [f"{declared}; measures 29.6 deg, tip 0.16", "both walls"]
    assert rows[bit.name][-1] == "1500, 500"
    assert rows[clearing.name][0] == f"{clearing.diameter:g} diameter"
    assert rows[clearing.name][1].startswith("clearing")
    assert rows[clearing.name][2:4] == [f"{clearing.stepover:g}", f"{clearing.depth_of_cut:g}"]
    assert rows[clearing.name][-1] == "2000"
    assert set(rows) == {entry.bit for entry in found.facts.passes}
    # sixteenths of an inch keep their digits, and without feeds there is no column for them
    inches = dict(bit_rows(made({"bits.clearing.diameter": 25.4 / 16}, unit="in")))
    assert ["0.0625 diameter", "clearing"] in [[row[0], row[1].partition(",")[0]] for row in inches.values()]
    assert {len(row) for row in inches.values()} == {4}
    two = made({"bits.v": GONE, "bits.pocket_v": {"angle": 30.0, "tip": 0.1}, "bits.plug_v": {"angle": 30.0}})
    assert [row[1] for name, row in bit_rows(two) if "V" in name] == ["the pocket's walls", "the plug's walls"]


def bit_rows(found: Plan) -> list[tuple[str, list[str]]]:
    """Name and cells of each row of the bits' table."""
    root = ElementTree.Element("div")
    bits(root, found)
    (body,) = root.iter("tbody")
    return [(row[0].text or "", [cell.text or "" for cell in row[1:]]) for row in body]


def test_glue_clamps_and_sawing_off_are_told() -> None:
    shape = outlines.square(30.0)
    found = made({}, shape)
    assert found.facts.outline is not None
    items = parsed(found, outline=shape).words("li")
    words = " ".join(items)
    # as in the report
    assert gluing_words(found, found.facts.outline) in items
    assert f"{clamping_words(found, found.facts.outline)} Your glue's data sheet comes first." in items
    assert re.search(r"Clamps: \d[\d to]* of about \d", words)
    assert f"{found.facts.depths.above_face:.2f} mm of plug stands above the face. A saw may take some" in words
    sawn = " ".join(parsed(made({"level.saw_to": 3.0}, shape), outline=shape).words("li"))
    assert "stands above the face. Saw it off to 3.00 mm above the face." in sawn
    end_grain = made({"base.grain": {"face": "end"}}, shape)
    assert "size it with a thin coat first" in " ".join(parsed(end_grain, outline=shape).words("li"))
    assert "not worked out without an outline" in " ".join(parsed(made()).words("li"))


def test_programmes_are_named_with_their_bits_and_not_called_proved() -> None:
    posted = Programmes(
        pocket=(ProgrammeSource(file="clear.nc", bit="clearing"), ProgrammeSource(file="walls.nc", bit="v")),
        plug=(ProgrammeSource(file="plug.nc", tools=((1, "clearing"), (2, "v"))),),
    )
    found = made()
    with_them = replace(found, facts=replace(found.facts, job=replace(found.job, programmes=posted)))
    page = parsed(with_them, sheet="a b.yaml")
    items = page.words("li")
    assert "Pocket: clear.nc (clearing), walls.nc (v)." in items
    assert "Plug: plug.nc (T1 clearing, T2 v)." in items
    assert "inlayfit prove 'a b.yaml'" in page.words("code")
    assert "This card does not prove them. Run" in items
    assert not [words for words in parsed(found).words("h2") if "Programmes" in words]


def test_boards_and_hold_downs_are_on_the_second_side() -> None:
    shape = outlines.square(30.0)
    found = made({"base.blank": (200.0, 120.0), "plug.blank": (60.0, 60.0)}, shape)
    page = parsed(found, outline=shape)
    boards = [attributes.get("data-part") for attributes in page.all("g") if attributes.get("class") == "board"]
    assert boards == ["base", "plug"]
    back = next(number for number, (_, attributes) in enumerate(page.elements) if attributes.get("class") == "back")
    first = next(number for number, (_, attributes) in enumerate(page.elements) if attributes.get("class") == "board")
    assert back < first
    assert not [attributes for attributes in parsed(made({}, shape), outline=shape).all("g")
                if attributes.get("class") == "board"]  # fmt: skip


def test_dry_fit_target_is_the_hands_lift_in_three_readings() -> None:
    shape = outlines.star()
    found = made({"bits.v.tip": 0.5}, shape)
    seat, depths = found.facts.seat, found.facts.depths
    assert seat is not None
    low, high = min(seat.by_hand), max(seat.by_hand)
    assert high - low > 0.02
    gap, rod, both = readings(found)
    above = 12.0 - depths.start_depth
    assert gap.expected == pytest.approx((depths.depth_below_start + low, depths.depth_below_start + high))
    assert rod.expected == pytest.approx((above + low, above + high))
    assert both.expected == pytest.approx((18.0 + above + low, 18.0 + above + high))
    page = parsed(found, outline=shape)
    words = " ".join(page.words())
    for reading in (gap, rod, both):
        assert reading.expected is not None
        assert f"{reading.expected[0]:.2f} to {reading.expected[1]:.2f}" in words
    # and as far off it as the dry fit's own rule lets be
    for reading in (gap, rod, both):
        answer = dry_fit(found, [Reading(kind=reading.kind, value=reading.as_drawn + low)] * 3, "neither")
        assert reading.allowance == pytest.approx(answer.level.sure)
        assert f"{reading.allowance:.2f}" in page.words("td")
    assert rod.allowance < both.allowance
    assert "hair" not in words
    # nothing is claimed where the seat was not looked at
    assert [expected_text(entry, "mm") for entry in readings(made())] == ["not checked"] * 3


def test_as_drawn_has_the_digits_of_the_numbers_to_type() -> None:
    inches = {"joint.glue_gap": 0.0625, "joint.pocket_depth": 0.3125, "plug.thickness": 0.75}
    found = made({key: value * 25.4 for key, value in inches.items()}, unit="in")
    rod = readings(found)[1]
    assert rod.as_drawn / 25.4 == pytest.approx(0.75 - (0.3125 - 0.0625))
    page = parsed(found)
    assert f"{rod.as_drawn / 25.4:.4f}" in page.words("td")
    assert {"0.3125", "0.0625"} <= set(page.words("dd"))


def signs(page: Parsed) -> list[str | None]:
    return [attributes["data-sign"] for attributes in page.all("g") if attributes.get("class") == "sign"]


def test_large_sign_is_of_the_whole_job() -> None:
    shape = outlines.square(30.0)
    for changes, verdict, sign in (
        ({"base.least_floor": 13.0}, "does not fit", "no"),
        ({"joint.glue_gap": 0.2}, "doubtful", "doubt"),
        ({"limits.fine_strokes": 0.5}, "fits", "yes"),
    ):
        found = made(changes, shape)
        assert found.verdict == verdict
        page = parsed(found, outline=shape)
        assert signs(page)[0] == sign
        large = page.words("p")[0]
        assert large.lower() == headline(found)
    failing = made({"base.least_floor": 13.0}, shape)
    assert seat_words(failing).sign != "no"
    assert "base floor" in parsed(failing, outline=shape).words("p")[0]
    assert signs(parsed(made())) == ["open"]


def test_checks_that_were_not_made_are_named() -> None:
    for changes in ({}, {"base.least_floor": 13.0}):
        found = made(changes)
        left_out = [entry.id for entry in found.findings if entry.status == "not checked"]
        assert left_out
        words = f"Not checked: {', '.join(left_out)}."
        assert any(one.endswith(words) for one in parsed(found).words("p"))


def test_every_ring_in_the_plan_has_its_words_on_the_card() -> None:
    shape = outlines.star()
    found = made({"bits.v.tip": 0.5}, shape)
    page = parsed(found, outline=shape)
    rings = {attributes["data-number"] for attributes in page.all("g") if attributes.get("class") == "weak-place"}
    words = [line for line in page.words("li") if re.match(r"[\d, ]+: ", line)]
    told = {number for line in words for number in line.partition(":")[0].split(", ")}
    attention = " ".join(page.words("li"))
    assert told
    assert all("the plug stands" in line for line in words)
    for number in rings - told:
        assert re.search(rf"in the plan at [^)]*\b{number}\b", attention)


def test_touch_off_is_told_how_close_it_must_be_where_pairs_were_drawn() -> None:
    shape = outlines.square(30.0)
    found = plan(job(), shape, draws=300)
    assert found.facts.stack is not None
    assert found.facts.stack.drawn is not None
    needed = found.facts.stack.drawn.touch_off_all
    assert needed is not None
    words = f"with all zeros within {needed:.2f} mm 19 of 20 plugs seat"
    assert words in " ".join(parsed(found, outline=shape).words("li"))
    assert "19 of 20" not in " ".join(parsed(made(), sheet="lid.yaml").words("li"))


def test_what_to_do_if_it_is_missed_is_a_command_that_can_be_typed() -> None:
    assert dry_fit_command("lids/fern.yaml") == "inlayfit dryfit lids/fern.yaml --gap ... --gap ... --gap ..."
    assert dry_fit_command("my lid; rm x.yaml").startswith("inlayfit dryfit 'my lid; rm x.yaml' --gap")
    known = {name for parameter in main.commands["dryfit"].params for name in parameter.opts}
    asked = {entry.option for entry in readings(made())}
    assert asked == {"--gap", "--above", "--over"}
    assert asked | {"--held"} <= known
    assert dry_fit_command("my lid.yaml") in parsed(made(), sheet="my lid.yaml").words("code")


def test_checks_that_need_attention_and_all_cautions_stand_on_it() -> None:
    found = made({"base.least_floor": 13.0, "joint.glue_gap": 0.2})
    page = parsed(found)
    items = page.words("li")
    assert any(words.startswith("base-floor fails: ") and "To change: " in words for words in items)
    assert any(words.startswith("glue-gap in doubt: ") for words in items)
    assert set(cautions(found.job)) <= set(items)
    assert any("checks that were made pass" in words for words in parsed(made()).words("p"))


def test_page_is_one_file_that_can_be_read_aloud() -> None:
    shape = outlines.star()
    written = card([CardInput(plan=made({}, shape), outline=shape, sheet='<a href="x">.yaml')])
    page = Parsed(written)
    assert written.startswith("<!DOCTYPE html>\n<html lang=\"en\">")
    assert not page.all("script")
    assert not page.all("link")
    assert not page.all("a")
    assert not page.all("img")
    assert "http" not in written.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert "url(" not in written.replace("url(#", "")
    assert '<a href="x">.yaml' in " ".join(page.words("p"))
    headings = [tag for tag, _ in page.elements if re.fullmatch(r"h\d", tag)]
    assert headings[0] == "h1"
    assert headings.count("h1") == 1
    assert set(headings) == {"h1", "h2"}
    assert all(attributes.get("scope") in ("col", "row") for attributes in page.all("th"))
    assert len(page.all("table")) == 5
    # every drawing has its title and its description, and they are the ones it is labelled by
    identities = [value for _, attributes in page.elements for name, value in attributes.items() if name == "id"]
    assert len(identities) == len(set(identities))
    for attributes in page.all("svg"):
        assert set((attributes["aria-labelledby"] or "").split()) <= set(identities)
    # one card has no grid of places for its zero to be chosen from
    assert "datum" not in written


def test_several_sheets_give_a_card_each() -> None:
    one, other = made(), made({"joint.pocket_depth": 5.0})
    page = parsed(one, other)
    assert len(page.all("article")) == 2
    assert len(page.all("h1")) == 2
    assert page.words("dd").count("6.00") == 1
    assert page.words("dd").count("5.00") == 1


# --- the command ------------------------------------------------------------------------------------------------------


def run(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["card", *arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def test_command_writes_whole_or_not_at_all(tmp_path: Path) -> None:
    fern, heron = str(EXAMPLES / "fern-lid.yaml"), str(EXAMPLES / "heron-tray.yaml")
    page = tmp_path / "card.html"
    assert run(fern, heron, "-o", str(page), "--nominal") == (1, "", "")
    words = Parsed(page.read_text(encoding="utf-8")).words("h1")
    assert words == ["Fern on a keepsake-box lid", "Heron on a breakfast tray"]
    before = page.read_bytes()
    status, _, said = run(fern, "-o", str(page), "--nominal")
    assert (status, said) == (2, f"{page}: exists already: give another name, or --force to replace it\n")
    # the mistakes of every sheet are told, and the old page stays
    wrong = [tmp_path / "one.yaml", tmp_path / "two.yaml"]
    for path in wrong:
        path.write_text("unit: mm\nplugs: {}\n", encoding="utf-8")
    status, _, said = run(*map(str, wrong), fern, "-o", str(page), "--force", "--nominal")
    assert status == 2
    assert {line.split(":")[0] for line in said.splitlines()} == set(map(str, wrong))
    assert page.read_bytes() == before
    assert run(fern, "-o", str(page), "--nominal", "--force")[0] == 0


# --- in a real browser ------------------------------------------------------------------------------------------------

browser_test = pytest.mark.skipif(browser.CHROMIUM is None, reason=browser.NO_BROWSER)


@pytest.fixture(scope="module")
def cards() -> str:
    """Cards of the examples, and of two heavier jobs: many passes, long names, much that needs attention."""
    fern, heron = EXAMPLES / "fern-lid.yaml", EXAMPLES / "heron-tray.yaml"
    jobs: list[tuple[Path, list[str]]] = [(EXAMPLES / f"{name}.yaml", []) for name in SHEETS]
    jobs.append((fern, ["title=Many passes", "bits.v.depth_of_cut=0.03", "touch_off=bed",
                        "bits.clearing[1].name=A slender bit for the finest corners"]))  # fmt: skip
    jobs.append((heron, ["title=Much to mend", "bits.clearing.depth_of_cut=0.5", "joint.glue_gap=0.2"]))
    entries = []
    for sheet, settings in jobs:
        intake = take_in(str(sheet), settings=settings)
        found = plan(intake.job, intake.outline)
        entries.append(CardInput(plan=found, outline=intake.outline, sheet=sheet.name))
    return card(entries)


@browser_test
@pytest.mark.parametrize(
    ("paper", "font"),
    [
        pytest.param(browser.A4, "sans-serif", id="A4"),
        pytest.param(browser.LETTER, "sans-serif", id="Letter"),
        # a wide one, which many systems have for want of another
        pytest.param(browser.LETTER, "DejaVu Sans, sans-serif", id="Letter-wide"),
    ],
)
def test_each_card_prints_on_two_sides_with_every_word(
    cards: str, paper: tuple[float, float], font: str, tmp_path: Path
) -> None:
    page = cards.replace("sans-serif", font)
    sides = PdfReader(io.BytesIO(browser.printed(page, paper, tmp_path))).pages
    size = [float(length) * 25.4 / 72 for length in (sides[0].mediabox.width, sides[0].mediabox.height)]
    assert size == pytest.approx(paper, abs=0.6)
    texts = ["".join(side.extract_text().split()) for side in sides]
    titles = ["".join(title.split()) for title in Parsed(cards).words("h1")]
    assert len(titles) == 6
    # each card starts a side of its own, and takes no more than the next; in a wide font many passes need a third
    most = [3 if title == "Manypasses" and font != "sans-serif" else 2 for title in titles]
    starts = [next(number for number, text in enumerate(texts) if text.startswith(title)) for title in titles]
    assert starts == sorted(set(starts))
    assert all(after - start <= sides for start, after, sides in zip(starts, [*starts[1:], len(texts)], most))
    # a font may draw some letters as one
    on_paper = unicodedata.normalize("NFKC", "".join(texts))
    for words in Parsed(cards).words():
        assert "".join(words.split()) in on_paper, words


@browser_test
def test_cards_on_a_screen_have_no_overflow_no_words_on_words_and_no_message(cards: str, tmp_path: Path) -> None:
    found, messages = browser.measured(cards, 1000, tmp_path)
    assert found == {"wide": 0, "leaves": [], "lies": []}
    assert messages == []
    # drawings shrink on a small screen, and the page is not pushed sideways
    found, messages = browser.measured(cards, 500, tmp_path)
    assert (found["wide"], messages) == (0, [])


@browser_test
def test_browser_would_show_what_is_looked_for(tmp_path: Path) -> None:
    words = '<text x="5" y="5">one word</text><text x="6" y="5.5">another</text>'
    page = (
        "<!DOCTYPE html><html><body><div style='width:9000px'>wide</div><div style='width:9px'>overflowing</div>"
        f"<svg width='90' height='90'>{words}<text x='80' y='60'>out of it</text></svg>"
        "<script>console.log('hello')</script></body></html>"
    )
    found, messages = browser.measured(page, 1000, tmp_path)
    assert found["wide"] > 0
    assert "DIV overflowing" in found["leaves"]
    assert "out of it" in found["leaves"]
    assert found["lies"] == ["another / one word"]
    assert any("hello" in line for line in messages)
