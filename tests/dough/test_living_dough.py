"""A dough as what lives in it finds it: worked out by hand from the ingredient tables, constants written out."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.models.course import Living, Moment
from adapter.dough.models.warmth import Place
from adapter.dough.models.yeast import osmotic_water_activity
from adapter.dough.readings.living import (
    Follower,
    LivingStage,
    Pace,
    bubbles_of,
    dough_plan,
    living_of,
    made_of,
    medium_of,
    mixed_c,
    spells_of,
)
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Line, Spell, StagePlan

Read = Callable[..., Measured]

LINES = {
    "wholemeal rye flour": 300.0, "white wheat flour": 300.0, "water": 380.0, "honey": 50.0, "raisins": 60.0,
    "salt": 12.0, "fresh yeast": 6.0, "rye sourdough": 120.0, "kefir": 80.0,
}  # fmt: skip
SUGARS = {"glucose": 1.0, "fructose": 1.0, "sucrose": 1.053, "maltose": 1.053, "lactose": 0.0, "galactose": 0.0}
"""Grams of hexose that bakers' yeast gets from each."""


@pytest.fixture(scope="module")
def dough(read: Read) -> Measured:
    return read(dict(LINES))


def by_hand(dough: Measured) -> dict[str, float]:
    """Grams of flour, water …, the sourdough taken as flour and water; sugar of fruit only as far as it reaches it."""
    catalogue, found = dough.catalogue, dict.fromkeys(("flour", "rye", "water", "moisture", "salt", "ash", "free"), 0.0)
    found |= dict.fromkeys(SUGARS, 0.0)
    found["gluten"] = found["all sugar"] = found["fed"] = 0.0
    parts = {**LINES, "wholemeal rye flour": 360.0}
    del parts["rye sourdough"]
    for name, grams in parts.items():
        item = catalogue.get(name)
        figure = {key: grams * item.figure(key) / 100.0 for key in (*SUGARS, "water", "salt", "ash", "protein")}
        flour = grams * item.property("flour")
        found["flour"] += flour
        found["rye"] += flour * item.property("rye")
        found["moisture"] += figure["water"] * item.property("flour")
        found["ash"] += figure["ash"] * item.property("flour")
        found["gluten"] += figure["protein"] * item.property("gluten")
        kitchen_salt = item.properties.get("kitchen_salt")
        found["salt"] += figure["salt"] * (kitchen_salt.value if kitchen_salt else 1.0)
        reaches = item.properties.get("reaches")
        share = (reaches.value if reaches else 1.0) * (1.0 - item.property("flour"))
        found["water"] += figure["water"]
        for sugar, hexose in SUGARS.items():
            found[sugar] += figure[sugar]
            found["all sugar"] += figure[sugar]
            found["free"] += share * figure[sugar]
            found["fed"] += share * hexose * figure[sugar]
    found["water"] += 60.0
    return found


def test_the_medium_per_kg(dough: Measured) -> None:
    hand, mass = by_hand(dough), sum(LINES.values())
    medium = medium_of(dough.layout, dough.mixed, Pace(90.0, 1.2, 0.8), working=True)
    assert medium.flour_g == pytest.approx(1000.0 * hand["flour"] / mass)
    assert medium.water_g == pytest.approx(1000.0 * hand["water"] / mass)
    assert medium.slurry_litres == pytest.approx(10.0 + hand["water"] / mass, rel=1e-5)
    assert medium.rye_share == pytest.approx(hand["rye"] / hand["flour"])
    assert medium.salt_percent == pytest.approx(100.0 * hand["salt"] / hand["flour"])
    assert medium.ash_percent == pytest.approx(100.0 * hand["ash"] / hand["flour"])
    assert (medium.gas_ml, medium.working, medium.own_bacteria) == (90.0, True, True)
    assert (medium.bacteria_pace, medium.wild_pace) == (1.2, pytest.approx(2.0 * 0.8))
    amounts = dict(zip((kind.name for kind in medium.species), medium.amounts_mmol, strict=True))
    assert amounts["lactic"] == pytest.approx(dough.mixed[dough.layout.index["lactic"]] * 1000.0 / mass)
    assert medium.fixed_charge_mmol == pytest.approx(dough.mixed[dough.layout.index["fixed_charge"]] * 1000.0 / mass)
    assert {"lactic", "acetic", "succinic", "carbonic"} <= set(amounts)
    assert not medium_of(dough.layout, dough.mixed, Pace(86.0)).working


def test_the_pace_that_salt_and_sugar_leave(dough: Measured, read: Read) -> None:
    """Salt (1 − g/100 mL/14)^0.9 and fed sugar F/(F + 0.3), F with the flour's own 1.5 %, against 2 g salt in 60 g of
    water and no sugar; the water activity that sugar leaves, from 0.88 (0.83) to 1, to the power of 1.8.
    """
    hand = by_hand(dough)
    poured = hand["water"] - hand["moisture"]
    salt = (1.0 - 100.0 * hand["salt"] / poured / 14.0) ** 0.9 / (1.0 - 2.0 / 0.6 / 14.0) ** 0.9
    fed = 1.5 + 100.0 * hand["fed"] / hand["flour"]
    free = hand["free"] / hand["all sugar"]
    dry, alcohol = hand["flour"] - hand["moisture"], dough.amount("alcohol")
    aw = osmotic_water_activity(
        {sugar: free * hand[sugar] for sugar in SUGARS}, 0.0, alcohol, dough.amount("water"), dry
    )
    found = {}
    for least, name in ((0.88, "fresh yeast"), (0.83, "osmotolerant instant yeast")):
        lines = {**LINES, "fresh yeast": 0.0, name: 6.0}
        changed = read(lines)
        found[name] = medium_of(changed.layout, changed.mixed, Pace(86.0)).pace
        hindered = ((aw - least) / (1.0 - least)) ** 1.8
        wanted = salt * fed / (fed + 0.3) * 1.8 / 1.5 * hindered
        assert found[name] == pytest.approx(wanted, rel=3e-3), name
    mixed = {**LINES, "fresh yeast": 6.0, "osmotolerant instant yeast": 1.0}
    little = read(mixed)
    assert medium_of(little.layout, little.mixed, Pace(86.0)).pace == pytest.approx(found["fresh yeast"], rel=0.01)


def test_what_lives_in_it(dough: Measured) -> None:
    hand, mass = by_hand(dough), sum(LINES.values())
    culture = dough.catalogue.get("rye sourdough").preferment
    assert culture is not None
    living = living_of(dough.layout, dough.mixed)
    assert living.bacteria == pytest.approx(120.0 * culture.bacteria_per_g / mass / 1e9)
    assert living.sourdough_yeast == pytest.approx(120.0 * culture.cells_per_g / mass / 1e7)
    assert living.bakers_yeast == pytest.approx(100.0 * 6.0 / hand["flour"])
    grown = list(dough.mixed)
    grown[dough.layout.index["grown_yeast"]] += 2.0
    assert living_of(dough.layout, grown).bakers_yeast == pytest.approx(100.0 * 8.0 / hand["flour"])
    less = [-1.0 if key in ("bacteria", "cells", "yeast") else total
            for key, total in zip(dough.layout.keys, dough.mixed, strict=True)]  # fmt: skip
    assert living_of(dough.layout, less) == Living(0.0, 0.0, 0.0)


def test_how_it_rises(dough: Measured) -> None:
    hand, mass = by_hand(dough), sum(LINES.values())
    rye = hand["rye"] / hand["flour"]
    bubbles = bubbles_of(dough.layout, dough.mixed)
    assert bubbles.dough_ml == pytest.approx(100.0 * mass / hand["flour"] / (1.12 + 0.05 * rye))
    assert bubbles.water_ml == pytest.approx(100.0 * hand["water"] / hand["flour"], rel=1e-4)
    assert bubbles.air == pytest.approx(0.06 - 0.03 * rye)
    assert bubbles_of(dough.layout, dough.mixed, 0.02).air == 0.02
    assert hand["gluten"] == pytest.approx(dough.amount("gluten"))


def test_what_was_made_is_added_and_nothing_is_lost(dough: Measured) -> None:
    """Acids per kg of dough, cells per g of it, yeast in % of the flour: more than there was."""
    mass, layout = sum(LINES.values()), dough.layout
    moment = Moment(3.0, 26.0, 4.5, Living(2.0, 3.0, 1.5), 10.0, 4.0, 1.0, 50.0, 20.0, 5.0)
    made = {layout.keys[place]: amount for place, amount in made_of(layout, dough.mixed, moment)}
    lactic, acetic, succinic, charge = moment.made()
    for key, per_kg in (("lactic", lactic), ("acetic", acetic), ("succinic", succinic), ("fixed_charge", charge)):
        assert made[key] == pytest.approx(per_kg * mass / 1000.0), key
    after = list(dough.mixed)
    for key, amount in made.items():
        after[layout.index[key]] += amount
    living = living_of(layout, after)
    assert (living.bacteria, living.sourdough_yeast, living.bakers_yeast) == pytest.approx((2.0, 3.0, 1.5))


def test_small_pieces_cool_sooner(read: Read) -> None:
    """A kilo takes two hours to go over to the warmth around it, half of that one, a quarter a quarter at least [A]."""
    for pieces, tau_h in ((1, 2.0), (2, 1.0), (4, 0.25)):
        lines = (Line("white wheat flour", 600.0), Line("water", 394.0), Line("fresh yeast", 6.0))
        assert read(Formula("rolls", lines, pieces=pieces)).rise.tau_h == pytest.approx(tau_h)


def test_where_it_stands(read: Read) -> None:
    assert [mixed_c((Place(3.0, c),), 24.0) for c in (14.9, 15.0, 40.0, 40.1)] == [24.0, 15.0, 40.0, 24.0]
    assert mixed_c((), 23.0) == 23.0
    assert spells_of(StagePlan("dough", None, 2.0), 26.0) == (Place(2.0, 26.0),)
    assert spells_of(StagePlan("dough", None, 2.0, 20.0), 26.0) == (Place(2.0, 20.0),)
    assert spells_of(StagePlan("dough"), 26.0) == ()
    assert spells_of(StagePlan("dough", None, 9.0, 9.0, (Spell(1.0, 5.0),)), 26.0) == (Place(1.0, 5.0),)
    lines = tuple(Line("white wheat flour", 100.0, stage) for stage in ("first", "soaker", "dough", "poolish"))
    plans = tuple(StagePlan(stage, None, 3.0, 20.0) for stage in ("first", "soaker", "dough", "poolish"))
    plan = dough_plan(Formula("x", lines, plans=plans))
    assert plan is not None and plan.name == "dough", "the last of that kind"
    assert dough_plan(Formula("x", lines, plans=(replace(plans[2], hours=None),))) is None
    assert math.isclose(read(Formula("x", (*lines, Line("water", 200.0)), plans=plans)).stages[0].hours, 3.0)


@pytest.mark.parametrize(
    ("first_c", "mixed_at"), [(14.9, 25.0), (15.0, 15.0), (20.0, 20.0), (40.0, 40.0), (40.1, 25.0)]
)
def test_a_dough_is_mixed_as_warm_as_the_place_where_it_stands_first(first_c: float, mixed_at: float) -> None:
    """Unless that is a cold cellar, a fridge or an oven: nobody mixes a dough below 15 or above 40 °C [A]."""
    assert mixed_c((Place(3.0, first_c), Place(2.0, 28.0)), 25.0) == mixed_at
    assert mixed_c((), 25.0) == 25.0


def test_a_stage_of_which_only_the_hours_are_told(read: Read) -> None:
    """It stands at 26 °C, as a first sour does [CP]; one that goes straight into the fridge was mixed at 20 [A]."""

    def followed(temperature_c: float | None) -> tuple[float, float]:
        lines = (Line("rye sourdough", 60.0, "sour"), Line("wholemeal rye flour", 240.0, "sour"))
        lines += (Line("water", 240.0, "sour"), Line("white wheat flour", 300.0), Line("water", 150.0))
        plan = StagePlan("sour", "sourdough", 8.0, temperature_c)
        (stage,) = read(Formula("x", lines, plans=(plan,))).stages
        return stage.end.ph, stage.warmth(0.0)

    assert followed(None) == followed(26.0) == (pytest.approx(followed(26.0)[0]), 26.0)
    assert followed(5.0)[1] == 20.0 and followed(17.0)[1] == 17.0


def test_a_loaf_without_a_tin_is_a_brick_and_a_roll_a_lower_one(read: Read) -> None:
    """2.4 : 1.6 : 1, up to 150 g 1.5 : 1.5 : 1 [A], of the volume of the risen dough."""
    for grams, shape in ((150.0, (1.5, 1.5)), (151.0, (2.4, 1.6)), (900.0, (2.4, 1.6))):
        loaf = read({"white wheat flour": grams / 1.65, "water": 0.65 * grams / 1.65}).loaf
        assert (loaf.length_m / loaf.height_m, loaf.width_m / loaf.height_m) == pytest.approx(shape)
        measured = read({"white wheat flour": grams / 1.65, "water": 0.65 * grams / 1.65})
        litres = grams / 1.12 * (1.0 + measured.rise.rise_fraction) * measured.loaf_class.spring.middle / 1000.0
        assert 1000.0 * loaf.length_m * loaf.width_m * loaf.height_m == pytest.approx(litres)


def test_stages_are_kept_but_not_without_end(read: Read, monkeypatch: pytest.MonkeyPatch) -> None:
    """A preferment stays the same while the dough is changed: it is followed once, and forgotten after many others."""
    monkeypatch.setattr("adapter.dough.readings.living.MOST_KEPT", 2)
    kitchen = read(LINES).kitchen
    follower = Follower(kitchen.composer, Pace(86.0), kitchen.stage_kinds)

    def stage(hours: float, salt_g: float = 10.0) -> LivingStage:
        names = ("white wheat flour", "water", "fresh yeast")
        poolish = [Line(name, grams, "poolish") for name, grams in zip(names, (100.0, 100.0, 0.3), strict=True)]
        lines = (*poolish, Line("white wheat flour", 400.0), Line("salt", salt_g))
        plans = (StagePlan("poolish", "poolish", hours, 20.0),)
        (found,) = follower.stages(Formula("loaf", lines, plans=plans))
        assert 0 < len(follower._kept) <= 2
        return found

    first = stage(8.0)
    assert stage(8.0, 12.0) is first and stage(9.0).hours == 9.0 and stage(8.0) is first
    assert stage(10.0).hours == 10.0
    again = stage(8.0)
    assert again is not first and again.end == first.end
