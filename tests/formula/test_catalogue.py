"""The catalogue: bad rows in one line, a baker's own over the shipped ones, ingredients found by name."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.catalogue import Catalogue, load_catalogue
from adapter.formula.ingredient import COMPOSITION, PROPERTIES, figure_words
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem

Load = Callable[..., Catalogue]

MOSS = """
[[ingredient]]
name = "moss flour"
aliases = ["ground moss"]
kinds = ["flour", "other flour"]
allergens = []
stored = "room"
[ingredient.figures]
water = { value = 12, spread = 1, tag = "own", source = "packet" }
starch = { value = 80, spread = 2, tag = "own", source = "packet" }
fibre = { value = 8, spread = 1, tag = "own", source = "packet" }
[ingredient.properties]
flour = { value = 1, spread = 0, tag = "own", source = "counted" }
held_water = { value = 0.7, spread = 0.1, tag = "own", source = "kitchen" }
[ingredient.acidity]
acids = { lactic = 5 }
buffers = { "4.5" = 20 }
ph = { value = 6, spread = 0.2, tag = "own", source = "meter" }
measured_in = "slurry"
spread_of_totals = 0.2
tag = "A"
source = "assumed"
"""
SOUR = """
[[ingredient]]
name = "moss sour"
kinds = ["sourdough"]
[ingredient.preferment]
flour = "moss flour"
hydration = 100
cells_per_g = 2e7
tag = "A"
source = "assumed"
"""


@pytest.fixture
def load(tmp_path: Path) -> Load:
    """The shipped catalogue with texts laid over it as files of a baker's own folder."""
    (tmp_path / "ingredients").mkdir()

    def loaded(*texts: str) -> Catalogue:
        for number, text in enumerate(texts):
            (tmp_path / "ingredients" / f"own {number}.toml").write_text(text, encoding="utf-8")
        return load_catalogue([tmp_path])

    return loaded


def refused(load: Load, *texts: str) -> str:
    with pytest.raises(InputProblem) as caught:
        load(*texts)
    said = str(caught.value)
    assert "\n" not in said
    return said


# --- bad rows -------------------------------------------------------------------------------------

WATER = 'water = { value = 12, spread = 1, tag = "own", source = "packet" }'
BAD_ROWS = {
    "source missing": (WATER, WATER.replace(', source = "packet"', ""), "figures, water: source"),
    "source empty": (WATER, WATER.replace('"packet"', '" "'), "figures, water: source"),
    "spread missing": (WATER, WATER.replace("spread = 1, ", ""), "figures, water: spread"),
    "spread negative": (WATER, WATER.replace("spread = 1", "spread = -1"), "figures, water: spread"),
    "value not a number": (WATER, WATER.replace("12", "nan"), "figures, water: value"),
    "value infinite": (WATER, WATER.replace("12", "inf"), "figures, water: value"),
    "value a text": (WATER, WATER.replace("12", '"12"'), "figures, water: value"),
    "value true": (WATER, WATER.replace("12", "true"), "figures, water: value"),
    "value negative": (WATER, WATER.replace("12", "-12"), "water"),
    "value above all": (WATER, WATER.replace("12", "112"), "water"),
    "unknown tag": (WATER, WATER.replace('"own"', '"sure"'), "figures, water: tag"),
    "figure not a table": (WATER, "water = 12", "water"),
    "sum of 110 g": (WATER, WATER.replace("12", "22"), "figures"),
    "sum of 90 g": (WATER, WATER.replace("12", "2"), "figures"),
    "unknown figure": ("fibre =", "fiber =", "figures: fiber"),
    "unknown property": ("held_water =", "hold_water =", "properties: hold_water"),
    "unknown key": ("allergens =", "allergen =", "allergen"),
    "unknown acidity key": ("spread_of_totals =", "spread_of_total =", "acidity: spread_of_total"),
    "unknown acid": ("lactic", "laktic", "acidity: acids.laktic"),
    "acid not a number": ("lactic = 5", 'lactic = "5"', "acidity: acids.lactic"),
    "buffer without pKa": ('"4.5" = 20', '"low" = 20', "acidity: buffers.low"),
    "unknown buffer model": ('measured_in = "slurry"', 'buffer_model = "meal"', "acidity: buffer_model"),
    "pH missing": ('ph = { value = 6, spread = 0.2, tag = "own", source = "meter" }', "", "acidity: ph"),
    "pH and charge": ('measured_in = "slurry"', "fixed_charge = 3", "acidity: ph"),
    "pH of 20": ("value = 6,", "value = 20,", "acidity: ph"),
    "pH of 0": ("value = 6,", "value = 0,", "acidity: ph"),
    "name missing": ('name = "moss flour"', "", "name"),
    "name a number": ('name = "moss flour"', "name = 3", "name"),
    "name empty": ('name = "moss flour"', 'name = ""', "name"),
    "aliases a text": ('["ground moss"]', '"ground moss"', "aliases"),
    "kinds of numbers": ('["flour", "other flour"]', "[1]", "kinds"),
    "stored in the sun": ('"room"', '"sun"', "stored"),
    "closest to nothing": ('stored = "room"', 'closest = ["lichen flour"]', "closest"),
}


@pytest.mark.parametrize("fault", BAD_ROWS)
def test_a_bad_row_names_file_entry_and_key(fault: str, load: Load) -> None:
    old, new, said = BAD_ROWS[fault]
    assert MOSS.count(old) == 1
    line = refused(load, MOSS.replace(old, new))
    assert "own 0.toml" in line and said in line
    assert "ingredient 'moss flour'" in line or "ingredient 1" in line


BAD_SOURS = {
    "flour unknown": ('"moss flour"', '"mos flour"', "mos flour"),
    "no flour": ('flour = "moss flour"', "", "flour"),
    "no water": ("hydration = 100", "hydration = 0", "hydration"),
    "source missing": ('source = "assumed"', "", "source"),
}


@pytest.mark.parametrize("fault", BAD_SOURS)
def test_a_bad_sourdough_is_one_line(fault: str, load: Load) -> None:
    old, new, said = BAD_SOURS[fault]
    line = refused(load, MOSS, SOUR.replace(old, new))
    assert said in line and "moss sour" in line


# Rows that read well and mean nothing: they must not wait for the kitchen to find out.
MISSED_ROWS = {
    "pKa not a number": ('"4.5" = 20', '"nan" = 20'),
    "pKa infinite": ('"4.5" = 20', '"inf" = 20'),
    "acid below nothing": ("lactic = 5", "lactic = -500"),
    "buffer below nothing": ('"4.5" = 20', '"4.5" = -20'),
    "spread of totals below nothing": ("spread_of_totals = 0.2", "spread_of_totals = -0.2"),
    "measured in the sea": ('measured_in = "slurry"', 'measured_in = "sea"'),
    "fifty times flour": ("flour = { value = 1,", "flour = { value = 50,"),
    "unknown key in a figure": ("water = { value", "water = { range = 3, value"),
    "table misspelt": ("[ingredient", "[ingredients"),
    "sourdough of itself": ('flour = "moss flour"', 'flour = "moss sour"'),
    "sourdough of water": ('flour = "moss flour"', 'flour = "water"'),
    "cells below nothing": ("cells_per_g = 2e7", "cells_per_g = -2e7"),
    "unknown key in a sourdough": ("hydration = 100", "hydration = 100\nhydratoin = 80"),
}


@pytest.mark.parametrize("fault", MISSED_ROWS)
def test_a_row_that_cannot_be_is_refused(fault: str, load: Load) -> None:
    old, new = MISSED_ROWS[fault]
    text = MOSS + SOUR
    assert old in text
    assert "own 0.toml" in refused(load, text.replace(old, new))


def test_hostile_names_are_made_harmless(load: Load) -> None:
    """Control characters and bidi marks must not reach a terminal; brackets and the rest stay as written."""
    try:
        catalogue = load(MOSS.replace("moss flour", "[b]moss\\u202e\\u001b[31m flour[/b]"))
    except InputProblem:
        return
    names = [name for name in catalogue.ingredients if "moss" in name]
    assert names and all(name.isprintable() for name in names)


def test_one_name_twice_in_a_folder(load: Load) -> None:
    assert "moss flour" in refused(load, MOSS + MOSS)
    assert "moss flour" in refused(load, MOSS, MOSS)


def test_one_name_in_two_spellings(load: Load) -> None:
    """ "Moss  flour" beside "moss flour": one of them could never be found by its name."""
    refused(load, MOSS + MOSS.replace('"moss flour"', '"Moss  flour"'))


# --- a baker's own --------------------------------------------------------------------------------


def test_own_entries_lie_over_the_shipped_ones(load: Load, kitchen: Kitchen) -> None:
    """A new name is added; the same name is replaced as a whole; everything else stays."""
    own_honey = MOSS.replace("moss flour", "honey").replace('["ground moss"]', '["heather honey"]')
    catalogue = load(MOSS, own_honey)
    assert len(catalogue) == len(kitchen.catalogue) + 1
    honey = catalogue.get("honey")
    assert honey.figure("starch") == 80 and honey.figure("fructose") == 0
    assert catalogue.resolve("heather honey") is honey
    changed = {name for name in kitchen.catalogue.ingredients if catalogue.get(name) != kitchen.catalogue.get(name)}
    assert changed == {"honey"}


def test_a_later_folder_lies_over_an_earlier_one(tmp_path: Path) -> None:
    folders = []
    for number, starch in enumerate((80, 81)):
        (tmp_path / str(number) / "ingredients").mkdir(parents=True)
        text = MOSS.replace("starch = { value = 80", f"starch = {{ value = {starch}")
        (tmp_path / str(number) / "ingredients" / "own.toml").write_text(text, encoding="utf-8")
        folders.append(tmp_path / str(number))
    assert load_catalogue(folders).get("moss flour").figure("starch") == 81


@pytest.mark.parametrize("present", ["nothing", "empty folder", "other files"])
def test_an_own_folder_may_be_empty(present: str, tmp_path: Path, kitchen: Kitchen) -> None:
    folder = tmp_path / "own"
    if present != "nothing":
        (folder / "ingredients").mkdir(parents=True)
    if present == "other files":
        (folder / "ingredients" / "notes.txt").write_text("not a table", encoding="utf-8")
    assert load_catalogue([folder]).ingredients == kitchen.catalogue.ingredients


def test_an_own_flour_and_its_sourdough_are_read_in_a_dough(load: Load, tmp_path: Path) -> None:
    load(MOSS, SOUR)
    kitchen = load_kitchen([tmp_path])
    formula = Formula("x", (Line("moss flour", 400), Line("moss sour", 200), Line("water", 200), Line("salt", 9)))
    readings = measure(kitchen, formula).readings()
    assert set(readings) == set(READING_KEYS)
    assert readings["flour_mass"].value == pytest.approx(500)
    assert readings["prefermented_flour"].value == pytest.approx(20)


# --- found by name --------------------------------------------------------------------------------


def test_every_name_and_alias_leads_to_its_ingredient(kitchen: Kitchen) -> None:
    for ingredient in kitchen.catalogue:
        for text in (ingredient.name, ingredient.name.upper(), f"  {ingredient.name} ", *ingredient.aliases):
            assert kitchen.catalogue.resolve(text) is ingredient


def test_accents_are_found_however_they_are_encoded(kitchen: Kitchen) -> None:
    """ "purée" typed on one machine and on another may be different strings."""
    names = [alias for item in kitchen.catalogue for alias in (item.name, *item.aliases) if not alias.isascii()]
    assert names
    for form in ("NFC", "NFD"):
        for name in names:
            assert kitchen.catalogue.resolve(unicodedata.normalize(form, name))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("honye", "honey"),
        ("wholemeal ry flour", "wholemeal rye flour"),
        ("butermilk", "buttermilk"),
        ("yogurt", "yoghurt"),
        ("vetemjol", "white wheat flour"),
    ],
)
def test_a_slip_of_the_fingers_is_among_the_nearest_three(typed: str, meant: str, kitchen: Kitchen) -> None:
    nearest = kitchen.catalogue.nearest(typed, 3)
    assert meant in nearest and len(nearest) == len(set(nearest)) == 3


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("rye malt", "rye malt"), ("vetemjol", "white wheat flour"), ("whole rye flur", "wholemeal rye flour")],
)
def test_the_nearest_by_far_comes_first(typed: str, meant: str, kitchen: Kitchen) -> None:
    """A short alias that lies within the word ("te" in "vetemjol") does not go before a whole one."""
    assert kitchen.catalogue.nearest(typed, 3)[0] == meant


@pytest.mark.parametrize("text", ["", "   ", "moon dust", "[bold]x[/]", "a" * 500, "x\ny", "\u202eyenoh", "\x1b[31m"])
def test_an_unknown_name_suggests_three_in_one_line(text: str, kitchen: Kitchen) -> None:
    with pytest.raises(InputProblem) as caught:
        kitchen.catalogue.resolve(text)
    said = str(caught.value)
    assert said.isprintable() and len(said) < 250
    assert said.split("nearest: ")[1].count(",") == 2


def test_search_by_words(kitchen: Kitchen) -> None:
    catalogue = kitchen.catalogue
    assert {"wholemeal rye flour", "light rye flour"} <= {item.name for item in catalogue.search("rye flour")}
    assert catalogue.search("kind-no-one-has honye") == []
    assert catalogue.search("honey " * 100) == [], "no name is so long: nothing is compared with it"
    assert len(catalogue.search("  ")) == len(catalogue)
    assert {item.name for item in catalogue.search("syrup")} >= set(catalogue.of_kind("syrup"))


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("salt", "salt"),
        ("flour", "white wheat flour"),
        ("oil", "sunflower oil"),
        ("butter", "butter"),
        ("milk", "milk"),
        ("rye", "medium rye flour"),
        ("sugar", "white sugar"),
        ("egg", "egg"),
        ("poolish", "poolish"),
        ("butterm", "buttermilk"),
        ("spelt", "spelt flour"),
        ("honye", "honey"),
        ("suger", "white sugar"),
        ("bread flour", "bread flour"),
        ("sa", "salt"),
        ("wa", "water"),
        ("ho", "honey"),
        ("oats", "rolled oats"),
        ("sug", "white sugar"),
        ("ye", "fresh yeast"),
        ("fres", "fresh yeast"),
        ("strong w", "bread flour"),
        ("ap flour", "white wheat flour"),
    ],
)
def test_the_likeliest_comes_first(typed: str, first: str, kitchen: Kitchen) -> None:
    """What a baker means by the bare word: common practice, no source."""
    assert kitchen.catalogue.search(typed)[0].name == first


def test_a_search_ranks_name_alias_first_word_prefix_then_words(kitchen: Kitchen) -> None:
    found = [item.name for item in kitchen.catalogue.search("rye")]
    begins = [name for name in found if name.startswith("rye ")]
    assert found[1 : 1 + len(begins)] == begins, "after the alias, those that begin with the word"
    assert "wholemeal rye flour" in found[1 + len(begins) :]


@pytest.mark.parametrize("words", ["qqq", "xyzzy", "moon dust", "1234"])
def test_nothing_is_called_that(words: str, kitchen: Kitchen) -> None:
    assert kitchen.catalogue.search(words) == []
    said = str(kitchen.catalogue.not_found(words))
    assert said.startswith(f"nothing is called {words!r}") and said.split("nearest: ")[1].count(",") == 2


def test_a_figure_is_told_in_words() -> None:
    for key in (*COMPOSITION, *PROPERTIES):
        assert "_" not in figure_words(key)
    assert figure_words("density_g_ml") == "density, g/mL" and figure_words("liquefaction") == "liquefaction"
    assert figure_words("ph") == "pH"
