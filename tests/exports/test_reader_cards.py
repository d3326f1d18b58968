"""The card for readers in its three forms: the same numbers in each, nothing that a reader's program could run."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.exports.card import markdown_of
from adapter.exports.card_html import html_of, track_of
from adapter.exports.card_text import WIDTH, text_of
from adapter.files.formula_file import read_sample
from adapter.files.places import sample_named, samples
from adapter.formula.model import Adapted, Amount, Formula, Line, Step
from adapter.words.cupboard_units import CUPS, GRAMS, OUNCES, amount_shown, both_degrees, cups_of
from adapter.words.reader_card import EACH_ALONE, CardReading, reader_card, steps_of

NASTY = '<script>alert("1")</script> & [x](javascript:y) =1+1 \x1b[31m\u202e'


class Page(HTMLParser):
    """Tags, attributes and text of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in ("meta", "path", "circle", "rect"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("path", "circle", "rect"):
            assert self.open.pop() == tag, f"{tag} closes what is not open"

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


@pytest.fixture(scope="module")
def everyday(kitchen: Kitchen) -> Formula:
    sample = sample_named("hut_everyday_loaf")
    assert sample is not None
    return read_sample(sample, kitchen.catalogue)


@pytest.fixture(scope="module")
def variant(kitchen: Kitchen, everyday: Formula) -> Measured:
    lines = tuple(
        Line("milk", 300.0, line.stage) if line.ingredient == "sour whey" else line for line in everyday.lines
    )
    step = Step("swap", (Amount("sour whey", 320.0),), (Amount("milk", 300.0),), (), "a-rule")
    adapted = Adapted(everyday.name, everyday.lines, (step,))
    return measure(kitchen, replace(everyday.with_lines(lines), name="Milk loaf", adapted=adapted))


def test_all_three_forms_tell_the_same(variant: Measured) -> None:
    told = reader_card(variant, ["For milk take water."], {"a-rule": "Because."}, cups=True)
    page, text, markdown = Page(html_of(told)).text, " ".join(text_of(told).split()), markdown_of(told)
    for line in (line for stage in told.stages for line in stage.lines):
        for form in (page, text, markdown):
            assert line.name in form and line.grams in form and line.percent in form and line.cups in form
    for time in told.times:
        assert time.step in page and time.step in text and time.step in markdown and time.at in text
    for each in told.readings:
        assert each.value in page and each.value in text and each.value in markdown
    for words in (told.name, told.credit, told.difference, "For milk take water.", EACH_ALONE, *told.cautions):
        assert words in page and words.casefold() in text.casefold()
    assert "Contains gluten: rye" in page and "Contains gluten: rye" in text


def test_no_card_is_a_page_that_does_anything(kitchen: Kitchen) -> None:
    """OWASP, Cross Site Scripting Prevention: text is escaped where it stands; no script, no handler, no address."""
    swap = Step("swap", (Amount(NASTY, 5.0),), (), (), NASTY)
    loaf = Formula(NASTY, (Line("white wheat flour", 500.0, NASTY, note=NASTY),), note=NASTY, reasons=(("ph", NASTY),),
                   adapted=Adapted(NASTY, (Line("white wheat flour", 500.0),), (swap,)))  # fmt: skip
    html = html_of(reader_card(measure(kitchen, loaf), [NASTY], {NASTY: NASTY}, [NASTY]))
    page = Page(html)
    assert not {"script", "a", "img", "iframe", "link", "form"} & set(page.tags)
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("href", "src")]
    assert 'alert("1")' in page.text, "it is shown as it was written"
    assert "url(" not in html and "@import" not in html and "http" not in html
    assert "\x1b" not in html and "\u202e" not in html


@pytest.mark.parametrize("name", [sample.name for sample in samples()])
def test_every_sample_has_its_cards(kitchen: Kitchen, name: str) -> None:
    sample = sample_named(name)
    assert sample is not None
    measured = measure(kitchen, read_sample(sample, kitchen.catalogue))
    told = reader_card(measured, cups=True)
    assert told.times[0].after_h == 0 and told.times[-1].step == "may be sliced"
    assert all(later.after_h >= time.after_h for time, later in zip(told.times, told.times[1:], strict=False))
    assert all(abs(time.after_h * 12 - round(time.after_h * 12)) < 1e-9 for time in told.times), "to five minutes"
    assert not Page(html_of(told)).open, "every tag is closed"
    text = text_of(told)
    assert max(map(len, text.splitlines())) <= WIDTH
    assert sum(float(line.grams) for stage in told.stages for line in stage.lines) == pytest.approx(
        measured.amount("mass"), rel=0.002
    )


def test_a_step_goes_on_where_a_line_of_the_note_does_not_end_it(everyday: Formula, kitchen: Kitchen) -> None:
    told = reader_card(measure(kitchen, everyday))
    assert all(step[-1] in ".!?:)" for step in told.method)
    assert " ".join(told.method) == " ".join(everyday.note.split())
    short = replace(everyday, note="Ripen the sponge\nMix all, knead\nten minutes\nBake")
    assert steps_of(short) == ("Ripen the sponge", "Mix all, knead ten minutes", "Bake")


def test_a_bubble_stands_where_the_change_is() -> None:
    def at(steps: float, clear: bool = True) -> tuple[float, str]:
        drawn = track_of(CardReading("pH", "5", "", "", "5", "", steps, clear))
        found = re.search(r'cx="([\d.]+)" cy="6.0" r="3.2" fill="([^"]+)"', drawn)
        assert found is not None
        return float(found[1]), found[2]

    assert at(0.0)[0] == 55.0
    left, right = at(-0.9)[0], at(0.9)[0]
    assert 55 - 24 < left < 55 < right < 55 + 24, "within the brackets: not to be noticed"
    assert at(1.5)[0] > 55 + 24 and at(-1.5)[0] < 55 - 24
    assert at(1.5)[0] < at(4.0)[0] < at(50.0)[0] <= 110
    assert at(2.0, clear=False)[1] == "#fff" and at(2.0)[1] != "#fff", "hollow where it is not clear"


# USDA SR28 household weights: milk 244 g and water 237 g to the cup, granulated sugar 200 g to the cup,
# honey 21 g to the tablespoon, wholemeal wheat flour 120 g to the cup; an avoirdupois ounce is 28.35 g (NIST HB 44).
@pytest.mark.parametrize(
    ("name", "grams", "cups"),
    [
        ("milk", 244, "1 cup"), ("milk", 366, "1½ cups"), ("milk", 81, "⅓ cup"), ("water", 237, "1 cup"),
        ("white sugar", 200, "1 cup"), ("white sugar", 100, "½ cup"), ("honey", 21, "1 tbsp"), ("honey", 42, "2 tbsp"),
        ("wholemeal wheat flour", 120, "1 cup"), ("wholemeal wheat flour", 300, "2½ cups"),
        ("white sugar", 0.2, "a pinch"),
    ],
)  # fmt: skip
def test_cups_and_spoons_weigh_what_the_food_table_says(kitchen: Kitchen, name: str, grams: float, cups: str) -> None:
    assert cups_of(grams, kitchen.catalogue.get(name)) == cups


def test_what_is_counted_is_told_in_pieces_and_what_nobody_knows_in_grams(kitchen: Kitchen) -> None:
    egg = kitchen.catalogue.get("egg")
    assert cups_of(2 * egg.property("each_g"), egg) == "2 pieces"
    assert cups_of(240, None) == ""
    assert amount_shown(240, None, CUPS) == "240 g" == amount_shown(240, egg, GRAMS)
    assert amount_shown(453.59237, None, OUNCES) == "16.0 oz"
    assert both_degrees(175, 5) == "175 °C (345 °F)" and both_degrees(98) == "98 °C (208 °F)"
