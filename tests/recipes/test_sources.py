"""Files as people give them: pages with several recipes, tables, and what is no recipe at all."""

from __future__ import annotations

import json
import time
from collections.abc import Callable

import pytest

from adapter.formula.problems import InputProblem
from adapter.recipes.lines import LineReader
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.sources import line_reader, read_bytes

Read = Callable[..., list[ReadRecipe]]


@pytest.fixture
def read(reader: LineReader) -> Read:
    def made(text: str | bytes, file: str = "pasted.txt", chosen: str | None = None) -> list[ReadRecipe]:
        data = text if isinstance(text, bytes) else text.encode("utf-8")
        return read_bytes(data, reader, file, chosen)

    return made


@pytest.fixture
def refused(read: Read) -> Callable[..., str]:
    def line(text: str | bytes, file: str = "bad.txt", chosen: str | None = None) -> str:
        with pytest.raises(InputProblem) as caught:
            read(text, file, chosen)
        said = str(caught.value)
        assert said.startswith(f"{file}: ")
        assert "\n" not in said
        return said

    return line


def _recipe(name: str, *ingredients: str) -> dict[str, object]:
    return {"@type": "Recipe", "name": name, "recipeIngredient": list(ingredients)}


def _page(*nodes: object, more: str = "") -> str:
    script = json.dumps({"@context": "https://schema.org", "@graph": list(nodes)}).replace("<", "\\u003c")
    return f'<!doctype html><html><head><script type="application/ld+json">{script}</script></head>{more}</html>'


# Pages


def test_of_several_recipes_one_is_chosen(read: Read, refused: Callable[..., str]) -> None:
    page = _page(_recipe("Rye tin", "500 g rye flour"), _recipe("Oat rolls", "300 g rolled oats"))
    said = refused(page, "page.html")
    assert "2 recipes" in said
    assert "1 Rye tin; 2 Oat rolls" in said
    assert read(page, "page.html", "2")[0].name == "Oat rolls"
    assert read(page, "page.html", "rye")[0].name == "Rye tin"
    assert [recipe.name for recipe in read(page, "page.html", "all")] == ["Rye tin", "Oat rolls"]
    assert "no one recipe is called 'cake'" in refused(page, "page.html", "cake")
    assert "no one recipe" in refused(page, "page.html", "3")


def test_the_same_recipe_twice_is_one(read: Read) -> None:
    node = _recipe("Rye tin", "500 g rye flour")
    assert len(read(_page(node, node), "page.html")) == 1


def test_a_recipe_deep_inside_is_found(read: Read) -> None:
    page = _page({"@type": "WebPage", "mainEntity": {"@type": "ItemPage", "about": [_recipe("Deep", "1 cup flour")]}})
    assert read(page, "page.html")[0].name == "Deep"


def test_a_broken_script_does_not_hide_a_good_one(read: Read) -> None:
    page = '<html><script type="application/ld+json">{"@type": </script>' + _page(_recipe("Good", "1 cup flour"))
    assert read(page, "page.html")[0].name == "Good"


@pytest.mark.parametrize(
    ("value", "texts"),
    [
        ("Mix it.\nBake it.", ["Mix it.", "Bake it."]),
        (["Mix it.", "Bake it."], ["Mix it.", "Bake it."]),
        (
            [{"@type": "HowToStep", "text": "Mix it."}, {"@type": "HowToStep", "name": "Bake it."}],
            ["Mix it.", "Bake it."],
        ),
        ({"@type": "ItemList", "itemListElement": [{"text": "Mix it."}, "Bake it."]}, ["Mix it.", "Bake it."]),
        ("<p>Mix it.</p><p>Bake &amp;amp; cool it.</p>", ["Mix it.", "Bake & cool it."]),
    ],
)
def test_instructions_in_every_shape(value: object, texts: list[str], read: Read) -> None:
    node = _recipe("Any", "500 g flour") | {"recipeInstructions": value}
    notes = "\n".join(read(json.dumps(node), "any.jsonld")[0].notes).splitlines()
    assert [note.strip() for note in notes if note.strip()] == texts


def test_type_as_address_and_ingredients_as_one_text(read: Read) -> None:
    node = {"@type": "http://schema.org/Recipe", "name": "Old", "ingredients": "500 g flour\n10 g salt"}
    assert [line.grams for line in read(json.dumps(node), "old.json")[0].lines] == [500, 10]


def test_hostile_markup_in_names_is_only_text(read: Read) -> None:
    node = _recipe("<script>alert(1)</script>\x1b[31mRed", "500 g flour <img src=x onerror=y>", "10 g salt\u202e")
    recipe = read(_page(node), "page.html")[0]
    shown = [recipe.name, *(line.text for line in recipe.lines)]
    assert not any(sign in text for text in shown for sign in ("\x1b", "\u202e", "<img"))


# Tables


@pytest.mark.parametrize(
    "text",
    [
        "ingredient,grams,percent\nwholemeal rye flour,1234.5,100\nwater,987.25,80\nsalt,1.234,0.1\n",
        "ingredient;grams;percent\nwholemeal rye flour;1234,5;100\nwater;987,25;80\nsalt;1,234;0,1\n",
        "Zutat\tMenge in g\nwholemeal rye flour\t1.234,5\nwater\t987,25\nsalt\t1,234\n",
        "| ingredient | g |\n|---|--:|\n| wholemeal rye flour | 1,234.5 |\n| water | 987.25 |\n| salt | 1.234 |\n",
        "| ingredient | amount | unit |\n|---|---|---|\n| wholemeal rye flour | 1234.5 | g |\n"
        "| water | 987.25 | g |\n| salt | 1.2340 | g |\n",
        'name,amount\n"wholemeal rye flour","1234.5 g"\nwater,987.25 g\nsalt,1.2340 g\n',
    ],
)
def test_tables_keep_every_digit(text: str, read: Read) -> None:
    lines = read(text, "table.csv" if "|" not in text else "table.md")[0].lines
    assert [(line.ingredient, line.grams, line.sure) for line in lines] == [
        ("wholemeal rye flour", 1234.5, True),
        ("water", 987.25, True),
        ("salt", 1.234, True),
    ]


def test_a_table_has_stages_totals_notes_and_spoons(read: Read) -> None:
    text = (
        "part,ingredient,amount,note\nsoaker,linseed,65 g,\nsoaker,water,70 g,hot\n"
        "dough,honey,2 tbsp,\ndough,bread flour,500 g,\ntotal,,635 g,\n"
    )
    lines = read(text, "table.csv")[0].lines
    assert [line.stage for line in lines] == ["soaker", "soaker", "dough", "dough", "dough"]
    assert lines[1].note == "hot"
    assert lines[2].grams == pytest.approx(42.4, rel=0.02)
    assert (lines[4].reference, lines[4].grams) == (True, None)


def test_other_tables_of_a_text_are_no_ingredients(read: Read) -> None:
    text = (
        "# Loaf\n\n| ingredient | g |\n|---|---|\n| bread flour | 500 |\n\n"
        "| reading | value |\n|---|---|\n| sugar | 5 % |\n| salt | 2 % |\n"
    )
    recipe = read(text, "card.md")[0]
    assert [line.ingredient for line in recipe.lines] == ["bread flour"]
    assert any("sugar" in note for note in recipe.notes)


def test_cells_that_were_defused_are_read_as_they_were(read: Read) -> None:
    lines = read("ingredient,grams,note\nbread flour,500,'=1+1\n", "table.csv")[0].lines
    assert lines[0].note == "=1+1"


# Cups


def test_whose_cups_are_meant(kitchen: object) -> None:
    catalogue = kitchen.catalogue  # type: ignore[attr-defined]
    milk = {}
    for cups in ("us", "metric", "imperial"):
        recipe = read_bytes(
            b"1 cup milk\n1 pint milk\n1 tbsp milk\n1 tsp milk\n", line_reader(catalogue, cups), "x.txt"
        )[0]
        milk[cups] = [line.grams for line in recipe.lines]
    # Millilitres of each (see units.txt) at 1.031 g/mL.
    for cups, millilitres in (
        ("us", (236.59, 473.18, 14.79, 4.93)),
        ("metric", (250, 568.26, 15, 5)),
        ("imperial", (284.13, 568.26, 15, 5)),
    ):
        assert milk[cups] == pytest.approx([1.031 * value for value in millilitres], rel=1e-3), cups
    with pytest.raises(InputProblem):
        line_reader(catalogue, "roman")


# What is no recipe


def test_bad_input_is_one_clear_line(refused: Callable[..., str]) -> None:
    assert "nothing to read" in refused("  \n\n")
    assert "more than 5 MB" in refused(b"500 g flour\n" * 840_000)
    assert "too long for a recipe" in refused("500 g flour\n" * 5000)
    assert "is no text" in refused(bytes(range(256)) * 40, "loaf.jpg")
    assert "is no text" in refused(b"\x89PNG\r\n\x1a\n" + b"\x00" * 100, "loaf.png")
    assert "no schema.org Recipe" in refused("<!doctype html><html><p>500 g flour</p></html>", "page.html")
    assert "no valid JSON" in refused(
        '<html><script type="application/ld+json">{"@type": "Recipe", </script></html>', "p.html"
    )
    assert "no valid JSON" in refused('{"@type": "Recipe", ', "x.json")
    assert "no schema.org Recipe" in refused('{"@type": "Person", "name": "Nobody"}', "x.json")
    assert "no ingredient is named" in refused("A day in the hills. It was cold and we walked a long way without rest.")
    assert "formula file already" in refused('[formula]\nname = "x"\n', "loaf.toml")


LONG = {
    "brackets": "(" * 5000 + "500 g flour",
    "numbers": "1 " * 20_000,
    "slashes": "1/" * 20_000,
    "open cups": "1 cup (" * 3000,
    "joined": "500 g flour and " * 3000,
    "one word": "a" * 300_000,
    "spaces": " " * 300_000 + "500 g flour",
    "preparations": "finely chopped " * 5000,
    "pipes": "| a " * 20_000 + "\n|---|\n| 5 |",
    "list": ",".join(["flour 500"] * 5000),
    "ors": "500 g flour, " + "or " * 10_000,
    "tags": "<html>" + "<" * 100_000 + "</html>",
    "nested": "{" + '"a":{' * 5000,
    "degrees": "°C" * 50_000 + " bake",
    "falling": "200 - " * 20_000 + "°C bake",
    "sides": "5 x " * 20_000 + " tin",
    "stages": "\n".join(f"For the stage {number}:\n100 g flour" for number in range(900)),
    "sentences": "Take 500 g of flour and bake it. " * 5000,
}


@pytest.mark.parametrize("text", LONG.values(), ids=LONG.keys())
def test_nothing_takes_long(text: str, read: Read) -> None:
    begun = time.process_time()
    try:
        read(text, "long.txt")
    except InputProblem as problem:
        assert "\n" not in str(problem)
    assert time.process_time() - begun < 6
