"""The bowl: the water that brings the dough to the wanted temperature, for whole formulas."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from adapter.dough.bake.mixing import Mixing, Temperatures, line_specific_heat, mixing_plan
from adapter.dough.models.heat import dough_temperature
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line

Read = Callable[..., Measured]
Loaf = Callable[..., Formula]

KEFIR_AND_WATER = {"wholemeal rye flour": 600, "kefir": 250, "water": 250, "salt": 12, "fresh yeast": 8}
KEFIR_ALONE = {"wholemeal rye flour": 600, "kefir": 500, "salt": 12, "fresh yeast": 8}
WHITE = {"white wheat flour": 1000, "water": 620, "salt": 20, "fresh yeast": 15}


def mixed(read: Read, amounts: Mapping[str, float] | Formula, wanted_c: float = 26.0, **places: float) -> Mixing:
    return mixing_plan(read(amounts), wanted_c, Temperatures(**places))


def balance_c(mixing: Mixing, liquid_c: float, ice_g: float = 0.0, tap_c: float = 12.0) -> float:
    """°C of the dough by conservation of energy, worked out here from nothing but the lines.

    Ice at 0 °C takes 333.6 kJ/kg to melt; the rest of the liquid is poured at the tap's temperature.
    """
    warmth = mixing.mixing_kj + 10.0 * mixing.flour_g / 1000.0
    capacity = 0.0
    for line in mixing.lines:
        at_c = liquid_c if line.is_liquid else line.temperature_c
        warmth += line.grams / 1000.0 * line.specific_heat * at_c
        capacity += line.grams / 1000.0 * line.specific_heat
    if ice_g:
        water = next(line for line in mixing.lines if line.is_liquid)
        warmth -= ice_g / 1000.0 * (333.6 + water.specific_heat * tap_c)
    return warmth / capacity


@pytest.mark.parametrize("wanted_c", [22.0, 26.0, 28.0])
@pytest.mark.parametrize("amounts", [WHITE, KEFIR_AND_WATER])
def test_poured_as_told_the_dough_comes_to_what_was_wanted(
    read: Read, amounts: Mapping[str, float], wanted_c: float
) -> None:
    """Conservation of energy."""
    mixing = mixed(read, amounts, wanted_c, fridge_c=14.0)
    assert mixing.liquid.reachable and mixing.liquid.liquid_temperature_c is not None
    assert balance_c(mixing, mixing.liquid.liquid_temperature_c) == pytest.approx(wanted_c, abs=1e-9)
    assert mixing.dough_c == wanted_c


def test_colder_kefir_raises_the_temperature_of_the_water(read: Read) -> None:
    """What 250 g kefir and the yeast beside it lack, 14 °C at 3.94 and 3.4 kJ/(kg K), 250 g of water bring."""
    cold, warm = (mixed(read, KEFIR_AND_WATER, 24.0, fridge_c=at_c).liquid.balance_c for at_c in (6.0, 20.0))
    assert cold is not None and warm is not None
    assert cold - warm == pytest.approx(14.0 * (250 * 3.94 + 8 * 3.4) / (250 * 4.17), rel=0.01)


def test_with_no_water_to_warm_the_dough_stays_colder_and_it_says_so(read: Read) -> None:
    cold, warm = (mixed(read, KEFIR_ALONE, fridge_c=at_c) for at_c in (6.0, 20.0))
    assert cold.dough_c < warm.dough_c - 5.0
    assert cold.liquid.liquid_temperature_c is None and not cold.liquid.reachable
    assert "no liquid to set" in cold.liquid.note


@pytest.mark.parametrize("amounts", [KEFIR_ALONE, {**KEFIR_ALONE, "water": 40}])
def test_the_liquid_that_is_to_be_warmed_instead_brings_the_dough_there(
    read: Read, loaf: Loaf, amounts: Mapping[str, float]
) -> None:
    """The hint's temperature, given to the line itself, is the one at which the wanted dough is reached."""
    mixing = mixed(read, amounts, 25.0)
    assert not mixing.liquid.reachable
    assert mixing.hint.startswith("Or warm the kefir (500 g) from 6 to ")
    hinted_c = 6.0 + (25.0 - mixing.dough_c) * sum(line.kj_per_k for line in mixing.lines) / next(
        line.kj_per_k for line in mixing.lines if line.name == "kefir"
    )
    assert f" to {hinted_c:.0f} °C." in mixing.hint
    formula = loaf(amounts)
    lines = [replace(line, temperature_c=hinted_c) if line.ingredient == "kefir" else line for line in formula.lines]
    poured_c = mixing.liquid.liquid_temperature_c or 0.0
    assert balance_c(mixed(read, formula.with_lines(lines), 25.0), poured_c) == pytest.approx(25.0, abs=1e-6)


@pytest.mark.parametrize(("kefir_g", "milk_g", "larger"), [(300, 200, "kefir (300 g)"), (200, 300, "milk (300 g)")])
def test_of_two_liquids_as_cold_the_larger_is_to_be_warmed(
    read: Read, kefir_g: float, milk_g: float, larger: str
) -> None:
    mixing = mixed(read, {**KEFIR_ALONE, "kefir": kefir_g, "milk": milk_g}, 17.0)
    assert mixing.hint.startswith(f"Or warm the {larger} from 6 to ")


def test_a_liquid_is_not_to_be_warmed_until_it_curdles(read: Read) -> None:
    """Forty degrees is as warm as cultured milk is taken: common practice, no source. What that gives is said."""
    amounts = {**KEFIR_ALONE, "kefir": 60}
    mixing = mixed(read, amounts, 30.0)
    lines = [replace(line, temperature_c=40.0) if line.name == "kefir" else line for line in mixing.lines]
    reached_c = dough_temperature(lines, mixing.flour_g, mixing.mixing_kj)
    assert mixing.hint == f"Warm the kefir (60 g) from 6 to 40 °C: the dough then comes to {reached_c:.1f} °C."


def test_ice_where_the_water_cannot_be_cold_enough(read: Read) -> None:
    mixing = mixed(read, WHITE, 15.0, room_c=32.0, tap_c=18.0)
    assert 0.0 < mixing.liquid.ice_g < 310.0
    assert balance_c(mixing, 18.0, mixing.liquid.ice_g, 18.0) == pytest.approx(15.0, abs=1e-9)


@pytest.mark.parametrize("tap_c", [25.0, 8.0])
def test_more_than_half_of_it_as_ice_cannot_be(read: Read, tap_c: float) -> None:
    """Half of the water as ice out of a cold tap is worth less than −30 °C: still a dough, and no fault."""
    mixing = mixed(read, {**WHITE, "water": 300, "milk": 320}, 5.0, room_c=40.0, tap_c=tap_c, fridge_c=20.0)
    assert not mixing.liquid.reachable
    assert mixing.liquid.ice_g == pytest.approx(150.0)
    assert balance_c(mixing, tap_c, 150.0, tap_c) == pytest.approx(mixing.dough_c, abs=1e-9)
    assert mixing.dough_c > 5.0
    assert mixing.hint == ""  # nothing is to be warmed


def test_the_rule_of_three_factors(read: Read) -> None:
    """3 x wanted − flour − room − friction, 3 °C by hand, 13 by machine: common practice, no source."""
    assert mixed(read, WHITE, 26.0, room_c=21.0).rule_c == pytest.approx(3 * 26 - 21 - 21 - 3)
    by_machine = mixing_plan(read(WHITE), 26.0, Temperatures(room_c=21.0, by_machine=True))
    assert by_machine.rule_c == pytest.approx(3 * 26 - 21 - 21 - 13)


def test_the_rule_of_four_factors_counts_the_sourdough(read: Read) -> None:
    mixing = mixed(read, {**WHITE, "rye sourdough": 300}, 26.0, room_c=21.0)
    assert mixing.rule_factors_c == (21.0, 21.0, 21.0)
    assert mixing.rule_c == pytest.approx(4 * 26 - 3 * 21 - 3)
    assert "four-factor" in mixing.why_rule_differs


def test_a_machine_warms_the_dough(read: Read) -> None:
    """12 against 3 kJ per kg of dough [A]: the water of 1655 g dough is taken colder by 14.9 kJ over its capacity."""
    hand, machine = (
        mixing_plan(read(WHITE), 26.0, Temperatures(by_machine=by)).liquid.balance_c for by in (False, True)
    )
    assert hand is not None and machine is not None
    assert hand - machine == pytest.approx(9.0 * 1.655 / (0.620 * 4.17), rel=0.01)


def test_water_of_the_soaker_is_in_the_dough_already(read: Read) -> None:
    lines = (
        Line("linseed", 60.0, "soaker"),
        Line("water", 100.0, "soaker"),
        Line("wholemeal rye flour", 500.0),
        Line("water", 350.0),
        Line("salt", 10.0),
        Line("fresh yeast", 8.0),
    )
    mixing = mixed(read, Formula("soaked", lines))
    assert [line.grams for line in mixing.lines if line.is_liquid] == [350.0]


def test_a_line_with_its_own_temperature_keeps_it(read: Read, loaf: Loaf) -> None:
    formula = loaf(KEFIR_AND_WATER)
    lines = [replace(line, temperature_c=30.0) if line.ingredient == "kefir" else line for line in formula.lines]
    mixing = mixed(read, formula.with_lines(lines))
    assert next(line.temperature_c for line in mixing.lines if line.name == "kefir") == 30.0


def test_specific_heats_of_lines(read: Read) -> None:
    """Flour 1.80–1.88 (Geankoplis), water 4.18, milk about 3.9 kJ/(kg K) (ASHRAE, "Thermal properties of foods")."""
    measured = read({"white wheat flour": 500, "milk": 200, "water": 100})
    heats = {line.ingredient: line_specific_heat(measured, line) for line in measured.formula.lines}
    assert 1.80 <= heats["white wheat flour"] <= 1.88
    assert heats["water"] == pytest.approx(4.18, abs=0.02)
    assert heats["milk"] == pytest.approx(3.9, abs=0.1)


@pytest.mark.parametrize("hydration", [None, 60.0, 150.0])
def test_a_preferment_warms_as_its_flour_and_its_water(read: Read, hydration: float | None) -> None:
    """By weight: flour 1.85, water 4.18 kJ/(kg K); its own hydration, or the one that the line gives."""
    measured = read(
        Formula("sour", (Line("wholemeal rye flour", 500), Line("rye sourdough", 200, hydration=hydration)))
    )
    preferment = measured.kitchen.catalogue.get("rye sourdough").preferment
    assert preferment is not None
    water = preferment.hydration if hydration is None else hydration
    heat = line_specific_heat(measured, measured.formula.lines[1])
    assert heat == pytest.approx((100 * 1.85 + water * 4.18) / (100 + water), rel=0.003)


@pytest.mark.parametrize(
    ("place", "said", "low", "high"),
    [
        ("room_c", "a room", -10.0, 50.0),
        ("fridge_c", "a fridge or cellar", -5.0, 25.0),
        ("freezer_c", "a freezer", -30.0, 0.0),
        ("tap_c", "tap water", 0.0, 45.0),
    ],
)
def test_what_a_place_may_have(read: Read, place: str, said: str, low: float, high: float) -> None:
    """Water is ice below 0 °C and kills yeast above 45; a freezer freezes, a cellar is no hot room: common practice."""
    for at_c in (low, high):
        assert mixed(read, KEFIR_AND_WATER, 24.0, **{place: at_c}).lines
    for at_c in (low - 0.1, high + 0.1):
        with pytest.raises(ValueError, match=f"^{said} at {at_c:g} °C is not possible: between {low:g} and {high:g}"):
            mixed(read, KEFIR_AND_WATER, 24.0, **{place: at_c})


def test_what_no_scale_shows_brings_no_warmth(read: Read) -> None:
    """Ten milligrams are the least that a jeweller's scale shows."""
    mixing = mixed(read, {**WHITE, "saffron": 0.01, "caraway": 0.0099})
    assert [line.name for line in mixing.lines] == [*WHITE, "saffron"]


def test_cultured_milk_is_warmed_to_forty_degrees_and_no_further(read: Read) -> None:
    """Warmer it curdles: common practice, no source."""
    hinted = [mixed(read, KEFIR_ALONE, 0.25 * quarter).hint for quarter in range(90, 170)]
    told_c = [float(hint.split(" to ")[1].split(" °C")[0]) for hint in hinted if hint]
    assert 39.0 <= max(told_c) <= 40.0 and hinted[0].startswith("Or warm the kefir")
    assert hinted[-1].startswith("Warm the kefir (500 g) from 6 to 40 °C: the dough then comes to ")


@pytest.mark.parametrize("wanted_c", [0.0, 60.0, float("nan")])
def test_doughs_that_cannot_be(read: Read, wanted_c: float) -> None:
    with pytest.raises(ValueError, match="wanted dough"):
        mixed(read, WHITE, wanted_c)


@pytest.mark.parametrize("missing_c", [0.6, 0.9, 1.4])
def test_what_lacks_half_a_degree_is_told_how_to_get_it(read: Read, missing_c: float) -> None:
    """Without water to set; half a degree nobody feels."""
    reached = mixed(read, KEFIR_ALONE, 20.0).dough_c
    assert mixed(read, KEFIR_ALONE, reached + missing_c).hint.startswith("Or warm the kefir (500 g) from 6 to ")
    assert mixed(read, KEFIR_ALONE, reached + 0.4).hint == ""


def test_the_rule_counts_the_flour_that_is_poured_in(read: Read) -> None:
    """Flour from a cold store by its own temperature; that of a soaker stood in it, and is no flour of the bowl."""
    lines = (
        Line("wholemeal rye flour", 100.0, "soaker"), Line("water", 120.0, "soaker"),
        Line("white wheat flour", 500.0, temperature_c=9.0), Line("water", 300.0), Line("salt", 12.0),
    )  # fmt: skip
    mixing = mixed(read, Formula("cold flour", lines), 24.0, room_c=21.0)
    assert mixing.rule_factors_c == (9.0, 21.0)
    assert [line.name for line in mixing.lines if line.is_flour] == ["white wheat flour"]
