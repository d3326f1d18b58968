"""Grams, ounces and cups at a key, °C and °F at another: on every screen, remembered, and never stored."""

from __future__ import annotations

import json
from pathlib import Path

from driving import press, running, screen_text, settled, typed, written

from adapter.files.places import own_pantry_path, sample_pantry
from adapter.screens.app import OtherloafApp
from adapter.screens.bake.screen import BakeScreen
from adapter.screens.export.screen import ExportScreen
from adapter.screens.parts.shell import OtherloafScreen


def in_pantry() -> None:
    store = sample_pantry()
    assert store is not None
    own_pantry_path().write_bytes(store.read_bytes())


async def test_both_keys_turn_every_screen_and_are_remembered(tmp_path: Path, home: Path) -> None:
    in_pantry()
    loaf = written(tmp_path / "breads")
    async with running([loaf]) as (app, pilot):
        before = app.session.open_bench.formula
        # Honey is 60 g: 2.1 oz. Water of the soaker is 60 g: a quarter of a cup. The dough is 1472 g: 51.9 oz.
        await press(app, pilot, "f9")
        text = screen_text(app)
        assert "51.9 oz dough" in text and "grams" not in text.split("levels")[0]
        for way, shown in (("b", "51.9 oz"), ("c", "dough: oz, % of flour"), ("p", "oz in stock"), ("m", "ask for")):
            await press(app, pilot, way)
            assert shown in screen_text(app), way
            await press(app, pilot, "q")
        await press(app, pilot, "G")
        text = screen_text(app)
        assert "¼ cup" in text and "2 tbsp + 2½ tsp" in text and "1472 g dough" in text
        await press(app, pilot, "right")
        assert "= 60 g" not in screen_text(app)  # of a swap its own amounts are told
        assert any(sign in line for line in screen_text(app).splitlines()[-8:] for sign in ("cup", "tbsp"))
        for way, shown in (("b", "1472 g"), ("c", "dough: cups, % of flour"), ("p", "cups in stock")):
            await press(app, pilot, way)
            assert shown in screen_text(app), way
            await press(app, pilot, "q")
        await press(app, pilot, "e")
        screen = app.screen
        assert isinstance(screen, ExportScreen) and screen.subject is not None
        screen.forms.highlight([form.suffix for form in screen.subject.forms].index(".md"))
        await settled(app, pilot)
        assert "¼ cup" in screen.text and " 60 " in screen.text, "the card has cups beside the grams"
        await press(app, pilot, "q", "q")
        assert "cup" in screen_text(app), "so has the list of formulas"
        assert app.session.open_bench.formula == before, "what is stored is grams"
    remembered = json.loads((home / "preferences.json").read_text("utf-8"))
    assert remembered["amounts"] == "cups"
    async with running([loaf]) as (app, pilot):
        assert "¼ cup" in screen_text(app)
        await press(app, pilot, "f9")
        assert "1472 g dough" in screen_text(app) and "cup" not in screen_text(app).split("levels")[0]


async def test_a_number_alone_is_typed_in_the_unit_shown(tmp_path: Path, home: Path) -> None:
    loaf = written(tmp_path / "breads")
    (home / "preferences.json").write_text('{"amounts": "oz", "degrees": "°F"}', "utf-8")
    async with running([loaf]) as (app, pilot):
        bench = app.session.open_bench
        await press(app, pilot, "g")
        assert "a number alone is oz" in screen_text(app)
        await press(app, pilot, "enter")
        assert bench.formula.lines[0].grams == 60, "what stood there and was not touched is as it was"
        await press(app, pilot, "3", "enter")
        assert (bench.formula.lines[0].grams, bench.formula.lines[0].amount) == (85.0, None)
        await press(app, pilot, "9")
        await typed(pilot, "0 g")
        await press(app, pilot, "enter", "b")
        assert bench.formula.lines[0].grams == 90
        screen = app.screen
        assert isinstance(screen, BakeScreen) and "68 °F" in screen_text(app)
        await press(app, pilot, "7", "5", "enter")
        assert screen.day.choices.room_c == 23.89 and "75 °F set" in screen_text(app)
        await press(app, pilot, "right")
        assert screen.fields.field is not None and screen.fields.field.value == "76"
        await typed(pilot, "21C")
        await press(app, pilot, "enter")
        assert screen.day.choices.room_c == 21.0 and "69.8 °F" in screen_text(app)
        await press(app, pilot, "f12")
        assert "21 °C set" in screen_text(app) and "°F" not in screen_text(app)
        await press(app, pilot, "7", "5", "f12")
        assert screen.fields.typing is None and screen.day.choices.room_c == 21.0, "what is half typed is left"


async def test_unknown_units_in_the_file_count_as_grams(tmp_path: Path, home: Path) -> None:
    (home / "preferences.json").write_text('{"amounts": "stones", "degrees": 5}', "utf-8")
    async with running([written(tmp_path / "breads")]) as (app, _):
        assert isinstance(app, OtherloafApp) and isinstance(app.screen, OtherloafScreen)
        assert (app.screen.units.amounts, app.screen.units.degrees) == ("g", "°C")
