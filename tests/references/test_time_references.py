"""Doughs in time, leavening and ovens as textbooks and tables have them, against what the whole program says.

A published range and the stated 95 % interval of the reading have to overlap; where a figure is given as such, it lies
in its own range. Sources are named beside the figures; M from memory, P seen in public text, CP common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from adapter.dough.bake.stages import ripe_of, stage_rows
from adapter.dough.models.oven import bake_minutes
from adapter.dough.models.starch_attack import falling_number_of
from adapter.dough.readings.loaf import loaf_of
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line, Proof, Spell, StagePlan, Tin

Read = Callable[..., Measured]

LEAN = {"white wheat flour": 1000, "water": 600, "salt": 20}
RYE = {"rye sourdough": 900, "wholemeal rye flour": 550, "water": 300, "salt": 18}
WHEAT_SOUR = {"wheat sourdough": 300, "white wheat flour": 850, "water": 550, "salt": 20}


def overlaps(dough: Measured, key: str, low: float, high: float) -> bool:
    value, spread = dough.value(key), dough.spread(key)
    return value - spread <= high and value + spread >= low


# --- hours ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amounts", "temperature_c", "rise", "low", "high"),
    [
        pytest.param(WHEAT_SOUR, 24, 100, 4.0, 6.5, id="wheat sourdough bread, 15 % prefermented: textbooks [M]"),
        pytest.param(RYE, 28, 35, 0.75, 1.5, id="three-stage rye, 45 % soured: proof about 1 h at 28 °C [P]"),
        pytest.param({**LEAN, "fresh yeast": 20}, 27, 100, 1.0, 1.5, id="white dough, 2 % fresh yeast, doubled [CP]"),
    ],
)
def test_hours_of_a_rise(
    amounts: Mapping[str, float], temperature_c: float, rise: float, low: float, high: float, read: Read
) -> None:
    assert overlaps(read(amounts, proof=Proof(temperature_c, rise)), "rise_time", low, high)


def test_a_night_in_the_fridge(read: Read) -> None:
    """1 % fresh yeast, overnight in the fridge: up by half, a lean dough at +75 % after 8 to 24 h [CP]."""
    night = StagePlan("dough", None, None, None, (Spell(0.5, 24.0), Spell(12.0, 5.0)))
    dough = read({**LEAN, "fresh yeast": 10}, proof=Proof(24, 75), plans=(night,))
    (row,) = stage_rows(dough)
    assert 35.0 <= row.rise_percent <= 75.0
    long = StagePlan("dough", None, None, None, (Spell(0.5, 24.0), Spell(24.0, 5.0)))
    assert overlaps(read({**LEAN, "fresh yeast": 10}, proof=Proof(24, 75), plans=(long,)), "rise_time", 8.0, 24.0)


def test_a_sourdough_rises_in_the_cold_though_its_yeast_does_not_grow(read: Read) -> None:
    """No sourdough yeast grows below 8 °C (Gänzle 1998 [P]); what there is works on: at 4.5 °C a dough of which 15 % is
    soured has doubled within one to eight days [A], in a warm place it would be said never to rise after two.
    """
    cold = read(WHEAT_SOUR, proof=Proof(4.5, 100))
    assert overlaps(cold, "rise_time", 30.0, 200.0) and cold.rise.yeast_percent == 0.0
    longest = [read(WHEAT_SOUR, proof=Proof(t_c, 100)).rise.longest_h for t_c in (2.0, 7.0, 13.5, 20.0, 30.0)]
    assert longest == pytest.approx([240.0, 192.0, 96.0, 48.0, 48.0], rel=0.01)


@pytest.mark.parametrize("raises", [{"light rye sourdough": 300}, {"wheat sourdough": 40}, {"fresh yeast": 0.5}])
def test_no_dough_rises_sooner_where_it_is_colder(raises: Mapping[str, float], read: Read) -> None:
    dough = {"bread flour": 1000, "water": 600, "salt": 22, "cider vinegar": 60, **raises}
    hours = [read(dough, proof=Proof(t_c, 80)).value("rise_time") for t_c in (4.0, 8.0, 11.9, 12.0, 16.0, 20.0, 26.0)]
    assert hours == sorted(hours, reverse=True) and hours[-1] < 48.0


def test_a_poolish_is_ripe_when_bakers_say(kitchen, read: Read) -> None:
    """0.2 % fresh yeast at 21 °C: ripe at 12 to 16 h (textbooks [M])."""
    lines = [Line("white wheat flour", 300.0, "poolish"), Line("water", 300.0, "poolish")]
    lines += [Line("fresh yeast", 0.6, "poolish"), Line("white wheat flour", 700.0), Line("water", 350.0)]
    dough = read(Formula("poolish", tuple(lines), plans=(StagePlan("poolish", None, 14.0, 21.0),)))
    (row,) = stage_rows(dough)
    assert row.ripe_h is not None
    assert 11.5 <= row.ripe_h.low <= row.ripe_h.value <= row.ripe_h.high <= 16.5
    assert dough.value("prefermented_flour") == pytest.approx(30.0)


def test_sugar_and_salt_slow_yeast(read: Read) -> None:
    """Gas with 4 % sugar 1.0 to 1.25 of none (Marek and Bushuk 1967 [P]), with 20 % about half (0.35 to 0.65, texts
    [M]); with 4 % salt 0.45 to 0.7 of that with 2 % (texts [M], low) within a tenth.
    """

    def gas(**more: float) -> float:
        extra = {name.replace("_", " "): grams for name, grams in more.items()}
        return read({**LEAN, "fresh yeast": 20, **extra}).rise.over(1.0).end.gas_ml

    assert 1.0 <= gas(white_sugar=40) / gas() <= 1.25
    assert 0.35 <= gas(white_sugar=200) / gas() <= 0.65
    assert 0.45 <= gas(salt=40) / gas() <= 0.77


# --- leavening, salt, malt ---------------------------------------------------------------------------------------


def test_soda_bread(read: Read) -> None:
    """pH 6.5 to 8, slightly alkaline at most [M]; 8 g salt on 450 g flour, with the buttermilk's, 1.75 to 1.95 %."""
    bread = read({"white wheat flour": 450, "buttermilk": 400, "baking soda": 5, "salt": 8})
    assert 6.5 <= bread.value("ph") <= 8.0
    assert 1.75 <= bread.value("salt") <= 1.95
    assert bread.value("label_salt") > bread.value("salt") + 0.5
    assert bread.value("leavening_gas") == pytest.approx(24.45 * 32.0 / 4.5, rel=0.05)


def test_baking_powder_biscuit(read: Read) -> None:
    """FDA, approximate pH of foods: 7.1 to 7.3 [M]."""
    biscuit = read({"white wheat flour": 100, "milk": 65, "butter": 25, "baking powder": 5, "salt": 1})
    assert 7.0 <= biscuit.value("ph") <= 7.4


def test_soda_in_flour_and_water(read: Read) -> None:
    """A bicarbonate solution is at pH 8.1 to 8.4; with flour 8 to 9 [P]: the interval reaches it."""
    assert overlaps(read({"white wheat flour": 450, "water": 300, "baking soda": 5}), "ph", 8.0, 9.0)


def test_a_little_malt_flour(read: Read) -> None:
    """0.2 % malt flour takes a flour of 300 s to 200–250 s (millers: 0.1 to 0.3 % take 50 to 150 s off [M])."""
    dough = read({"white wheat flour": 998, "barley malt flour": 2, "water": 600})
    assert 200.0 <= falling_number_of(dough.amount("liquefaction") / dough.amount("flour")) <= 250.0


def test_gluten_free_flour_holds_less_gas_than_wheat(read: Read) -> None:
    wheat = read({"white wheat flour": 500, "water": 350, "fresh yeast": 10})
    rice = read({"rice flour": 500, "water": 350, "fresh yeast": 10})
    assert rice.value("gluten") == 0.0
    assert wheat.value("gluten") > 7.0
    assert rice.rise.bubbles.retention < 0.5 * wheat.rise.bubbles.retention
    assert rice.value("rise_time") > wheat.value("rise_time")


# --- the oven ----------------------------------------------------------------------------------------------------

TIN_900 = Tin(0.23, 0.13, 0.215, 0.12, 0.10)
TIN_450 = Tin(0.17, 0.10, 0.16, 0.093, 0.08)


@pytest.mark.parametrize(
    ("grams", "loaf_class", "rye", "oven_c", "tin", "sugar_fat", "low", "high"),
    [
        (50, "sweet enriched roll", 0.0, 200, None, 15.0, 12, 15),
        (350, "wheat hearth loaf", 0.0, 240, None, 2.0, 20, 25),
        (2000, "wheat hearth loaf", 0.0, 220, None, 2.0, 60, 80),
        (1000, "mixed rye", 0.6, 225, None, 2.0, 50, 60),
        (2000, "open rye", 1.0, 210, None, 2.0, 80, 100),
        (900, "wheat tin", 0.0, 220, TIN_900, 3.0, 35, 40),
        (450, "wheat tin", 0.0, 220, TIN_450, 3.0, 25, 32),
        (1000, "sweet enriched loaf", 0.0, 170, None, 30.0, 48, 58),
    ],
)
def test_minutes_of_baking_textbooks(grams, loaf_class, rye, oven_c, tin, sugar_fat, low, high, kitchen) -> None:
    """Baking textbooks [M], which are what the kinds of bake are fitted to: ±20 % reaches them, the value within 5 %
    of the range. A regression test of the fit; the lidded rye below is not part of it.
    """
    found = next(item for item in kitchen.classes if item.name == loaf_class)
    rise = found.default_rise_percent / 100.0
    loaf = loaf_of(Formula("x", (), tin=tin), grams, rye, found, rise, sugar_fat)
    minutes = bake_minutes(loaf, oven_c, found.core_c, found.default_proof_c)
    assert minutes.low <= high and minutes.high >= low
    assert 0.95 * low <= minutes.value <= 1.05 * high


def test_a_dense_lidded_rye_keeps_its_two_hours(kitchen) -> None:
    """1.8 kg, 22 × 10 × 9.25 cm, 160 °C: about two hours [CP]; no crust is waited for under a lid."""
    found = next(item for item in kitchen.classes if item.name == "dense lidded rye")
    tin = Tin(0.22, 0.10, 0.22, 0.10, 0.0925, True)
    loaf = loaf_of(Formula("x", (), tin=tin), 1800.0, 1.0, found, 0.3, 10.0)
    assert 105.0 <= bake_minutes(loaf, 160.0, 95.0, 27.0).value <= 135.0


# --- the trade's sours and preferments, and its baking times ------------------------------------------------------

SOURS = [
    ("short sour starter", "medium rye flour", 20, 100, 35.0, 3.0, 4.0),
    ("rye sourdough", "wholemeal rye flour", 10, 100, 26.0, 15.0, 16.0),
    ("rye sourdough", "wholemeal rye flour", 10, 100, 20.0, 20.0, 20.0),
    ("light rye sourdough", "medium rye flour", 5, 80, 26.5, 15.0, 24.0),
    ("light rye sourdough", "medium rye flour", 3, 80, 27.5, 15.0, 24.0),
    ("rye sourdough", "medium rye flour", 50, 150, 25.5, 5.0, 8.0),
    ("rye sourdough", "medium rye flour", 75, 100, 29.0, 3.0, 4.0),
    ("wheat sourdough", "white wheat flour", 50, 100, 24.0, 5.0, 7.0),
]
"""Starter in % of the flour, water in % of it, °C, hours: the Berlin short sour, the one-stage sour of Detmold, first
and last of its three stages, as glossaries of the German trade have them (opened) [P]; 1:2:2 of a recipe (opened)."""
PREFERMENTS = [
    ("biga", "bread flour", 1.0, 44, 19.0, 16.0, 16.0),
    ("sponge", "bread flour", 2.5, 60, 25.0, 3.5, 4.5),
    ("poolish", "white wheat flour", 0.2, 100, 21.0, 12.0, 16.0),
    ("biga", "bread flour", 0.19, 68, 21.0, 12.0, 14.0),
]
"""Fresh yeast and water in % of the flour: biga as Italian schools teach it (1 %, 44 %, 18 to 20 °C, 16 h), a sponge of
3.5 to 4.5 h (a bakers' dictionary; dose and °C [M]), a poolish of 12 to 16 h (a school's table of preferments; dose and
°C [M]); all opened; a soft biga, kneaded through, 12 to 14 h [M]."""


def ripe_span(kitchen, kind: str, lines: list[Line], temperature_c: float) -> tuple[float, float]:
    formula = Formula("x", tuple(lines), plans=(StagePlan(kind, kind, 4.0, temperature_c),))
    ripe = ripe_of(kitchen.follower.stages(formula)[0])
    assert ripe is not None
    return ripe.low, ripe.high


@pytest.mark.parametrize(("starter", "flour", "percent", "water", "t_c", "low", "high"), SOURS)
def test_a_sour_is_ripe_when_the_trade_says(starter, flour, percent, water, t_c, low, high, kitchen) -> None:
    lines = [Line(starter, 10.0 * percent, "sourdough"), Line(flour, 1000.0, "sourdough")]
    first, last = ripe_span(kitchen, "sourdough", [*lines, Line("water", 10.0 * water, "sourdough")], t_c)
    assert first <= high and last >= low


def test_a_short_sour_takes_the_starter_that_was_bred_for_it(kitchen) -> None:
    """L. sanfranciscensis is quickest at 32 °C (Gänzle 1998 [P]): at 35 °C a usual starter takes a working day."""
    rest = [Line("medium rye flour", 1000.0, "sourdough"), Line("water", 1000.0, "sourdough")]

    def first(starter: str, t_c: float) -> float:
        return ripe_span(kitchen, "sourdough", [Line(starter, 200.0, "sourdough"), *rest], t_c)[0]

    assert first("short sour starter", 35.0) < 0.5 * first("light rye sourdough", 35.0)
    assert first("light rye sourdough", 30.0) < first("light rye sourdough", 35.0)


def test_bacteria_that_love_warmth_stay_what_they_are_from_build_to_build(kitchen) -> None:
    def lines(second: str) -> tuple[Line, ...]:
        rest = [("medium rye flour", 100.0), ("water", 100.0), ("short sour starter", 50.0), (second, 50.0)]
        return (*(Line(name, grams, "first") for name, grams in rest), Line("medium rye flour", 300.0, "second"))

    plans = (StagePlan("first", "sourdough", 4.0, 35.0), StagePlan("second", "sourdough", 3.0, 35.0))
    for second, share in (("short sour starter", 1.0), ("rye sourdough", 0.5)):
        both = kitchen.follower.stages(Formula("x", (*lines(second), Line("water", 300.0, "second")), plans=plans))
        assert [stage.course.medium.warm_bacteria for stage in both] == pytest.approx([share, share])


@pytest.mark.parametrize(("kind", "flour", "yeast", "water", "t_c", "low", "high"), PREFERMENTS)
def test_a_preferment_is_ripe_when_schools_say(kind, flour, yeast, water, t_c, low, high, kitchen) -> None:
    lines = [Line(flour, 1000.0, kind), Line("water", 10.0 * water, kind), Line("fresh yeast", 10.0 * yeast, kind)]
    first, last = ripe_span(kitchen, kind, lines, t_c)
    assert first <= high and last >= low


@pytest.mark.parametrize(
    ("loaf_class", "rye", "minutes"),
    [
        ("wheat hearth loaf", 0.0, {500: 40, 750: 45, 1000: 50, 1250: 55, 1500: 60}),
        ("open rye", 1.0, {500: 47.5, 750: 57.5, 1000: 67.5, 1250: 77.5, 1500: 87.5}),
    ],
)
def test_minutes_by_weight_as_bakers_reckon(loaf_class, rye, minutes, kitchen) -> None:
    """40 min for 500 g of wheat dough and 5 more for each 250 g; rye 45 to 50 and 10 more (trade glossary, opened [P]).

    They give no heat of the oven: 220 °C is taken, to which it falls. The stated range of ±20 % reaches them.
    """
    found = next(item for item in kitchen.classes if item.name == loaf_class)
    for grams, by_rule in minutes.items():
        loaf = loaf_of(Formula("x", ()), float(grams), rye, found, found.default_rise_percent / 100.0, 2.0)
        told = bake_minutes(loaf, 220.0, found.core_c, found.default_proof_c)
        assert told.low <= by_rule <= 1.05 * told.high, grams
