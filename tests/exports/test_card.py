"""The card for readers: what it says, and that no name in it can become markup. Read by a CommonMark parser."""

from __future__ import annotations

from dataclasses import replace
from html import unescape

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.exports.card import card
from adapter.exports.markdown import escaped, escaped_block
from adapter.files.formula_file import read_sample
from adapter.files.places import sample_named
from adapter.formula.model import Adapted, Amount, Formula, Line, Step
from adapter.formula.plain_text import clean, clean_block

# CommonMark 0.31 with the tables, strikethrough and bare links that GitHub Flavored Markdown adds.
PARSER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
BARE_LINKS = MarkdownIt("gfm-like")


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="module")
def variant(kitchen: Kitchen) -> Measured:
    sample = sample_named("hut_everyday_loaf.toml")
    assert sample is not None
    book = read_sample(sample, kitchen.catalogue)
    lines = [Line("milk", 300.0, note="lukewarm") if line.ingredient == "sour whey" else line for line in book.lines]
    step = Step(
        "swap",
        (Amount("sour whey", 320.0),),
        (Amount("milk", 300.0),),
        (Amount("water", -20.0),),
        "some-rule",
        holds=("tta",),
    )
    adapted = replace(book.with_lines(lines), name="Milk loaf", adapted=Adapted(book.name, book.lines, (step,)))
    return measure(kitchen, adapted)


def flat(tokens: list[Token]) -> list[Token]:
    found: list[Token] = []
    for token in tokens:
        found += [token, *flat(token.children or [])]
    return found


def text_of(markdown: str, parser: MarkdownIt = PARSER) -> str:
    return "".join(token.content for token in flat(parser.parse(markdown)) if token.type == "text")


def kinds_of(markdown: str, parser: MarkdownIt = PARSER) -> set[str]:
    return {token.type for token in flat(parser.parse(markdown))}


PLAIN = {"paragraph_open", "paragraph_close", "inline", "text", "hardbreak", "text_special"}

NASTY = [
    "# no heading", "- no item", "+ no item", "1. no item", "12) no item", "> no quote", "| no | cell |", "---", "===",
    "***bold***", "__bold__", "~~gone~~", "`code`", "```", "    code", "[link](http://x)", "![pic](x)", "<b>tag</b>",
    "<script>alert(1)</script>", "&lt;", "&#60;", "\\*", "\\", "[x]: http://x", "[^1]", "http://x.y", "www.x.y",
    "someone@some.where", "mailto:a@b.c", "ftp://x.y", "a  \nb", "$x$", "{x}", "https://x.y/(z)", "x*y*z", "- [ ] x",
]  # fmt: skip


@pytest.mark.parametrize("name", NASTY)
def test_a_name_shows_verbatim_and_marks_nothing_up(name: str) -> None:
    for parser in (PARSER, BARE_LINKS):
        assert kinds_of(escaped(name), parser) <= PLAIN
        assert kinds_of(f"# {escaped(name)}", parser) <= PLAIN | {"heading_open", "heading_close"}
    rendered = unescape(PARSER.render(escaped(name))).removeprefix("<p>").removesuffix("</p>\n")
    assert rendered == clean(name)


@settings(deadline=None, max_examples=100)
@given(st.text(alphabet=st.sampled_from("ab1 .,-+=*_`#>|<[]()!&;~\\:/@w\n\té\u202e"), max_size=40))
def test_any_text_shows_verbatim_and_marks_nothing_up(text: str) -> None:
    for parser in (PARSER, BARE_LINKS):
        assert kinds_of(escaped(text), parser) <= PLAIN
    assert unescape(PARSER.render(escaped(text))).strip().removeprefix("<p>").removesuffix("</p>") == clean(text)
    assert kinds_of(escaped_block(text)) <= PLAIN
    lines = [line.strip() for line in clean_block(text).split("\n")]
    shown = unescape(PARSER.render(escaped_block(text)))
    assert all(line in shown for line in lines)
    cells = PARSER.parse(f"| a | b |\n| --- | --- |\n| {escaped(text)} | x |\n")
    assert sum(token.type == "td_open" for token in cells) == 2


def test_a_variant_says_what_was_changed_from_what_and_why(variant: Measured) -> None:
    text = text_of(card(variant, reasons={"some-rule": "Because *milk* is there."}))
    assert "Adapted from the book formula Hut everyday loaf." in text
    assert "sour whey 320 g → milk 300 g (water −20 g, held: TTA). Because *milk* is there." in text
    assert "Against the book formula: " in text and "pH +" in text
    assert "What was changed" not in text_of(card(variant.book))


def test_lines_stand_in_the_order_of_the_formula_with_their_shares(variant: Measured) -> None:
    rows = [row for row in card(variant).split("\n") if row.startswith(("| soaker", "| dough"))]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    assert [(row[0], row[1]) for row in cells] == [(x.stage, x.ingredient) for x in variant.formula.lines]
    flour = variant.amount("flour")
    for row, line in zip(cells, variant.formula.lines, strict=True):
        assert float(row[2]) == pytest.approx(line.grams, abs=0.5)
        assert float(row[3]) == pytest.approx(100 * line.grams / flour, abs=0.05)
    assert cells[7][4] == "lukewarm"


def test_readings_say_how_sure_they_are_and_are_those_of_the_core(variant: Measured) -> None:
    text = card(variant)
    (row,) = [row for row in text.split("\n") if row.startswith("| pH |")]
    cells = [cell.strip() for cell in row.strip("|").split("|")]
    assert float(cells[1]) == pytest.approx(variant.value("ph"), abs=0.05)
    assert float(cells[2]) == pytest.approx(variant.spread("ph"), abs=0.05)  # told to a tenth
    assert float(cells[4]) == pytest.approx(variant.book.value("ph"), abs=0.05)
    assert "95 of 100" in text
    assert "±" in text and "| book |" in text and "| book |" not in card(variant.book)


def test_a_spread_too_small_to_show_is_no_zero(variant: Measured) -> None:
    rows = [row for row in card(variant).split("\n") if row.startswith("| ")]
    (salt,) = [row for row in rows if row.startswith("| salt |")]
    assert f"| {variant.spread('salt'):.2f} |" in salt
    assert not any("| 0.0 |" in row.split("%", 1)[-1][:12] for row in rows)


def test_allergens_cautions_tin_and_oven(variant: Measured) -> None:
    text = text_of(card(variant))
    assert "gluten: rye" in text and "milk" in text and "packets" in text
    assert "28 × 11 cm" in text
    assert (
        "175 °C (345 °F), until the core has 98 °C (208 °F)" in text
        and "at 25 °C (77 °F) until it stands 35 % higher" in text
    )
    assert "Mind" not in text_of(card(variant, cautions=[]))


def test_allergens_against_the_book(kitchen: Kitchen) -> None:
    book = (Line("white wheat flour", 500.0), Line("milk", 300.0))
    loaf = Formula("x", (book[0], Line("water", 270.0), Line("walnuts", 50.0)), adapted=Adapted("y", book))
    text = text_of(card(measure(kitchen, loaf)))
    assert "More than the book formula: nuts" in text and "No longer in it, unlike the book formula: milk." in text


def test_what_the_formula_does_not_say_is_said_to_be_usual(kitchen: Kitchen) -> None:
    text = text_of(card(measure(kitchen, Formula("x", (Line("white wheat flour", 500.0), Line("water", 330.0))))))
    assert "Not in the formula, but usual for this kind of loaf: proof temperature, rise, oven, core" in text
    assert "no time can be given" in text and "nan" not in text and "inf" not in text


def test_options_for_readers(variant: Measured) -> None:
    assert "If you lack something too" not in card(variant)
    text = card(variant, options=["For [honey] take *syrup*"])
    assert "For [honey] take *syrup*" in text_of(text)


def test_options_from_the_offers_swap_the_whole_line(kitchen: Kitchen, variant: Measured) -> None:
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import load_rules
    from adapter.swaps.swapper import Swapper
    from adapter.words.reader_options import reader_options

    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    options = [each.sentence for each in reader_options(Swapper(kitchen, rules, variant.book.formula, Solver()))]
    assert any(option.startswith("For sour whey 320 g take ") for option in options)
    assert len(options) == len(set(options)) <= 2 * len(variant.book.formula.lines)


def test_hostile_names_stay_inside_their_place(kitchen: Kitchen) -> None:
    nasty = "a|b](x) <img src=x> **c** `d` \x1b[31m\u202e"
    line = Line("white wheat flour", 500.0, stage=nasty, note=nasty)
    step = Step("swap", (Amount("water", 5.0),), (Amount("milk", 5.0),), (), nasty, 50.0, (nasty,))
    loaf = Formula(nasty, (line,), note=nasty + "\n# x\n- y", reasons=(("ph", nasty),),
                   adapted=Adapted(nasty, (line,), (step,)))  # fmt: skip
    text = card(measure(kitchen, loaf), [nasty], {nasty: nasty}, [nasty])
    tokens = flat(PARSER.parse(text))
    kinds = {token.type for token in tokens}
    assert not kinds & {"html_inline", "html_block", "link_open", "image", "code_inline", "code_block", "fence"}
    headings = [tokens[i + 1].content for i, token in enumerate(tokens) if token.type == "heading_open"]
    assert "x" not in headings
    assert "\x1b" not in text and "\u202e" not in text
