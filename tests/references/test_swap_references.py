"""Swaps against household substitution tables, trade values and a hand-made trial of the balancing programme.

P published (seen in print), M from memory, CP common practice, A assumed here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from adapter.dough.readings.differences import difference
from adapter.dough.readings.measured import Measured
from adapter.formula.model import Formula, Proof
from adapter.swaps.balance import Balance, Balancer, Incoming, Mover, Swap
from adapter.swaps.offer import Offer
from adapter.swaps.programme import Solver

Loaf = Callable[..., Formula]
Read = Callable[..., Measured]
Swapping = Callable[..., Offer]


def grams(offer: Offer, ingredient: str) -> float:
    """Change of an ingredient from before to after the swap."""
    after = sum(line.grams for line in offer.after.formula.lines if line.ingredient == ingredient)
    return after - sum(line.grams for line in offer.before.formula.lines if line.ingredient == ingredient)


# --- household substitution tables ----------------------------------------------------------------


@pytest.mark.parametrize(
    "rest",
    [
        {"white wheat flour": 500, "water": 100, "salt": 9, "fresh yeast": 10},
        {"wholemeal rye flour": 400, "white wheat flour": 100, "water": 200, "salt": 9, "fresh yeast": 8},
        {"wholemeal wheat flour": 450, "salt": 8},
    ],
)
def test_a_cup_of_buttermilk_is_milk_and_a_tablespoon_of_vinegar(
    rest: Mapping[str, float], loaf: Loaf, swap: Swapping
) -> None:
    """US extension services' tables [M]: 245 g buttermilk, a tablespoon of vinegar of 5 % (15 g) and milk to the cup.

    A tablespoon to one and a half, since the sourness is held and buttermilks differ; all of it a cup.
    """
    offer = swap(loaf({**rest, "buttermilk": 245}), "buttermilk", ["milk", "cider vinegar"])
    assert 15 <= grams(offer, "cider vinegar") <= 23
    assert 215 <= grams(offer, "milk") <= 235


@pytest.mark.parametrize(
    "rest",
    [
        {"white wheat flour": 1000, "water": 600, "salt": 18, "fresh yeast": 40},
        {"white wheat flour": 500, "milk": 100, "water": 200, "butter": 80, "salt": 8, "instant yeast": 9},
    ],
)
def test_a_cup_of_sugar_is_three_quarters_of_honey(rest: Mapping[str, float], loaf: Loaf, swap: Swapping) -> None:
    """The same tables [M]: 200 g sugar, 3/4 cup honey (200 to 265 g) and about 1/4 cup less liquid (25 to 65 g)."""
    offer = swap(loaf({**rest, "white sugar": 200}), "white sugar", "honey")
    assert 200 <= grams(offer, "honey") <= 265
    assert -65 <= grams(offer, "water") <= -25


@pytest.mark.parametrize("times", [1, 5])
def test_white_flour_and_bran_are_wholemeal(times: int, loaf: Loaf, swap: Swapping) -> None:
    """Mass balance of the kernel [P]: 84 white flour and 16 bran, 97 to 103 wholemeal."""
    parts = {"white wheat flour": 84, "wheat bran": 16, "water": 70, "salt": 2, "fresh yeast": 2}
    dough = loaf({name: times * weight for name, weight in parts.items()})
    offer = swap(dough, ["white wheat flour", "wheat bran"], "wholemeal wheat flour")
    assert 97 * times <= grams(offer, "wholemeal wheat flour") <= 103 * times


@pytest.mark.parametrize(("kind", "low", "high"), [("instant yeast", 6.6, 8.0), ("active dry yeast", 8.0, 10.0)])
def test_dry_yeast_for_fresh(kind: str, low: float, high: float, loaf: Loaf, swap: Swapping) -> None:
    """CP: 20 g fresh yeast, 8 to 10 g active dry or 6.6 to 8 g instant."""
    dough = loaf({"white wheat flour": 1000, "water": 620, "salt": 18, "fresh yeast": 20})
    assert low <= grams(swap(dough, "fresh yeast", kind), kind) <= high


# --- what a baker knows of yeast ------------------------------------------------------------------


def test_dense_rye_rises_in_about_two_hours(read: Read) -> None:
    """CP: dense rye, 1 % fresh yeast, 25 °C, by 30 %: 1.7 to 2.6 h (2.5 h with the retention of 0.55 shipped here)."""
    dough = {"wholemeal rye flour": 1000, "water": 800, "salt": 18, "fresh yeast": 10}
    assert 1.7 <= read(dough, proof=Proof(25, 30)).value("rise_time") <= 2.6


@pytest.mark.parametrize("flour", ["white wheat flour", "wholemeal rye flour"])
def test_thirty_degrees_against_twenty(flour: str, read: Read) -> None:
    """CP: gas comes 2.0 to 2.6 times as fast, of the same yeast half an hour after mixing."""
    dough = {flour: 1000, "water": 700, "salt": 18, "fresh yeast": 15}
    warm, cool = (read(dough, proof=Proof(t, 50)).rise.over(0.5).rates[-1] for t in (30, 20))
    assert 2.0 <= warm / cool <= 2.6


def test_unsalted_against_salted(read: Read) -> None:
    """CP: without salt gas comes 1.10 to 1.35 times as fast as with 2 %."""
    dough = {"white wheat flour": 1000, "water": 600, "fresh yeast": 10}
    assert 1.10 <= read(dough).rate / read({**dough, "salt": 20}).rate <= 1.35


# --- the hand-made trial: regression tests, no evidence: it was worked out from the same parameters ----------


@pytest.fixture
def trial(read: Read) -> Measured:
    """The formula of the trial, with the salted buttermilk it had in view.

    Its own figures were rounder than the tables', so amounts are compared within grams.
    """
    return read(
        {
            "wholemeal rye flour": 420,
            "white wheat flour": 180,
            "wheat bran": 60,
            "salted buttermilk": 520,
            "honey": 60,
            "molasses": 60,
            "water": 60,
        }
    )


@pytest.fixture
def only_water_moves(trial: Measured, solver: Solver) -> Callable[..., tuple[Balance, Measured]]:
    """Balance without a rule: out by name, in, and what is kept exactly."""
    lines = [line.ingredient for line in trial.formula.lines]

    def balanced(out: list[str], into: list[str], keep: tuple[str, ...] = ()) -> tuple[Balance, Measured]:
        places = tuple((lines.index(name), trial.formula.lines[lines.index(name)].grams) for name in out)
        incoming = tuple(Incoming(name) for name in into)
        found = Balancer(trial, solver).balance(Swap(places, incoming, (Mover(lines.index("water")),), False, keep))
        return found, Measured(trial.kitchen, found.formula, trial)

    return balanced


Balancing = Callable[..., tuple[Balance, Measured]]


def test_the_trial_starts_alike(trial: Measured) -> None:
    """Trial: pH 5.25 and TTA 6.2 before the proof; here within 0.05 and 0.2."""
    assert trial.value("ph") == pytest.approx(5.25, abs=0.05)
    assert trial.value("tta") == pytest.approx(6.2, abs=0.2)


def test_trial_yoghurt_and_water(only_water_moves: Balancing, trial: Measured) -> None:
    """Trial: 393 yoghurt and 123 water, TTA kept, pH −0.1, salt −0.3; here within 8 g and 0.05."""
    balance, after = only_water_moves(["salted buttermilk"], ["yoghurt"])
    assert balance.into[0] == pytest.approx(393, abs=8)
    assert balance.moved[0][1] == pytest.approx(123, abs=8)
    assert after.value("tta") == pytest.approx(trial.value("tta"), rel=1e-9)
    assert after.value("ph") - trial.value("ph") == pytest.approx(-0.1, abs=0.05)
    assert after.value("salt") - trial.value("salt") == pytest.approx(-0.3, abs=0.05)


@pytest.mark.parametrize(
    ("sharp", "acid_g", "milk_g", "milk_within"), [("cider vinegar", 49, 331, 20), ("lemon juice", 59, 161, 35)]
)
def test_trial_sharpened_milk(
    sharp: str, acid_g: float, milk_g: float, milk_within: float, only_water_moves: Balancing, trial: Measured
) -> None:
    """Trial: milk 331 + vinegar 49 + water 131, or milk 161 + lemon 59 + water 273, pH and TTA both kept.

    Here the acid within 3 g and all the liquid within 15 g; how much of it is milk hangs on milk's weak buffer.
    """
    balance, after = only_water_moves(["salted buttermilk"], ["milk", sharp], ("tta", "ph"))
    assert balance.into[1] == pytest.approx(acid_g, abs=3)
    assert balance.into[0] == pytest.approx(milk_g, abs=milk_within)
    assert sum(balance.into) + balance.moved[0][1] == pytest.approx(
        {"cider vinegar": 331 + 49 + 131, "lemon juice": 161 + 59 + 273}[sharp], abs=15
    )
    for key in ("tta", "ph"):
        assert after.value(key) == pytest.approx(trial.value(key), rel=1e-9)


def test_trial_beer(only_water_moves: Balancing, trial: Measured) -> None:
    """Trial: 575 beer and all the water out, pH +0.6, TTA −2.4; here within 8 g, 0.1 and 0.2."""
    balance, after = only_water_moves(["salted buttermilk"], ["beer"])
    assert balance.into[0] == pytest.approx(575, abs=8)
    assert balance.moved[0][1] == pytest.approx(-60, abs=1e-6)
    assert after.value("ph") - trial.value("ph") == pytest.approx(0.6, abs=0.1)
    assert after.value("tta") - trial.value("tta") == pytest.approx(-2.4, abs=0.2)


def test_trial_wholemeal(only_water_moves: Balancing) -> None:
    """Trial: 240 wholemeal and 12 g less water; here within 1 and 6 g (flour moisture was counted as water there)."""
    balance, _ = only_water_moves(["white wheat flour", "wheat bran"], ["wholemeal wheat flour"])
    assert balance.into[0] == pytest.approx(240, abs=1)
    assert balance.moved[0][1] == pytest.approx(-12, abs=6)


def test_trial_maple_syrup(only_water_moves: Balancing, trial: Measured) -> None:
    """Trial: 70 maple syrup and 12 g less water, nearly nothing gives; here within 2 g, no step of a tolerance."""
    balance, after = only_water_moves(["honey"], ["maple syrup"])
    assert balance.into[0] == pytest.approx(70, abs=2)
    assert balance.moved[0][1] == pytest.approx(-12, abs=2)
    tolerances = trial.kitchen.tolerances
    for key in ("sugar", "sweetness", "fat", "fibre", "tta", "ph", "salt", "effective_hydration"):
        assert abs(after.value(key) - trial.value(key)) < tolerances[key].value


def test_trial_malt_syrup(only_water_moves: Balancing, trial: Measured) -> None:
    """Trial: honey for malt syrup, sweetness or sugar gives: not both can be kept."""
    _, after = only_water_moves(["honey"], ["malt syrup"])
    tolerances = trial.kitchen.tolerances
    steps = [abs(after.value(key) - trial.value(key)) / tolerances[key].value for key in ("sugar", "sweetness")]
    assert min(steps) < 1e-6 < 1 < max(steps)


# --- what the model may not claim -----------------------------------------------------------------


def test_buttermilk_against_kefir_is_not_a_clear_change(dark_loaf: Formula, read: Read) -> None:
    """Gram for gram, with table values: sourness and pH do not change clearly."""
    before = read(dark_loaf)
    swapped = dark_loaf.with_lines(
        line if line.ingredient != "buttermilk" else type(line)("kefir", line.grams) for line in dark_loaf.lines
    )
    after = read(swapped, before)
    for key in ("ph", "tta"):
        change = difference(before, after, key)
        assert change.change != 0 and not change.clear


def test_buttermilk_against_beer_is_a_clear_change(dark_loaf: Formula, read: Read) -> None:
    """The counter-example: beer has a fifth of the acid."""
    before = read(dark_loaf)
    swapped = dark_loaf.with_lines(
        line if line.ingredient != "buttermilk" else type(line)("beer", line.grams) for line in dark_loaf.lines
    )
    after = read(swapped, before)
    assert difference(before, after, "ph").clear and difference(before, after, "tta").clear


def test_differences_of_table_values_are_as_sure_as_claimed(dark_loaf: Formula, read: Read) -> None:
    """The model's claim for two variants with table values: pH within 0.3, TTA within 2; absolute 0.4 and 2 [A]."""
    before = read(dark_loaf)
    swapped = dark_loaf.with_lines(
        line if line.ingredient != "buttermilk" else type(line)("yoghurt", 391.0) for line in dark_loaf.lines
    )
    after = read(swapped, before)
    assert 0.02 < difference(before, after, "ph").spread <= 0.3
    assert 0.2 < difference(before, after, "tta").spread <= 2.0
    assert 0.3 <= before.reading("ph").spread <= 0.5
    assert 1.5 <= before.reading("tta").spread <= 2.3


def test_milk_acids_alone_do_not_sour_a_pure_rye(read: Read) -> None:
    """Buttermilk about pH 5.2, yoghurt 5.0, beer 6.0 in a pure rye dough, before the proof; within 0.2 [A]."""
    for liquid, expected in (("buttermilk", 5.2), ("yoghurt", 5.0), ("beer", 6.0)):
        assert read({"wholemeal rye flour": 1000, liquid: 850}).value("ph") == pytest.approx(expected, abs=0.2)


def test_vinegar_for_buttermilk_by_ph_and_by_sourness(read: Read) -> None:
    """Worked by hand from the same parameters: in 1,000 g wholemeal rye, 850 g buttermilk are about 47 g of 6 %
    vinegar by pH and about 77 g by TTA; here within 5 g."""
    soured = read({"wholemeal rye flour": 1000, "buttermilk": 850})

    def dose(key: str, sign: float) -> float:
        low, high = 0.0, 200.0
        for _ in range(60):
            middle = (low + high) / 2
            dough = read({"wholemeal rye flour": 1000, "water": 800, "wine vinegar": middle})
            enough = sign * (dough.value(key) - soured.value(key)) >= 0
            low, high = (low, middle) if enough else (middle, high)
        return high

    assert dose("ph", -1.0) == pytest.approx(47, abs=5)
    assert dose("tta", 1.0) == pytest.approx(77, abs=5)
