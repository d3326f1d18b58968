"""Texts as they come out of books and pages: what copying leaves, several columns, sentences, minutes in the oven."""

from __future__ import annotations

from rows import each

from adapter.recipes.copied import cleaned
from adapter.recipes.lines import LineReader
from adapter.recipes.parting import read_texts
from adapter.words.recipe_times import told_minutes

PERCENT_SHEET = """BAKERY SHEET

White tin
Flour 100%
Water 62%
Salt 1.8%
Bulk 1h. Bake 230C 32m.

Malted brown
Brown flour 100%
Water 64%
Salt 1.8%
Bulk 1h. Bake 225C 35m.
"""


def test_what_copying_leaves_is_taken_out() -> None:
    text, asides = cleaned(
        "Ring        page 7\n1  200 g rye (dust-\n2  ed)\n3  2 eggs\n4  3 oz all-\n5  purpose flour\n6  salt\n- 8 -"
    )
    assert text.splitlines() == ["Ring", "200 g rye (dusted)", "2 eggs", "3 oz all-purpose flour", "salt"]
    assert asides == ["page 7", "- 8 -"]
    amounts = "1 egg\n2 tbsp oil\n3 cups flour\nsalt"
    assert cleaned(amounts) == (amounts, []), "few lines that begin 1, 2, 3 are amounts"


def test_sentences_keep_the_type_of_a_flour(reader: LineReader) -> None:
    text = (
        "Brot\n\nAm Vortag 150 g Roggenschrot mit 300 g kochendem Wasser überbrühen. "
        "Am Backtag mit 350 g Roggenmehl 1150 und 18 g Salz mischen."
    )
    (bread,) = read_texts(text, reader)
    assert [(line.ingredient, line.grams) for line in bread.lines] == [
        ("cracked rye", 150), ("water", 300), ("rye flour type 1150", 350), ("salt", 18),
    ]  # fmt: skip


def test_points_lead_to_several_columns(reader: LineReader) -> None:
    (bread,) = read_texts(
        "Baguette\nT65 ...... 100 % ... 1 000 g\nEau ..... 68 % ... 680 g\nSel .... 1,8 % ... 18 g", reader
    )
    assert (bread.name, [line.grams for line in bread.lines]) == ("Baguette", [1000, 680, 18])
    assert bread.lines[1].text == "Eau ..... 68 % ... 680 g"


def test_a_title_over_the_names_and_a_column_of_kilograms(reader: LineReader) -> None:
    rows = ("Hut bread (baker's %)      %       kg", "Bread flour   100.0   5.000", "Water          68.0   3.400")
    (bread,) = read_texts("\n".join((*rows, "TOTAL         168.0   8.400")), reader)
    assert [(line.ingredient, line.grams) for line in bread.lines[:2]] == [("bread flour", 5000), ("water", 3400)]
    assert bread.lines[2].reference and bread.lines[0].text == " ".join(rows[1].split())


def test_what_is_brushed_on_and_how_hot_it_is_inside(reader: LineReader) -> None:
    """A number without a scale is of the scale that the sentence has told."""
    (bread,) = read_texts(
        "Rolls\n500 g flour\n300 ml milk\n1 egg beaten with 1 tbsp water, for glaze\n"
        "Bake at 375°F for 35 min, until 195 degrees inside.",
        reader,
    )
    assert (bread.oven_c, bread.core_c) == ((191,), 91)
    assert not bread.lines[2].in_dough


def test_percent_formulas_of_one_sheet_are_parted(reader: LineReader) -> None:
    white, brown = read_texts(PERCENT_SHEET, reader)
    assert (white.name, brown.name, white.oven_c, brown.oven_c) == ("White tin", "Malted brown", (230,), (225,))
    assert "BAKERY SHEET" in white.notes


# Times in the oven

MINUTES: dict[str, float | None] = {
    "Bake at 230 °C for 10 minutes, then at 200 °C for 35 minutes.": 45,
    "Bake 40 min, 240 °C falling to 205 °C.": 40,
    "Bake at 425°F for 15 mins. Reduce to 375°F for a further 25–30 mins.": 42.5,
    "Heat the oven to 250 °C for 45 minutes. Bake for half an hour.": 30,
    "Bake for 1 hour 15 minutes, to 97 °C.": 75,
    "Knead 10 minutes. Rise for 2 hours.": None,
    "Steam for the first ten minutes, then a falling oven.": None,
    "Bake 50 minutes, with steam for the first ten minutes.": None,
    "Backen: 250 °C, nach 10 Min. auf 220 °C, gesamt 35 Min.": 35,
    "Grädda i 225 grader i 10 minuter, sänk till 200 grader och grädda ytterligare 25 minuter.": 35,
    "Bag ved 180 grader i 1 time og 15 minutter, til 97 grader i midten.": 75,
    "Enfournez à 230 °C pendant 15 minutes, puis baissez à 200 °C et poursuivez la cuisson 25 minutes.": 40,
}


@each("text, minutes", MINUTES.items())
def test_minutes_in_the_oven_are_those_of_all_its_sentences(text: str, minutes: float | None) -> None:
    assert told_minutes(text) == minutes
