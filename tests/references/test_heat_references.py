"""Specific heats and dough temperature against handbook values, textbook problems and an enthalpy balance."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.dough.models.heat import (
    DRY_FLOUR,
    HeatLine,
    _flour_instead,
    dough_temperature,
    liquid_temperature,
    mixing_heat_kj,
    rule_of_factors,
    specific_heat,
    why_they_differ,
)
from adapter.dough.readings.kitchen import load_kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula, Line

KITCHEN = load_kitchen()

LAMB = {"water": 0.7342, "protein": 0.2029, "fat": 0.0525, "ash": 0.0106}


def test_lamb_of_the_ashrae_worked_example():
    # ASHRAE Refrigeration handbook, thermal properties of foods: 150 kg of lamb cooled from 10 to 0 °C. The inputs
    # are published, the answers 3.59 kJ/(kg K) and 5,386 kJ are quoted from memory.
    at_5 = specific_heat(LAMB, 5.0)
    assert at_5 == pytest.approx(3.59, abs=0.01)
    assert 150.0 * 10.0 * at_5 == pytest.approx(5386.0, abs=15.0)


def test_water_at_20_degrees():
    # CRC Handbook of Chemistry and Physics: 4.184 kJ/(kg K) at 20 °C (from memory); Choi & Okos lie 0.2 % lower.
    assert specific_heat({"water": 1.0}, 20.0) == pytest.approx(4.184, rel=0.003)


def test_white_bread_of_geankoplis():
    # Geankoplis, Transport Processes and Separation Process Principles, table A.4-1: white bread with 44–45 % water
    # 2.72–2.85 kJ/(kg K), mean of 0–100 °C. The split of its dry matter is ours: it hardly matters.
    bread = {"water": 0.445, "protein": 0.08, "fat": 0.015, "carbohydrate": 0.42, "fibre": 0.025, "ash": 0.015}
    assert 2.72 <= specific_heat(bread, 50.0) <= 2.85


def test_whole_milk_of_geankoplis():
    # The same table: whole milk, 87.5 % water, 3.85 kJ/(kg K).
    milk = {"water": 0.875, "protein": 0.034, "fat": 0.036, "carbohydrate": 0.048, "ash": 0.007}
    assert specific_heat(milk, 50.0) == pytest.approx(3.85, rel=0.02)


def test_flour_from_the_bag_of_geankoplis():
    # The same table: flour with 12–13.5 % water 1.80–1.88; the sum of components is above that range.
    assert 1.80 <= DRY_FLOUR <= 1.88
    flour = {"water": 0.13, "protein": 0.11, "fat": 0.01, "carbohydrate": 0.715, "fibre": 0.03, "ash": 0.005}
    assert specific_heat(flour, 20.0) > 1.88


def cengel_boles(flour_c=15.0):
    return [
        HeatLine("flour", 2000.0, 1.76, flour_c, is_liquid=False, is_flour=True),
        HeatLine("water", 1000.0, 4.18, 0.0, is_liquid=True),
    ]


def test_kneading_problem_of_cengel_and_boles():
    # Çengel & Boles, Thermodynamics, problem 5-157: 2 kg flour (1.76) and 1 kg water (4.18), heat of hydration
    # 15 kJ per kg of dough, all to end at 15 °C: the water has to come in at about 4.2 °C.
    plan = liquid_temperature(cengel_boles(), 15.0, 2000.0, mixing_kj=0.0, wetting_kj_per_kg=22.5)
    assert plan.liquid_temperature_c == pytest.approx(15.0 - 3 * 15.0 / 4.18, abs=1e-9)
    assert plan.liquid_temperature_c == pytest.approx(4.2, abs=0.05)
    assert plan.reachable
    assert plan.ice_g == 0.0


def test_balance_equals_the_rule_where_all_count_the_same():
    # Analytic: with three equal heat capacities and a heat that warms one of them by F, the balance is the rule.
    lines = [
        HeatLine("flour", 1000.0, 2.0, 19.0, False, True),
        HeatLine("room", 500.0, 4.0, 23.0, False),
        HeatLine("water", 500.0, 4.0, 0.0, True),
    ]
    plan = liquid_temperature(lines, 26.0, 1000.0, mixing_kj=0.0, wetting_kj_per_kg=7.0 * 2.0)
    assert plan.balance_c == pytest.approx(rule_of_factors(26.0, [19.0, 23.0], 7.0), abs=1e-9)
    assert "agree" in why_they_differ(lines, 26.0, plan.balance_c, 29.0, 2)


def test_rule_of_factors_in_fahrenheit_and_celsius():
    # Common practice, no source: 3 x 76 − 70 − 72 − 24 = 62 °F; the rule is the same in °C, friction being a
    # difference.
    fahrenheit = rule_of_factors(76.0, [70.0, 72.0], 24.0)
    assert fahrenheit == 62.0
    celsius = rule_of_factors((76 - 32) / 1.8, [(70 - 32) / 1.8, (72 - 32) / 1.8], 24 / 1.8)
    assert celsius == pytest.approx((fahrenheit - 32) / 1.8)
    assert rule_of_factors(25.0, [20.0, 22.0, 24.0], 5.0) == 4 * 25 - 20 - 22 - 24 - 5


def dark_dough(kefir_c=20.0, water_g=150.0, flour_c=18.0):
    return [
        HeatLine("wholemeal rye flour", 400.0, DRY_FLOUR, flour_c, False, True),
        HeatLine("white wheat flour", 200.0, DRY_FLOUR, flour_c, False, True),
        HeatLine("kefir", 310.0, 3.85, kefir_c, False),
        HeatLine("honey", 60.0, 2.4, 18.0, False),
        HeatLine("water", water_g, 4.18, 12.0, True),
    ]


def test_cold_kefir_asks_for_warmer_water():
    warm = liquid_temperature(dark_dough(20.0), 25.0, 600.0, mixing_heat_kj(1120.0, False))
    cold = liquid_temperature(dark_dough(6.0), 25.0, 600.0, mixing_heat_kj(1120.0, False))
    assert warm.reachable
    assert warm.balance_c is not None and cold.balance_c is not None
    # 310 g x 3.85 x 14 K over 150 g x 4.18.
    assert cold.balance_c - warm.balance_c == pytest.approx(310 * 3.85 * 14 / (150 * 4.18))


def test_a_dough_of_a_few_grams_is_as_warm_as_one_of_kilograms():
    """Σ m·c·T over Σ m·c knows no size of batch (conservation of energy): all masses and heats times the same."""
    whole = dough_temperature(dark_dough(12.0), 600.0, 3.0)
    for times in (1e-3, 0.02, 0.1, 7.0):
        part = [
            HeatLine(line.name, line.grams * times, line.specific_heat, line.temperature_c, line.is_liquid)
            for line in dark_dough(12.0)
        ]
        assert dough_temperature(part, 600.0 * times, 3.0 * times) == pytest.approx(whole, abs=1e-9)


def test_cold_kefir_without_water_cools_the_dough_and_says_so():
    plans = {c: liquid_temperature(dark_dough(c, water_g=0.0), 25.0, 600.0, 3.0) for c in (6.0, 20.0)}
    assert dough_temperature(dark_dough(6.0, 0.0), 600.0, 3.0) < dough_temperature(dark_dough(20.0, 0.0), 600.0, 3.0)
    assert plans[6.0].liquid_temperature_c is None
    assert not plans[6.0].reachable
    assert "no liquid" in plans[6.0].note


@given(
    st.floats(2.0, 40.0),
    st.floats(1.0, 35.0),
    st.floats(1.0, 35.0),
    st.floats(50.0, 800.0),
    st.floats(0.0, 20.0),
    st.floats(0.0, 15.0),
)
def test_the_liquid_so_taken_gives_the_wanted_dough(wanted, flour_c, kefir_c, water_g, mixing, wetting):
    lines = dark_dough(kefir_c, water_g, flour_c)
    plan = liquid_temperature(lines, wanted, 600.0, mixing, wetting)
    assert plan.balance_c is not None and plan.liquid_temperature_c is not None
    assert 0.0 <= plan.liquid_temperature_c <= 45.0
    if 0.0 <= plan.balance_c <= 45.0:
        poured = [*lines[:-1], replace(lines[-1], temperature_c=plan.liquid_temperature_c)]
        assert dough_temperature(poured, 600.0, mixing, wetting) == pytest.approx(wanted, abs=1e-6)
        assert plan.reachable


def enthalpy_with_ice_kj(lines, plan, wanted, heat_kj):
    """Heat balance written out anew: ice melts, its water warms from 0 °C. Zero when the dough is at `wanted`."""
    water = lines[-1]
    ice_kg = plan.ice_g / 1000.0
    rest_kg = water.grams / 1000.0 - ice_kg
    taken = ice_kg * (333.6 + water.specific_heat * wanted)
    taken += rest_kg * water.specific_heat * (wanted - plan.liquid_temperature_c)
    taken += sum(x.grams / 1000.0 * x.specific_heat * (wanted - x.temperature_c) for x in lines[:-1])
    return taken - heat_kj


def test_ice_takes_up_what_is_too_much():
    # Heat of fusion of ice 333.6 kJ/kg (any steam table).
    lines = dark_dough(kefir_c=20.0, water_g=250.0, flour_c=26.0)
    plan = liquid_temperature(lines, 20.0, 600.0, mixing_kj=14.0)
    assert plan.balance_c is not None and plan.balance_c < 0.0
    assert plan.reachable
    assert 0.0 < plan.ice_g < 125.0
    assert plan.liquid_temperature_c == 12.0
    assert enthalpy_with_ice_kj(lines, plan, 20.0, 14.0 + 6.0) == pytest.approx(0.0, abs=1e-9)
    assert f"{plan.ice_g:.0f} g" in plan.note
    # science.md's formula, m = W·c·(Ttap − Treq)/(333.6 + c·Ttap)
    assert plan.ice_g == pytest.approx(250 * 4.18 * (12 - plan.balance_c) / (333.6 + 4.18 * 12))


def test_half_the_liquid_is_the_most_ice():
    lines = dark_dough(kefir_c=30.0, water_g=150.0, flour_c=35.0)
    plan = liquid_temperature(lines, 18.0, 600.0, mixing_kj=14.0)
    assert not plan.reachable
    assert plan.ice_g == pytest.approx(75.0)
    assert plan.flour_temperature_c is not None and plan.flour_temperature_c < 35.0
    cooler = dark_dough(kefir_c=30.0, water_g=150.0, flour_c=plan.flour_temperature_c)
    assert enthalpy_with_ice_kj(cooler, plan, 18.0, 14.0 + 6.0) == pytest.approx(0.0, abs=1e-9)
    assert "cool the flour" in plan.note


def test_out_of_reach_says_how_warm_the_flour_would_have_to_be():
    lines = dark_dough(kefir_c=6.0, water_g=150.0, flour_c=15.0)
    plan = liquid_temperature(lines, 27.0, 600.0, mixing_kj=3.4)
    assert not plan.reachable
    assert plan.liquid_temperature_c == 45.0
    assert plan.flour_temperature_c is not None
    warmer = dark_dough(6.0, 150.0, plan.flour_temperature_c)
    poured = [*warmer[:-1], replace(warmer[-1], temperature_c=45.0)]
    assert dough_temperature(poured, 600.0, 3.4) == pytest.approx(27.0, abs=1e-9)
    assert f"{plan.flour_temperature_c:.0f} °C" in plan.note


def test_a_chilled_liquid_says_how_much_ice_does_the_same():
    plan = liquid_temperature(cengel_boles(), 15.0, 2000.0, 0.0, wetting_kj_per_kg=22.5)
    assert plan.note == "Chill the liquid to 4 °C, or swap 85 g of it for ice."


def test_the_sentence_on_the_rule_has_the_numbers():
    lines = dark_dough(6.0)
    plan = liquid_temperature(lines, 22.0, 600.0, 3.4)
    assert plan.balance_c is not None
    rule = rule_of_factors(22.0, [18.0, 20.0], 3.0)
    said = why_they_differ(lines, 22.0, plan.balance_c, rule, 2)
    capacity = sum(line.grams * line.specific_heat for line in lines)
    share = 100 * 150 * 4.18 / capacity
    assert f"{plan.balance_c:.0f} °C" in said
    assert f"{rule:.0f} °C" in said
    assert f"{share:.0f} %" in said
    assert f"by {310 * 3.85 * (6 - 22) / capacity:+.0f} °C".replace("-", "−") in said


def test_machine_mixing_warms_more_than_hands():
    assert 0.0 < mixing_heat_kj(1000.0, False) < mixing_heat_kj(1000.0, True) < 40.0


@pytest.mark.parametrize(
    "composition",
    [{"water": 0.5}, {"water": 0.5, "starch": 0.5}, {"water": -0.1, "fat": 1.1}, {"water": math.nan}],
)
def test_composition_that_cannot_be(composition):
    with pytest.raises(ValueError, match=r"fraction|not one of"):
        specific_heat(composition, 20.0)


@pytest.mark.parametrize(
    "change",
    [
        {"wanted_c": 80.0},
        {"wanted_c": math.nan},
        {"tap_c": 60.0},
        {"mixing_kj": -1.0},
        {"wetting_kj_per_kg": -1.0},
        {"flour_g": math.inf},
        {"lines": [HeatLine("flour", 500.0, 1.85, 200.0, False)]},
        {"lines": [HeatLine("flour", -5.0, 1.85, 20.0, False)]},
        {"lines": [HeatLine("flour", 500.0, 0.0, 20.0, False)]},
        {"lines": []},
    ],
)
def test_impossible_input_is_one_sentence(change):
    given_ = {"lines": dark_dough(), "wanted_c": 25.0, "flour_g": 600.0, "mixing_kj": 3.0} | change
    with pytest.raises(ValueError) as caught:
        liquid_temperature(**given_)
    assert "\n" not in str(caught.value) and len(str(caught.value)) > 20


def bowl(line_c=20.0, flour_c=20.0):
    return [
        HeatLine("flour", 1000.0, 1.85, flour_c, is_liquid=False, is_flour=True),
        HeatLine("milk", 300.0, 3.9, line_c, is_liquid=False),
        HeatLine("water", 300.0, 4.18, 12.0, is_liquid=True),
    ]


@pytest.mark.parametrize(("line_c", "possible"), [(-30.0, True), (-30.1, False), (100.0, True), (100.1, False)])
def test_how_cold_and_how_hot_what_goes_in_can_be(line_c, possible):
    """From a freezer to boiling: nothing else is put into a bowl, and no specific heat here holds beyond."""
    if possible:
        assert math.isfinite(dough_temperature(bowl(line_c), 1000.0, 0.0))
    else:
        with pytest.raises(ValueError, match="milk at"):
            dough_temperature(bowl(line_c), 1000.0, 0.0)


@pytest.mark.parametrize(("wanted_c", "possible"), [(1.0, True), (0.9, False), (45.0, True), (45.1, False)])
def test_between_frozen_and_dead_a_dough_is_wanted(wanted_c, possible):
    """Water freezes below 0 °C; yeast dies beyond 45 (the textbooks' 55 is for minutes)."""
    if possible:
        assert liquid_temperature(bowl(), wanted_c, 1000.0, 0.0).dough_c is not None
    else:
        with pytest.raises(ValueError, match="the wanted dough temperature"):
            liquid_temperature(bowl(), wanted_c, 1000.0, 0.0)


def test_flour_is_warmed_to_forty_degrees_and_no_further():
    """Warmer its gluten suffers: common practice. Told is how warm the flour would have to be."""
    told = [liquid_temperature(bowl(-20.0, flour_c), 38.0, 1000.0, 0.0) for flour_c in (5.0, 15.0, 25.0)]
    colder = [liquid_temperature(bowl(-4.0 * step, 20.0), 28.0, 1000.0, 0.0) for step in range(8)]
    for plan in (*told, *colder):
        if plan.reachable:
            continue
        assert plan.flour_temperature_c is not None
        assert ("too hot for it" in plan.note) is (plan.flour_temperature_c > 40.0)
    needed = sorted(plan.flour_temperature_c for plan in (*told, *colder) if not plan.reachable)
    assert any(35.0 < each <= 40.0 for each in needed) and any(40.0 < each < 46.0 for each in needed), needed


@pytest.mark.parametrize(
    ("component", "at_0", "at_50", "at_100"),
    [
        ("water", 4176.20, 4185.34, 4221.84),
        ("protein", 2008.20, 2065.36, 2115.96),
        ("fat", 1984.20, 2045.86, 2083.52),
        ("carbohydrate", 1548.80, 1632.08, 1685.65),
        ("fibre", 1845.90, 1925.80, 1982.45),
        ("ash", 1092.60, 1177.88, 1244.74),
    ],
)
def test_components_of_food(component, at_0, at_50, at_100):
    # J/(kg K) by the equations of Choi & Okos 1986 as the ASHRAE handbook prints them (Refrigeration, "Thermal
    # properties of foods", table 1), worked out by hand at three temperatures.
    for t_c, joule in ((0.0, at_0), (50.0, at_50), (100.0, at_100)):
        assert 1000.0 * specific_heat({component: 1.0}, t_c) == pytest.approx(joule, abs=0.01)


def test_dough_as_it_bakes_is_the_sum_of_its_parts():
    """Wheat dough of 60 % water and rye dough of 75 %, at 60 °C by the components: within a tenth of what ovens use."""
    for rye_share, water in ((0.0, 0.60), (1.0, 0.75)):
        flour = {"protein": 0.11, "carbohydrate": 0.72, "fat": 0.015, "ash": 0.01, "water": 0.145 + water}
        parts = {name: share / (1.0 + water) for name, share in flour.items()}
        name = "wholemeal rye flour" if rye_share else "white wheat flour"
        loaf = measure(KITCHEN, Formula("loaf", (Line(name, 600.0), Line("water", 600.0 * water)))).loaf
        assert loaf.specific_heat_kj == pytest.approx(specific_heat(parts, 60.0), rel=0.1)


def test_nothing_has_no_temperature():
    nothing = [replace(line, grams=0.0) for line in bowl()]
    for plan in (dough_temperature, lambda lines, *heat: liquid_temperature(lines, 24.0, *heat)):
        with pytest.raises(ValueError, match="a dough without weight has no temperature"):
            plan(nothing, 0.0, 0.0)


@pytest.mark.parametrize(("whole", "counts"), [(0.89, False), (0.91, True), (1.09, True), (1.11, False)])
def test_shares_of_a_food_make_a_whole(whole, counts):
    """To a tenth, since food tables round and leave out: 0.89 or 1.11 of it is no food. Heat is that of the whole."""
    parts = {"water": 0.6 * whole, "carbohydrate": 0.4 * whole}
    if counts:
        assert specific_heat(parts, 20.0) == pytest.approx(specific_heat({"water": 0.6, "carbohydrate": 0.4}, 20.0))
    else:
        with pytest.raises(ValueError, match="which is not about 1"):
            specific_heat(parts, 20.0)


def test_balance_and_rule_agree_within_a_degree():
    """Water is poured to the degree: what differs by less is the same."""
    for off, agree in ((-1.01, False), (-0.99, True), (0.99, True), (1.01, False)):
        assert ("they agree here" in why_they_differ(bowl(), 24.0, 20.0, 20.0 + off, 2)) is agree


def test_what_each_temperature_counts_in_the_rule_and_in_the_bowl():
    """Three temperatures a third each, four a quarter; the liquid by its share of what holds heat, by hand."""
    liquid = 100.0 * 300.0 * 4.18 / (1000.0 * 1.85 + 300.0 * 3.9 + 300.0 * 4.18)
    for factors, number, share in ((2, "three", 33), (3, "four", 25)):
        said = why_they_differ(bowl(), 24.0, 20.0, 30.0, factors)
        assert f"each of its {number} temperatures count the same ({share} %)" in said
        assert f"the liquid carries {liquid:.0f} % of what warms this dough" in said


def test_a_thimble_of_dough_that_lacks_some_joules_is_warmed():
    """1 g of flour of 1.85 kJ/(kg K): 0.0185 kJ are 10 °C, by hand; warmer where it is missing, cooler where over."""
    flour = [HeatLine("flour", 1.0, 1.85, 20.0, is_liquid=False, is_flour=True)]
    for missing_kj, verb, needed_c in ((0.0185, "warm", 30), (-0.0185, "cool", 10)):
        needed, said = _flour_instead(flour, missing_kj)
        assert needed == pytest.approx(needed_c) and said == f"{verb} the flour to about {needed_c} °C"


def test_half_a_degree_below_the_tap_is_no_chilling():
    """The balance does not ask how warm the tap is; who pours half a degree warmer need not cool it."""
    lines = [given_line("flour", 500.0, 20.0), given_line("water", 300.0, 20.0)]
    balance_c = liquid_temperature(lines, 20.0, 500.0, 1.5).balance_c
    for above, said in ((0.45, "Take the liquid at"), (0.55, "Chill the liquid to")):
        plan = liquid_temperature(lines, 20.0, 500.0, 1.5, tap_c=balance_c + above)
        assert plan.balance_c == balance_c and plan.note.startswith(said) and plan.ice_g == 0.0


def given_line(name, grams, t_c):
    return HeatLine(name, grams, 4.18 if name == "water" else 1.85, t_c, name == "water", name == "flour")


def test_the_line_that_pulls_most_is_named_and_none_that_pulls_less_than_half_a_degree():
    """Much sourdough at nearly the warmth that is wanted moves a dough less than a little cold kefir: by hand
    0.1 x 3.9 x (6 - 24) over 500 x 1.85 + 300 x 4.18 + 300 x 3 + 100 x 3.9 in J/K are 2 degrees.
    """
    others = [HeatLine("sourdough", 300.0, 3.0, 22.5, False), HeatLine("kefir", 100.0, 3.9, 6.0, False)]
    lines = [given_line("flour", 500.0, 20.0), given_line("water", 300.0, 20.0), *others]
    said = why_they_differ(lines, 24.0, 30.0, 40.0, 3)
    assert "; kefir (100 g at 6 °C) alone moves it by −2 °C." in said
    mild = [*lines[:3], HeatLine("kefir", 100.0, 3.9, 20.0, False)]
    assert "alone moves it" in why_they_differ(mild, 26.0, 30.0, 40.0, 3), "0.9 kJ/K of 3.5, 3.5 °C too cold"
    assert "alone moves it" not in why_they_differ(mild, 23.5, 30.0, 40.0, 3)
