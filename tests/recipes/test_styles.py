"""Recipes of our own as different people print them, each with the right answer for every line, worked out by hand.

Grams of cups, spoons and pints: densities of USDA SR28, units of NIST Handbook 44, the imperial pint of 568.26 mL,
metric spoons of 15 and 5 mL. Tins by the loaf and the weight of a cube of yeast: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from rows import each

from adapter.formula.catalogue import Catalogue
from adapter.formula.problems import InputProblem
from adapter.recipes.copied import cleaned
from adapter.recipes.lines import LineReader
from adapter.recipes.parting import read_texts
from adapter.recipes.read_recipe import ReadRecipe, formula_of
from adapter.recipes.sources import read_bytes, read_source
from adapter.recipes.tins import read_tin, whole_tin
from adapter.recipes.words import vocabulary

STYLES = Path(__file__).parent / "styles"
NEAR = 0.02
UNKNOWN = "?"


@dataclass(frozen=True)
class Answer:
    """What a text says. A line is its stage, ingredient, grams (None: not weighed), whether sure.

    The ingredient is None for what was made above, UNKNOWN for what is asked.
    """

    name: str
    lines: list[tuple[str, str | None, float | None, bool]]
    pieces: int | None = None
    proof_c: float | None = None
    oven_c: tuple[float, ...] = ()
    core_c: float | None = None
    tin: dict[str, float] = field(default_factory=dict)


ANSWERS = {
    "heads_above_stages.txt": Answer(
        name="Bergkruste (Weizenmischbrot 70/30 mit Roggenvorteig und Altbrot)",
        pieces=3,
        proof_c=32.0,
        oven_c=(245.0, 205.0),
        core_c=97.0,
        tin={},
        lines=[
            ("preferment", "rye flour type 997", 300.0, True),
            ("preferment", "water", 240.0, True),
            ("preferment", "rye sourdough", 30.0, True),
            ("soaker", "bread", 100.0, True),
            ("soaker", "water", 200.0, True),
            ("soaker", "salt", 44.0, True),
            ("dough", None, None, True),
            ("dough", None, None, True),
            ("dough", "wheat flour type 1050", 1000.0, True),
            ("dough", "white wheat flour", 400.0, True),
            ("dough", "rye flour type 997", 300.0, True),
            ("dough", "fresh yeast", 24.0, False),
            ("dough", "barley malt flour", 10.0, True),
            ("dough", "lard", 20.0, True),
            ("dough", "water", 960.0, True),
            ("dough", None, None, True),
        ],
    ),
    "day_before.txt": Answer(
        name="PAIN DE CAMPAGNE AU SARRASIN ET AUX NOIX",
        pieces=1,
        proof_c=24.0,
        oven_c=(250.0, 220.0),
        core_c=None,
        tin={},
        lines=[
            ("preferment", "wheat flour type 812", 150.0, True),
            ("preferment", "water", 150.1, True),
            ("preferment", "active dry yeast", 0.2501, False),
            ("le jour même", None, None, True),
            ("le jour même", "wheat flour type 65", 300.0, True),
            ("le jour même", "buckwheat flour", 50.0, True),
            ("le jour même", "water", 225.2, True),
            ("le jour même", "salt", 10.0, True),
            ("le jour même", "fresh yeast", 21.0, True),
            ("le jour même", "honey", 21.5, False),
            ("le jour même", "walnut oil", 9.2, True),
            ("le jour même", "walnuts", 100.0, True),
            ("le jour même", "white wheat flour", None, True),
        ],
    ),
    "marked_stages.txt": Answer(
        name="Smokehouse Rye (70%)",
        pieces=2,
        proof_c=29.0,
        oven_c=(260.0, 190.0),
        core_c=98.0,
        tin={"length_cm": 23.0, "width_cm": 10.0, "height_cm": 10.0},
        lines=[
            ("sourdough", "wholemeal rye flour", 150.0, True),
            ("sourdough", "water", 135.0, True),
            ("sourdough", "rye sourdough", 15.0, True),
            ("soaker", "linseed", 75.0, True),
            ("soaker", "pumpkin seeds", 75.0, True),
            ("soaker", "cracked rye", 50.0, True),
            ("soaker", "salt", 21.0, True),
            ("soaker", "water", 240.0, True),
            ("scald", "medium rye flour", 120.0, True),
            ("scald", "water", 300.0, True),
            ("scald", "roasted rye malt", 12.0, True),
            ("dough", None, None, True),
            ("dough", None, None, True),
            ("dough", None, None, True),
            ("dough", "medium rye flour", 260.0, True),
            ("dough", "bread flour", 230.0, True),
            ("dough", "malt syrup", 30.0, True),
            ("dough", "instant yeast", 4.0, True),
            ("dough", "water", 60.0, True),
        ],
    ),
    "percent_without_sign.txt": Answer(
        name="Lodge pan loaf - BAKER'S %",
        pieces=None,
        proof_c=35.0,
        oven_c=(220.0,),
        core_c=None,
        tin={"length_cm": 23.0, "width_cm": 13.0, "height_cm": 7.0},
        lines=[
            ("dough", "bread flour", 800.0, False),
            ("dough", "wholemeal wheat flour", 120.0, False),
            ("dough", "light rye flour", 80.0, False),
            ("dough", "water", 660.0, False),
            ("dough", "milk powder", 30.0, False),
            ("dough", "white sugar", 40.0, False),
            ("dough", "vegetable shortening", 40.0, False),
            ("dough", "salt", 19.0, False),
            ("dough", "fresh yeast", 22.0, False),
            ("dough", "barley malt flour", 3.0, False),
            ("dough", None, None, True),
        ],
    ),
    "shorthand.txt": Answer(
        name="SAT bread (tues ver. better??)",
        pieces=None,
        proof_c=26.0,
        oven_c=(204, 177),
        core_c=None,
        tin={"length_cm": 22.9, "width_cm": 12.7},
        lines=[
            ("dough", "wholemeal wheat flour", 350.0, False),
            ("dough", UNKNOWN, None, False),
            ("dough", "water", 430.0, False),
            ("dough", "salt", 12.16, True),
            ("dough", UNKNOWN, None, False),
            ("dough", "olive oil", 27.0, False),
            ("dough", UNKNOWN, None, False),
            ("dough", UNKNOWN, None, False),
        ],
    ),
    "printed_page.txt": Answer(
        name="Harvest Molasses Oatmeal Bread",
        pieces=2,
        proof_c=27.0,
        oven_c=(191.0,),
        core_c=91.0,
        tin={"length_cm": 21.6, "width_cm": 11.4},
        lines=[
            ("dough", "water", 473.6, True),
            ("dough", "rolled oats", 80.91, True),
            ("dough", "molasses", 170.0, True),
            ("dough", "butter", 42.54, True),
            ("dough", "salt", 24.33, False),
            ("dough", "active dry yeast", 7.087, True),
            ("dough", "water", 78.94, True),
            ("dough", "white wheat flour", 630.0, True),
            ("dough", "wholemeal wheat flour", 179.9, True),
            ("dough", "sunflower seeds", 70.03, True),
            ("dough", UNKNOWN, None, False),
            ("dough", "egg white", 33.0, False),
        ],
    ),
    "copied_page.txt": Answer(
        name="Rye and Caraway Ring",
        proof_c=24,
        oven_c=(230, 200),
        lines=[
            ("dough", "wholemeal rye flour", 350, True),
            ("dough", "bread flour", 250, True),
            ("dough", "caraway", 6.7, True),
            ("dough", "salt", 10, True),
            ("dough", "instant yeast", 7, True),
            ("dough", "black treacle", 42, True),
            ("dough", "water", 425, True),
        ],
    ),
    "columns_in_spaces.txt": Answer(
        name="Everyday brown",
        pieces=2,
        proof_c=25,
        oven_c=(240, 205),
        lines=[
            ("dough", "wholemeal wheat flour", 600, True),
            ("dough", "white wheat flour", 400, True),
            ("dough", "water", 700, True),
            ("dough", "salt", 20, True),
            ("dough", "fresh yeast", 12, True),
            ("dough", None, None, True),  # the total
        ],
    ),
    "amounts_in_words.txt": Answer(
        name="My aunt's potato bread",
        pieces=2,
        proof_c=None,
        oven_c=(218, 191),
        core_c=None,
        tin={},
        lines=[
            ("dough", "raw potato", 226.8, True),
            ("dough", "butter", 56.7, True),
            ("dough", "fresh yeast", 28.3, True),
            ("dough", "milk", 292.9, True),
            ("dough", "white sugar", 4.2, True),
            ("dough", "bread flour", 907.2, True),
            ("dough", "salt", 12.3, True),
            ("dough", "water", 142.2, True),
        ],
    ),
    "capitals.txt": Answer(
        name="SODA BREAD (NO YEAST)",
        pieces=None,
        proof_c=None,
        oven_c=(200,),
        core_c=None,
        tin={},
        lines=[
            ("dough", "white wheat flour", 250, True),
            ("dough", "wholemeal wheat flour", 250, True),
            ("dough", "baking soda", 4.7, True),
            ("dough", "salt", 6.2, True),
            ("dough", "buttermilk", 435.1, True),
            ("dough", "honey", 21.5, True),
        ],
    ),
    "counted_stages.txt": Answer(
        name="Pumpernickel, two stages (for one lidded tin 30 × 9.5 × 9.5 cm)",
        proof_c=30,
        oven_c=(160, 120),
        core_c=98,
        tin={"length_cm": 30, "width_cm": 9.5, "height_cm": 9.5},
        lines=[
            ("sourdough", "cracked rye", 250, True),
            ("sourdough", "water", 250, True),
            ("sourdough", "rye sourdough", 10, True),
            ("scald", "rye grain", 200, True),
            ("scald", "cracked rye", 150, True),
            ("scald", "water", 300, True),
            ("dough", None, None, True),  # stage 1 (all)
            ("dough", None, None, True),  # stage 2 (all)
            ("dough", "cracked rye", 350, True),
            ("dough", "salt", 15, True),
            ("dough", "sugar beet syrup", 40, True),
            ("dough", "water", 100, True),
        ],
    ),
    "decilitres.txt": Answer(
        name="Fjällbröd med råg",
        pieces=2,
        proof_c=None,
        oven_c=(200,),
        core_c=96,
        tin={},
        lines=[
            ("dough", "fresh yeast", 50, True),
            ("dough", "water", 600.6, True),
            ("dough", "salt", 18.5, True),
            ("dough", "sugar beet syrup", 70, True),
            ("dough", "rapeseed oil", 27.6, True),
            ("dough", "sifted rye and wheat flour", 180, True),
            ("dough", "bread flour", 720, True),
            ("dough", "bread spice", 2.1, True),
        ],
    ),
    "grams_in_the_head.csv": Answer(
        name="Grams in the head",
        pieces=None,
        proof_c=None,
        oven_c=(),
        core_c=None,
        tin={},
        lines=[
            ("preferment", "white wheat flour", 150, True),
            ("preferment", "water", 150, True),
            ("preferment", "fresh yeast", 0.5, True),
            ("dough", "white wheat flour", 350, True),
            ("dough", "milk", 120.5, True),
            ("dough", "butter", 40, True),
            ("dough", "white sugar", 40, True),
            ("dough", "salt", 10, True),
        ],
    ),
    "kind_in_brackets.txt": Answer(
        name="DINKEL-TOASTBROT",
        pieces=1,
        proof_c=27,
        oven_c=(200, 180),
        core_c=94,
        tin={"length_cm": 30},
        lines=[
            ("preferment", "spelt flour", 100, True),
            ("preferment", "milk", 100, True),
            ("preferment", "fresh yeast", 0.2, True),
            ("dough", None, None, True),  # Vorteig
            ("dough", "spelt flour", 400, True),
            ("dough", "water", 150, True),
            ("dough", "butter", 40, True),
            ("dough", "white sugar", 10, True),
            ("dough", "salt", 9.5, True),
            ("dough", "fresh yeast", 8, False),
            ("dough", "egg", 51, True),
        ],
    ),
    "note_with_signs.txt": Answer(
        name="🍞✨ Lazy overnight loaf!! ✨🍞",
        pieces=None,
        proof_c=21,
        oven_c=(232,),
        core_c=96,
        tin={},
        lines=[
            ("dough", "white wheat flour", 400, True),
            ("dough", "salt", 9.1, True),
            ("dough", "instant yeast", 1, False),
            ("dough", "water", 385, True),
            ("dough", "pumpkin seeds", None, False),
            ("dough", "olive oil", None, True),
        ],
    ),
    "numbered_list.txt": Answer(
        name="Cinnamon and Raisin Plait",
        pieces=None,
        proof_c=None,
        oven_c=(190,),
        core_c=None,
        tin={},
        lines=[
            ("dough", "bread flour", 500, True),
            ("dough", "instant yeast", 7, True),
            ("dough", "white sugar", 50, True),
            ("dough", "salt", 6.2, True),
            ("dough", "cinnamon", 5.3, True),
            ("dough", "milk", 257.8, True),
            ("dough", "egg", 51, True),
            ("dough", "butter", 60, True),
            ("dough", "raisins", 150, True),
        ],
    ),
    "pounds_and_grams.txt": Answer(
        name="A PLAIN BROWN TIN LOAF",
        pieces=1,
        proof_c=25,
        oven_c=(220, 190),
        core_c=None,
        tin={"length_cm": 23, "width_cm": 13, "height_cm": 7},
        lines=[
            ("dough", "wholemeal wheat flour", 340, True),
            ("dough", "bread flour", 115, True),
            ("dough", "salt", 9.3, True),
            ("dough", "instant yeast", 7, True),
            ("dough", "black treacle", 14, True),
            ("dough", "sunflower oil", 13.8, True),
            ("dough", "water", 284.4, True),
            ("dough", "butter", None, True),
            ("dough", "rolled oats", 5.1, True),
        ],
    ),
    "scanned.txt": Answer(
        name="Wh0lemeal Bread",
        pieces=None,
        proof_c=None,
        oven_c=(230,),
        core_c=None,
        tin={"length_cm": 23, "width_cm": 13, "height_cm": 7},
        lines=[
            ("dough", "wholemeal wheat flour", 680.4, False),
            ("dough", "salt", 14.2, True),
            ("dough", "fresh yeast", 28.3, False),
            ("dough", "water", 426.6, True),
            ("dough", "brown sugar", 4.7, True),
            ("dough", "lard", 28.3, True),
        ],
    ),
    "stages_with_times.txt": Answer(
        name="Saatenbrot mit Quellstück",
        pieces=1,
        proof_c=28,
        oven_c=(240, 190),
        core_c=96,
        tin={"length_cm": 30, "width_cm": 11, "height_cm": 9},
        lines=[
            ("soaker", "sunflower seeds", 60, True),
            ("soaker", "linseed", 40, True),
            ("soaker", "sesame seeds", 30, True),
            ("soaker", "salt", 15, True),
            ("soaker", "water", 200, True),
            ("sourdough", "rye flour type 1150", 150, True),
            ("sourdough", "water", 150, True),
            ("sourdough", "rye sourdough", 15, False),
            ("dough", None, None, True),  # gesamter Sauerteig
            ("dough", None, None, True),  # gesamtes Quellstück
            ("dough", "wheat flour type 1050", 350, True),
            ("dough", "wholemeal spelt flour", 150, True),
            ("dough", "fresh yeast", 21, True),
            ("dough", "honey", 21.5, True),
            ("dough", "water", 180.2, True),
            ("dough", "butter", None, True),
        ],
    ),
    "three_columns.txt": Answer(
        name="Seeded Farmhouse Rolls",
        pieces=16,
        proof_c=26,
        oven_c=(230,),
        core_c=None,
        tin={},
        lines=[
            ("dough", "bread flour", 600, True),
            ("dough", "wholemeal wheat flour", 200, True),
            ("dough", "water", 520, True),
            ("dough", "salt", 16, True),
            ("dough", "fresh yeast", 16, True),
            ("dough", "pumpkin seeds", 80, True),
            ("dough", "olive oil", 30, True),
        ],
    ),
    "two_days.txt": Answer(
        name="Rugbrød på surdej",
        pieces=None,
        proof_c=25,
        oven_c=(180,),
        core_c=98,
        tin={"length_cm": 30, "width_cm": 10, "height_cm": 10},
        lines=[
            ("dag 1", "rye sourdough", 300, False),
            ("dag 1", "water", 500.5, True),
            ("dag 1", "cracked rye", 400, True),
            ("dag 1", "sunflower seeds", 150, True),
            ("dag 2", None, None, True),  # Det hele fra dag 1
            ("dag 2", "sweet stout", 253, True),
            ("dag 2", "salt", 18.5, True),
            ("dag 2", "sugar beet syrup", 21, True),
            ("dag 2", "wholemeal rye flour", 500, True),
            ("dag 2", "water", 100.1, True),
        ],
    ),
}


def _faults(recipe: ReadRecipe, answer: Answer) -> list[str]:
    found = []
    for line, (stage, ingredient, grams, sure) in zip(recipe.lines, answer.lines, strict=False):
        named = None if ingredient == UNKNOWN else ingredient
        if (line.stage, line.ingredient, line.sure) != (stage, named, sure) or line.reference != (ingredient is None):
            found.append(f"{line.text}: {line.stage}, {line.ingredient}, {line.doubts}")
        if line.grams != (None if grams is None else pytest.approx(grams, rel=NEAR)):
            found.append(f"{line.text}: {line.grams} g, not {grams}")
    if len(recipe.lines) != len(answer.lines):
        found.append(f"{len(recipe.lines)} lines, not {len(answer.lines)}")
    told = (recipe.name, recipe.pieces, recipe.proof_c, recipe.core_c)
    if told != (answer.name, answer.pieces, answer.proof_c, answer.core_c):
        found.append(f"read: {told}")
    if recipe.oven_c != pytest.approx(answer.oven_c, abs=1):
        found.append(f"oven {recipe.oven_c}")
    if {key: value for key, value in recipe.tin.items() if key != "lidded"} != pytest.approx(answer.tin, abs=0.1):
        found.append(f"tin {recipe.tin}")
    return found


@each("name", ANSWERS)
def test_every_line_of_every_style(name: str, reader: LineReader) -> None:
    recipe = read_bytes((STYLES / name).read_bytes(), reader, name)[0]
    assert _faults(recipe, ANSWERS[name]) == []
    # A formula comes of each, and no word of the text is lost: it is a title, a line, a stage or a note.
    assert formula_of(recipe.accepted(), reader.names.catalogue).dough_grams() > 400
    kept = " ".join([recipe.name, *(line.text for line in recipe.lines), *recipe.notes, *recipe.stages.values()])
    text, asides = cleaned((STYLES / name).read_text(encoding="utf-8"))
    assert set(asides) <= set(recipe.notes)
    for row in text.splitlines()[0 if name.endswith(".txt") else 1 :]:
        if row.split() in (["%", "g"], ["%", "kg"]) or not row.strip("-| "):  # heads of columns, a rule
            continue
        for word in row.strip(" :;").split():
            assert word.strip(":") in kept, f"{word} of {row}"


def test_every_style_has_its_answer() -> None:
    assert set(ANSWERS) == {path.name for path in STYLES.iterdir()}


# Several recipes in one text

TWO = """Barley flatbreads

Makes 8

200 g barley flour
200 g plain flour
240 g water

Cook on a hot plate.

Honey glaze

50 g honey
20 g butter

Morning rolls

12 rolls

600 g strong white flour
400 g milk
12 g salt

Bake at 220 °C for 15 minutes.
"""
CAKE = """Walnut coffee cake

225 g butter
225 g self-raising flour

Bake at 180 °C for 25 minutes.


Coffee buttercream

125 g butter
250 g icing sugar

Beat together.


Crumble top

50 g flour
25 g butter
"""


def test_recipes_one_under_another_are_parted(reader: LineReader) -> None:
    first, second = read_texts(TWO, reader)
    assert (first.name, first.pieces, second.name, second.pieces) == ("Barley flatbreads", 8, "Morning rolls", 12)
    assert [line.ingredient for line in first.lines] == [
        "barley flour", "white wheat flour", "water", "honey", "butter",
    ]  # fmt: skip
    assert (first.oven_c, second.oven_c) == ((), (220,))
    with pytest.raises(InputProblem, match="holds 2 recipes: 1 Barley flatbreads; 2 Morning rolls"):
        read_source(TWO, reader, "pasted.txt")
    assert read_source(TWO, reader, "pasted.txt", "rolls")[0].name == "Morning rolls"


def test_filling_and_crumble_are_stages_of_one_recipe(reader: LineReader) -> None:
    (cake,) = read_texts(CAKE, reader)
    assert list(dict.fromkeys(line.stage for line in cake.lines)) == ["dough", "coffee buttercream", "crumble top"]
    assert "Beat together." in cake.notes


# Tins

TINS = {
    "Line a 20 cm round cake tin.": {"diameter_cm": 20},
    "a 20cm/8in square tin": {"length_cm": 20, "width_cm": 20},
    "a 9 x 5 inch pan": {"length_cm": 22.9, "width_cm": 12.7},
    "in a greased 2 lb. loaf tin": {"length_cm": 23, "width_cm": 13, "height_cm": 7},
    "a 9-inch springform pan, 3 inches deep": {"diameter_cm": 22.9, "height_cm": 7.6},
    "a loaf tin of 1.5 litres": {"volume_l": 1.5},
    "line a baking tray": {},
}


@each("sentence", TINS)
def test_tins_as_they_are_told(sentence: str) -> None:
    told, doubts = read_tin(sentence, vocabulary().languages["english"])
    assert {key: value for key, value in told.items() if key != "lidded"} == pytest.approx(TINS[sentence], abs=0.1)
    assert bool(doubts) == bool(told), "what is taken for the rest is asked"


def test_a_tin_is_as_large_as_it_is_told() -> None:
    round_tin, _ = whole_tin({"diameter_cm": 20.0, "height_cm": 8.0})
    assert round_tin["length_cm"] * round_tin["width_cm"] == pytest.approx(314.16, rel=1e-3), "pi r squared"
    by_volume, _ = whole_tin({"volume_l": 1.5})
    assert by_volume["length_cm"] * by_volume["width_cm"] * by_volume["height_cm"] == pytest.approx(1500, rel=0.02)


# What only the whole text tells


def test_a_stage_has_its_hours_and_warmth(recipe: Callable[[str], ReadRecipe], catalogue: Catalogue) -> None:
    text = (
        "Rye sour (18 h, 27 °C):\n350 g rye flour\n350 g water\n35 g ripe starter\n\n"
        "Dough:\n600 g bread flour\n400 g water\n18 g salt\n"
    )
    read = recipe(text)
    plan = formula_of(read, catalogue).plan_of("sourdough")
    assert plan is not None
    assert (plan.hours, plan.temperature_c) == (18, 27)
    assert read.lines[2].ingredient == "rye sourdough"


def test_a_starter_is_of_the_flour_there_is_most_of(recipe: Callable[[str], ReadRecipe]) -> None:
    for flour, wanted in (("bread flour", "wheat sourdough"), ("wholemeal rye flour", "rye sourdough")):
        line = recipe(f"500 g {flour}\n350 g water\n100 g starter\n10 g salt").lines[2]
        assert (line.ingredient, line.sure) == (wanted, False), "it is asked all the same"


def test_an_amount_of_each_is_of_both(reader: LineReader) -> None:
    lines = reader.read("½ teaspoon each baking soda and salt", "dough")
    # SR28: a teaspoon of baking soda 4.6 g, of salt 6 g.
    assert [(line.ingredient, line.grams) for line in lines] == [
        ("baking soda", pytest.approx(2.3, rel=NEAR)),
        ("salt", pytest.approx(3.0, rel=0.03)),
    ]
