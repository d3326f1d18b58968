"""Any formula written and read again is the same formula, in a new file and over a person's own."""

from __future__ import annotations

import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
import tomli
from formula_strategies import CATALOGUE, formulas, lines
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.files.formula_file import formula_from_text, read_formula, read_formula_and_stamp
from adapter.files.formula_saving import formula_text, write_formula
from adapter.files.formula_tables import extra_of
from adapter.files.toml.blocks import comments_of, split_blocks
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Adapted, Amount, Formula, Line, Step

steady = settings(deadline=None, max_examples=30)

plain_values = st.one_of(
    st.text(max_size=20), st.integers(-(10**12), 10**12), st.floats(allow_nan=False), st.booleans(), st.dates()
)
extras = st.dictionaries(
    st.text(max_size=8),
    st.one_of(
        plain_values,
        st.lists(plain_values, max_size=3),
        st.dictionaries(st.text(max_size=8), st.one_of(plain_values, st.lists(plain_values, max_size=3)), max_size=3),
        st.lists(st.dictionaries(st.text(max_size=8), plain_values, max_size=2), max_size=3),
    ),
    max_size=4,
)


@steady
@given(formula=formulas(), extra=extras)
def test_new_text_is_read_as_the_same_formula(formula: Formula, extra: dict[str, object]) -> None:
    formula = replace(formula, extra={f"x{key}": value for key, value in extra.items()})
    again = formula_from_text(formula_text(formula), CATALOGUE, "x.toml")
    assert again == formula
    assert again.extra == formula.extra


@steady
@given(formula=formulas(), other=formulas())
def test_one_formula_saved_over_another_is_read_as_itself(formula: Formula, other: Formula) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "loaf.toml")
        write_formula(formula, path, catalogue=CATALOGUE)
        path.write_text(_commented(path.read_text("utf-8")), "utf-8")
        before = path.read_text("utf-8")
        write_formula(other, path, catalogue=CATALOGUE)
        after = path.read_text("utf-8")
        assert read_formula(path, CATALOGUE) == other
        assert not Counter(comments_of(before)) - Counter(comments_of(after))
        assert after.count("\n\n\n\n") == 0


@steady
@given(formula=formulas(), data=st.data())
def test_a_few_changed_lines_leave_every_other_line_of_the_text_alone(formula: Formula, data: st.DataObject) -> None:
    text = _commented(formula_text(formula))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "loaf.toml")
        path.write_text(text, "utf-8")
        at = data.draw(st.integers(0, len(formula.lines) - 1))
        changed = list(formula.lines)
        changed[at] = replace(changed[at], grams=data.draw(st.floats(1, 1e5)), amount=None)
        variant = formula.with_lines(changed)
        write_formula(variant, path, catalogue=CATALOGUE)
        assert read_formula(path, CATALOGUE) == variant
        old, new = text.splitlines(), path.read_text("utf-8").splitlines()
        assert sum((Counter(new) - Counter(old)).values()) <= 1
        assert sum((Counter(old) - Counter(new)).values()) <= 1


@steady
@given(formula=formulas())
def test_saving_without_a_change_changes_no_byte(formula: Formula) -> None:
    text = _commented(formula_text(formula)).rstrip("\n") + "\n"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "loaf.toml")
        path.write_text(text, "utf-8")
        write_formula(read_formula(path, CATALOGUE), path, catalogue=CATALOGUE)
        assert path.read_text("utf-8") == text
        write_formula(read_formula(path, CATALOGUE), path)
        assert path.read_text("utf-8") == text


@steady
@given(formula=formulas())
def test_blocks_joined_are_the_text(formula: Formula) -> None:
    text = _commented(formula_text(formula))
    assert "".join(block.text() for block in split_blocks(text)) == text


@given(lines())
@steady
def test_a_line_without_the_catalogue_is_kept_by_its_written_name(line: Line) -> None:
    formula = Formula("x", (Line("wholemeal rye flour", 100.0), line))
    assert tomli.loads(formula_text(formula))["line"][1]["ingredient"] == line.ingredient


HUT_LOAF = """\
# Hollin Top, the winter loaf
[formula]
name = "Hut dark loaf"   # as on the board
pieces = 2

[mine]   # nothing of the program's
rack = ["top", # by the door
  "middle"]

[tin]  # the old tins
length_cm = "8.5 in"
width_cm = 11
height_cm = 9.5
lidded = true
maker = "unknown"

# the flour
[[line]]
ingredient = "Whole Rye Flour"   # fresh from the mill
grams = 4_80   # weighed

# the dairy
[[line]]
ingredient = "buttermilk"
grams = 520.0 # sour!

# ---- sweet ----

[[line]]
ingredient = 'water'
amount = "2 cups"  # by the jug
colour = "clear"

  [line.spring]
  name = "upper"

[proof]
temperature_c = "82.4 F"  # by the stove
"""


def test_a_persons_file_keeps_its_hand(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "hut.toml"
    text = HUT_LOAF.replace("Whole Rye Flour", _alias(catalogue))
    path.write_text(text)
    book, stamp = read_formula_and_stamp(path, catalogue)
    flour, _, water = book.lines
    step = Step("swap", (Amount("buttermilk", 520.0),), (Amount("yoghurt", 393.0),), (Amount("water", 123.25),))
    variant = replace(
        book.with_lines((flour, Line("yoghurt", 393.0), water.with_grams(water.grams + 123.25))),
        name="Hut dark loaf, no buttermilk",
        adapted=Adapted(book.name, book.lines, (step,)),
    )
    stamp = write_formula(variant, path, stamp, catalogue)
    after = path.read_text()
    assert read_formula(path, catalogue) == variant
    assert read_formula(path, catalogue).book() == book
    assert not Counter(comments_of(text)) - Counter(comments_of(after))
    assert extra_of(tomli.loads(after)) == extra_of(tomli.loads(text))
    assert tomli.loads(after)["line"][2]["spring"] == {"name": "upper"}
    for kept in (
        'rack = ["top", # by the door\n  "middle"]',
        'length_cm = "8.5 in"',
        f'ingredient = "{_alias(catalogue)}"   # fresh from the mill',
        "grams = 4_80   # weighed",
        "# here stood buttermilk:\n# the dairy\n# sour!\n",
        "# ---- sweet ----\n\n[[line]]\ningredient = 'water'",
        'temperature_c = "82.4 F"  # by the stove',
    ):
        assert kept in after
    assert f"grams = {variant.lines[2].grams!r}  # by the jug" in after
    write_formula(book, path, stamp, catalogue)
    assert read_formula(path, catalogue) == book
    assert "[[adapted" not in path.read_text()


def test_other_ways_of_writing_the_same_tables(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    path.write_text(
        'formula.name = "x" # dotted\nbake = { oven_c = 200 } # inline\n'
        "line = [ # all in one\n"
        '  { ingredient = "rye flour", grams = 1 }, # first\n'
        '  { ingredient = "water", grams = 1 },\n]\n[tin.mine]\na = 1\n'.replace("rye flour", "wholemeal rye flour")
    )
    text = path.read_text()
    formula = read_formula(path, catalogue)
    changed = replace(
        formula.with_lines((formula.lines[0].with_grams(5), *formula.lines[1:])),
        name="y",
        bake=replace(formula.bake, oven_c=180.0, core_c=97.0),
    )
    write_formula(changed, path, catalogue=catalogue)
    assert read_formula(path, catalogue) == changed
    assert not Counter(comments_of(text)) - Counter(comments_of(path.read_text()))
    assert extra_of(tomli.loads(path.read_text())) == extra_of(tomli.loads(text))


def test_windows_line_ends_and_byte_order_mark_stay(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    text = '[formula]\nname = "x" # é\n[[line]]\ningredient = "wholemeal rye flour"\ngrams = 1\n'
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    formula = read_formula(path, catalogue)
    write_formula(formula.with_lines((*formula.lines, Line("water", 2.0))), path, catalogue=catalogue)
    content = path.read_bytes()
    assert content.startswith(b'\xef\xbb\xbf[formula]\r\nname = "x" # \xc3\xa9\r\n')
    assert content.count(b"\n") == content.count(b"\r\n")
    assert read_formula(path, catalogue).lines[-1] == Line("water", 2.0)


def test_headers_inside_strings_and_arrays_are_no_headers() -> None:
    text = (
        'a = """\n[not]\n# no comment\n"""\n'
        "b = '''\n[[nor]]\n'''  # one\n"
        'c = [\n  [1], # two\n  "[x]",\n]\n'
        '["t#".\'u]\'] # three\nd = "#"\n'
    )
    blocks = split_blocks(text)
    assert [block.path for block in blocks] == [(), ("t#", "u]")]
    assert comments_of(text) == ["# one", "# two", "# three"]


def _alias(catalogue: Catalogue) -> str:
    return catalogue.get("wholemeal rye flour").aliases[0]


def _commented(text: str) -> str:
    """The text with a comment of its own above every table and beside every other value."""
    out = []
    inside = False
    for number, line in enumerate(text.splitlines()):
        if line.startswith("[") and not inside:
            out.append(f"# above {number}")
        quotes = line.count('"""')
        beside = " = " in line and quotes == 0 and not inside and number % 2 == 0
        inside = inside != (quotes % 2 == 1)
        out.append(f"{line}  # beside {number}" if beside else line)
    return "\n".join(out) + "\n"


@pytest.mark.parametrize("character", ["\x85", "\x9b", "\u202e", "\u2066", "\u200b", "\u2028", "\ufeff", "\U000e0041"])
def test_what_could_steer_a_terminal_is_written_as_an_escape(character: str) -> None:
    """C1 controls, bidi and invisible characters in tables that mean nothing to us: kept, but never raw."""
    formula = Formula("loaf", (Line("wholemeal rye flour", 500.0),), extra={"mine": {f"k{character}": f"v{character}"}})
    text = formula_text(formula)
    assert character not in text and text.isascii()
    assert formula_from_text(text, CATALOGUE, "x").extra == formula.extra
