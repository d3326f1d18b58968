"""The JSON that scripts rely on: keys, types, nulls and order, as the command line promises them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from adapter.dough.readings.registry import READING_KEYS

Data = Callable[..., Any]


def number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) for item in value)


def check_readings(readings: Mapping[str, Any]) -> None:
    assert list(readings) == list(READING_KEYS)
    for key, reading in readings.items():
        assert reading.keys() >= {"value", "spread", "unit", "band", "basis"}, key
        assert number(reading["value"]), key
        assert number(reading["spread"]), key
        assert reading["spread"] >= 0, key
        assert isinstance(reading["unit"], str), key
        assert isinstance(reading["basis"], str) and reading["basis"], key
        band = reading["band"]
        assert band is None or (len(band) == 2 and number(band[0]) and number(band[1]) and band[0] < band[1]), key


def check_lines(lines: list[Any]) -> None:
    assert lines
    for line in lines:
        assert line.keys() >= {"stage", "ingredient", "grams", "percent"}
        assert isinstance(line["stage"], str) and isinstance(line["ingredient"], str)
        assert number(line["grams"]) and number(line["percent"])


def check_offer(offer: Mapping[str, Any], *, pantry: bool) -> None:
    wanted = {"line", "rule", "out", "into", "moved", "drift", "changes"}
    assert offer.keys() >= wanted | {"allergens_added", "allergens_removed", "in_pantry", "short"}
    assert isinstance(offer["line"], str)
    assert offer["rule"] is None or isinstance(offer["rule"], str)
    for key in ("out", "into", "short"):
        assert all(number(item["grams"]) and isinstance(item["ingredient"], str) for item in offer[key]), key
    assert all(number(item["grams_change"]) and isinstance(item["ingredient"], str) for item in offer["moved"])
    assert number(offer["drift"]) and offer["drift"] >= 0
    assert list(offer["changes"]) == list(READING_KEYS)
    for key, change in offer["changes"].items():
        assert change.keys() >= {"before", "after", "change", "spread", "clear"}, key
        assert isinstance(change["clear"], bool)
        assert change["change"] == pytest.approx(change["after"] - change["before"], abs=2e-6), key
        assert (
            change["clear"] == (abs(change["change"]) > change["spread"])
            or abs(abs(change["change"]) - change["spread"]) < 2e-6
        ), key
    assert texts(offer["allergens_added"]) and texts(offer["allergens_removed"])
    assert isinstance(offer["in_pantry"], bool) if pantry else offer["in_pantry"] is None


def test_balance(data: Data, plain: Path) -> None:
    found = data("balance", plain)
    assert found.keys() >= {"formula", "lines", "readings", "allergens", "warnings"}
    assert found["formula"].keys() >= {"name", "flour_g", "dough_g"}
    assert found["formula"]["name"] == "plain loaf"
    assert found["formula"]["flour_g"] == pytest.approx(1060)
    assert found["formula"]["dough_g"] == pytest.approx(1815)
    check_lines(found["lines"])
    check_readings(found["readings"])
    assert found["readings"]["flour_mass"]["value"] == found["formula"]["flour_g"]
    assert found["readings"]["dough_mass"]["value"] == found["formula"]["dough_g"]
    assert texts(found["allergens"])
    assert {"gluten: rye", "gluten: wheat", "milk"} == set(found["allergens"])
    assert texts(found["warnings"])


def test_percentages_are_of_the_flour(data: Data, plain: Path) -> None:
    found = data("balance", plain)
    for line in found["lines"]:
        assert line["percent"] == pytest.approx(100 * line["grams"] / 1060, abs=1e-6)


def test_a_reading_without_a_value_is_null(data: Data, written: Callable[..., Path]) -> None:
    found = data("balance", written({"wholemeal rye flour": 500, "water": 400}))
    assert found["readings"]["rise_time"]["value"] is None
    assert found["readings"]["rise_time"]["spread"] is None
    assert any(text.startswith("rise time has no end") for text in found["warnings"])


@pytest.mark.parametrize("words", [("balance",), ("offers",), ("compare", "again"), ("swap",)])
def test_a_dough_that_nothing_raises_is_still_json(
    data: Data, written: Callable[..., Path], words: tuple[str, ...]
) -> None:
    path = written({"wholemeal rye flour": 500, "water": 400, "honey": 40, "salt": 10})
    more: list[object] = {"compare": [path], "swap": ["--out", "honey", "--into", "malt syrup"]}.get(words[0], [])
    assert data(words[0], path, *more)


def test_offers_come_line_by_line_whole_ones_before_parts(data: Data, plain: Path) -> None:
    offers = data("offers", plain)["offers"]
    assert len(offers) > 100
    names = list(dict.fromkeys(offer["line"] for offer in offers))
    assert [offer["line"] for offer in offers] == sorted((o["line"] for o in offers), key=names.index)
    for name in names:
        parts = [offer["share_percent"] < 100 for offer in offers if offer["line"] == name]
        assert parts == sorted(parts)
    assert {offer["line"] for offer in offers} >= {"buttermilk", "honey", "white sugar", "white wheat flour"}
    for offer in offers:
        check_offer(offer, pantry=False)


def test_offers_for_one_line(data: Data, plain: Path) -> None:
    offers = data("offers", plain, "--line", "buttermilk")["offers"]
    assert len(offers) > 5
    for offer in offers:
        assert offer["line"] == "buttermilk"
        assert "buttermilk" in {item["ingredient"] for item in offer["out"]}
        assert offer["rule"] is not None


def test_a_line_that_no_rule_knows_has_no_offers(
    run: Callable[..., Any], data: Data, written: Callable[..., Path]
) -> None:
    with_leaf = written({"white wheat flour": 500, "water": 300, "salt": 10, "ascorbic acid": 1})
    assert data("offers", with_leaf, "--line", "ascorbic acid") == {"offers": []}
    assert "otherloaf swap" in run("offers", with_leaf, "--line", "ascorbic acid").out


def test_a_pantry_says_what_is_there(data: Data, plain: Path, tmp_path: Path) -> None:
    pantry = tmp_path / "pantry.toml"
    pantry.write_text(
        '[pantry]\nname = "shelf"\n[[stock]]\ningredient = "yoghurt"\n'
        '[[stock]]\ningredient = "kefir"\ngrams = 20\n[[stock]]\ningredient = "milk"\ngrams = 5000\n'
    )
    offers = data("offers", plain, "--line", "buttermilk", "--pantry", pantry)["offers"]
    for offer in offers:
        check_offer(offer, pantry=True)
        assert offer["in_pantry"] == (not offer["short"])
    by_one = {offer["into"][0]["ingredient"]: offer for offer in offers if len(offer["into"]) == 1}
    assert by_one["yoghurt"]["in_pantry"] is True
    assert by_one["kefir"]["in_pantry"] is False
    missing = by_one["kefir"]["short"][0]
    assert missing["ingredient"] == "kefir"
    assert missing["grams"] == pytest.approx(by_one["kefir"]["into"][0]["grams"] - 20)


def test_the_pantry_of_the_baker_is_used_without_asking(data: Data, plain: Path, home: Path) -> None:
    home.mkdir()
    (home / "pantry.toml").write_text('[pantry]\n[[stock]]\ningredient = "yoghurt"\ngrams = 10\n')
    offers = data("offers", plain, "--line", "buttermilk")["offers"]
    assert {offer["in_pantry"] for offer in offers} == {False}


def test_swap_is_one_offer_with_the_whole_formula(data: Data, plain: Path) -> None:
    found = data("swap", plain, "--out", "honey", "--into", "malt syrup")
    check_offer(found, pantry=False)
    check_lines(found["lines"])
    check_readings(found["readings"])
    assert found["line"] == "honey"
    assert [item["ingredient"] for item in found["out"]] == ["honey"]
    assert [item["ingredient"] for item in found["into"]] == ["malt syrup"]
    for key, reading in found["readings"].items():
        assert reading["value"] == pytest.approx(found["changes"][key]["after"], abs=1e-6), key
    assert sum(line["grams"] for line in found["lines"]) == pytest.approx(found["readings"]["dough_mass"]["value"])
    assert found["allergens_added"] == ["gluten: barley"]
    assert found["allergens_removed"] == []


def test_swap_without_a_rule_has_none(data: Data, plain: Path) -> None:
    found = data("swap", plain, "--out", "honey", "--into", "cocoa")
    assert found["rule"] is None
    check_offer(found, pantry=False)


def test_compare(data: Data, plain: Path, dark: str) -> None:
    found = data("compare", plain, dark, plain)
    assert found.keys() >= {"variants", "differences"}
    assert [variant["name"] for variant in found["variants"]] == ["plain loaf", "Hut everyday loaf", "plain loaf"]
    for variant in found["variants"]:
        check_readings(variant["readings"])
        check_lines(variant["lines"])
    assert len(found["differences"]) == 2
    for difference, variant in zip(found["differences"], found["variants"][1:], strict=True):
        assert list(difference) == list(READING_KEYS)
        for key, change in difference.items():
            assert change.keys() >= {"change", "spread", "clear"}, key
            first = found["variants"][0]["readings"][key]["value"]
            assert change["change"] == pytest.approx(variant["readings"][key]["value"] - first, abs=2e-6), key
    assert not any(change["clear"] or change["change"] for change in found["differences"][1].values())


def test_ingredients(data: Data) -> None:
    found = data("ingredients")["ingredients"]
    assert len(found) >= 120
    for item in found:
        assert item.keys() >= {"name", "aliases", "kinds", "allergens"}
        assert isinstance(item["name"], str)
        assert texts(item["aliases"]) and texts(item["kinds"]) and texts(item["allergens"])
    by_name = {item["name"]: item for item in found}
    assert by_name["buttermilk"]["allergens"] == ["milk"]


def span(value: Any, keys: set[str]) -> bool:
    return value.keys() >= keys and all(number(value[key]) for key in keys) and value["low"] <= value["high"]


def test_bake(data: Data, dark: str) -> None:
    found = data("bake", dark, "--start", "09:00")
    three, two = {"low", "value", "high"}, {"low", "high"}
    assert found["liquid_temperature_c"] is None or number(found["liquid_temperature_c"])
    assert number(found["ice_g"]) and number(found["dough_g"]) and number(found["tin_fill"])
    assert span(found["proof_h"], three) and span(found["bake_min"], three)
    assert found["proof_h"]["low"] < found["proof_h"]["value"] < found["proof_h"]["high"]
    assert number(found["core_c"])
    assert span(found["loss_percent"], two) and span(found["wait_h"], two) and span(found["keeps_d"], two)
    assert found["plan"]
    assert all(isinstance(step["at"], str) and isinstance(step["step"], str) for step in found["plan"])
    assert texts(found["cautions"]) and found["cautions"]
    assert found["dough_g"] == data("balance", dark)["formula"]["dough_g"]
