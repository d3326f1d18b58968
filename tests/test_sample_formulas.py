"""The formulas and the pantry of the demo kitchen: sound baking, and every offer for every line of them a dough.

Limits of fill, bake and rise are the trade's (common practice, no source); they stand beside their checks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.resources import files

import pytest
from rows import each

from adapter.dough.models.oven import bake_minutes
from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.tin import MOST_FILL_UNDER_LID, fill_of_tin, fill_warning
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.loaf import tin_volume_l
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.files.formula_file import read_sample
from adapter.files.formula_tables import unknown_keys
from adapter.files.pantry_file import read_sample_pantry
from adapter.files.toml.source import parse
from adapter.formula.model import Line
from adapter.formula.pantry import Pantry
from adapter.swaps.offer import Offer
from adapter.swaps.order import reach
from adapter.swaps.programme import Solver
from adapter.swaps.rules import load_rules
from adapter.swaps.swapper import Swapper

FOLDER = files("sample_formulas")
PANTRY = "pantry.toml"
NAMES = sorted(part.name for part in FOLDER.iterdir() if part.name.endswith(".toml") and part.name != PANTRY)
DEMONSTRATION = "hut_everyday_loaf.toml"
BESIDE_READINGS = ("weight", "dry_weight")

each_formula = each("name", NAMES)


@dataclass(frozen=True)
class Sample:
    measured: Measured
    offers: tuple[tuple[Offer, ...], ...]

    def every_offer(self) -> Iterator[Offer]:
        for of_line in self.offers:
            yield from of_line

    def offer(self, out: tuple[str, ...], *into: str) -> Offer:
        """The first offer that takes out exactly these ingredients, the first of them chosen, for exactly those."""
        place = next(self.measured.formula.find(out[0]))
        return next(
            offer
            for offer in self.offers[place]
            if set(offer.chosen) == set(into) and {amount.ingredient for amount in offer.out} == set(out)
        )


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="module")
def pantry(kitchen: Kitchen) -> Pantry:
    return read_sample_pantry(FOLDER / PANTRY, kitchen.catalogue)


@pytest.fixture(scope="module")
def samples(kitchen: Kitchen) -> dict[str, Sample]:
    """Every formula measured, and every offer for every line of it: worked out once."""
    solver = Solver()
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    found = {}
    for name in NAMES:
        formula = read_sample(FOLDER / name, kitchen.catalogue)
        swapper = Swapper(kitchen, rules, formula, solver)
        offers = tuple(tuple(swapper.offers(place)) for place in range(len(formula.lines)))
        found[name] = Sample(measure(kitchen, formula), offers)
    return found


# ----------------------------------------------------------------------------------------------------- formulas


def test_there_are_enough_of_them_with_names_of_their_own(samples: dict[str, Sample]) -> None:
    assert len(NAMES) >= 9
    assert len({sample.measured.formula.name for sample in samples.values()}) == len(NAMES)


@each_formula
def test_a_file_holds_nothing_that_means_nothing(name: str) -> None:
    assert unknown_keys(parse((FOLDER / name).read_text(encoding="utf-8"), name)) == ()


@each_formula
def test_a_formula_says_how_it_is_proofed_and_baked(samples: dict[str, Sample], name: str) -> None:
    formula = samples[name].measured.formula
    assert formula.note
    assert None not in (formula.proof.temperature_c, formula.proof.rise_percent)
    assert None not in (formula.bake.oven_c, formula.bake.core_c)


@each_formula
def test_a_reading_is_in_its_band_or_has_a_reason(samples: dict[str, Sample], name: str) -> None:
    measured = samples[name].measured
    outside = set()
    for key, reading in measured.readings().items():
        assert math.isfinite(reading.value)
        if reading.band and not reading.band.low <= reading.value <= reading.band.high:
            outside.add(key)
    reasons = dict(measured.formula.reasons)
    assert outside == set(reasons), "out of band without a reason, or a reason for what is in its band"
    assert all(reasons.values())


def test_the_loaves_that_a_kitchen_needs_are_there(samples: dict[str, Sample]) -> None:
    values = {name: sample.measured.value for name, sample in samples.items()}
    formulas = {name: sample.measured.formula for name, sample in samples.items()}
    rye = [name for name in NAMES if values[name]("rye_share") >= 90]
    assert any(values[name]("prefermented_flour") >= 35 and values[name]("yeast") < 0.5 for name in rye)
    assert any(50 <= values[name]("rye_share") < 90 and values[name]("prefermented_flour") > 0 for name in NAMES)
    assert any(formulas[name].pieces == 2 and values[name]("wholegrain_share") > 60 for name in NAMES)
    assert any(formulas[name].pieces == 16 and values[name]("fat") > 10 for name in NAMES)
    assert any(formulas[name].tin is None and formulas[name].pieces <= 2 for name in NAMES)
    for ingredient in ("raisins", "rolled oats", "sour whey", "spelt flour", "cracked rye", "cooked potato"):
        assert any(list(formula.find(ingredient)) for formula in formulas.values()), ingredient


def test_the_demonstration_is_a_dense_dark_rye_in_one_lidded_tin(samples: dict[str, Sample]) -> None:
    """0.75 to 0.85 kg of dense rye to the litre under a lid, 1.5 to 3 h of rise: common practice, no source."""
    measured = samples[DEMONSTRATION].measured
    formula = measured.formula
    held = {line.ingredient for line in formula.lines}
    assert {"medium rye flour", "rye bran", "rye sourdough", "sour whey", "sugar beet syrup", "pumpkin seeds"} <= held
    assert formula.tin is not None
    assert formula.tin.lidded
    assert formula.tin.top_length_m > formula.tin.bottom_length_m, "folded by a smith: it tapers"
    assert 750 <= measured.value("dough_mass") / tin_volume_l(formula.tin) <= 850
    assert 1.5 <= measured.value("rise_time") <= 3.0
    assert measured.loaf_class.name == "dense lidded rye"


@each_formula
def test_a_loaf_fits_its_tin(samples: dict[str, Sample], name: str) -> None:
    """Full enough to slice well, never so full that a lid jams: common practice, no source."""
    measured = samples[name].measured
    formula, loaf_class = measured.formula, measured.loaf_class
    if formula.tin is None:
        assert loaf_class.in_tin is not True
        return
    fill = fill_of_tin(
        measured.value("dough_mass") / formula.pieces,
        tin_volume_l(formula.tin),
        unrisen_density(measured.rise.rye_share),
        1.0 + measured.rise.rise_fraction,
        loaf_class.spring.middle,
    )
    assert fill_warning(fill, formula.tin.lidded) is None
    assert 0.85 <= fill <= (MOST_FILL_UNDER_LID if formula.tin.lidded else 1.10)


@each_formula
def test_a_loaf_is_baked_through_in_a_time_that_a_baker_believes(samples: dict[str, Sample], name: str) -> None:
    """Rolls of 100 g 12 to 25 min, loaves of 0.5 to 1 kg 30 to 75 min, 1.7 kg of rye 1½ to 3½ h: common practice."""
    measured = samples[name].measured
    conditions = measured.conditions
    minutes = bake_minutes(measured.loaf, conditions.oven_c, conditions.core_c, conditions.start_c).value
    piece = measured.value("dough_mass") / measured.formula.pieces
    low, high = (12, 25) if piece < 150 else (30, 75) if piece < 1200 else (90, 210)
    assert low <= minutes <= high


# ------------------------------------------------------------------------------------------------------- pantry


@each_formula
def test_the_pantry_lacks_something_in_each_formula(samples: dict[str, Sample], pantry: Pantry, name: str) -> None:
    formula = samples[name].measured.formula
    need: dict[str, float] = {}
    for line in formula.lines:
        need[line.ingredient] = need.get(line.ingredient, 0.0) + line.grams
    lacking = [ingredient for ingredient, grams in need.items() if pantry.grams_of(ingredient) < grams]
    assert lacking
    assert len(lacking) < len(need) / 2, "and holds the better part of it"


def test_the_pantry_changes_no_number(pantry: Pantry) -> None:
    """Without figures off a packet the screen and the command line print the same with the pantry and without."""
    assert all(entry.measurement is None for entry in pantry.stock)
    assert len({entry.ingredient for entry in pantry.stock}) == len(pantry.stock)
    assert all(entry.price_per_kg is None or entry.price_per_kg > 0 for entry in pantry.stock)


def test_the_pantry_holds_what_the_demonstration_swaps_in(samples: dict[str, Sample], pantry: Pantry) -> None:
    sample = samples[DEMONSTRATION]
    for offer in _demonstration(sample):
        assert not offer.short(pantry), offer.chosen


def test_the_demonstration_has_its_swaps(samples: dict[str, Sample]) -> None:
    sample = samples[DEMONSTRATION]
    yoghurt, milk, wholemeal, malt, sourdough = _demonstration(sample)
    assert yoghurt.after.value("tta") == pytest.approx(yoghurt.before.value("tta"), abs=0.1)
    assert any(amount.ingredient == "water" and amount.grams > 50 for amount in yoghurt.moved)
    assert milk.after.value("tta") == pytest.approx(milk.before.value("tta"), abs=0.1)
    assert 10 <= next(amount.grams for amount in milk.into if amount.ingredient == "cider vinegar") <= 40
    assert wholemeal.drift < 2
    assert malt.allergens_added == ("gluten: barley",)
    assert sourdough.after.value("prefermented_flour") > 10
    assert sum(1 for _ in sample.every_offer()) > 150


def _demonstration(sample: Sample) -> tuple[Offer, ...]:
    """The acid liquid for yoghurt, then for milk and vinegar; wholemeal; malt syrup; sourdough."""
    return (
        sample.offer(("sour whey",), "yoghurt"),
        sample.offer(("sour whey",), "milk", "cider vinegar"),
        sample.offer(("medium rye flour", "rye bran"), "wholemeal rye flour"),
        sample.offer(("sugar beet syrup",), "malt syrup"),
        sample.offer(("medium rye flour",), "rye sourdough"),
    )


# ------------------------------------------------------------------------------------------------------- offers


@each_formula
def test_every_line_but_salt_has_offers(samples: dict[str, Sample], name: str) -> None:
    sample = samples[name]
    for line, offers in zip(sample.measured.formula.lines, sample.offers, strict=True):
        assert offers or line.ingredient == "salt", line.ingredient


@each_formula
def test_every_offer_is_a_dough(samples: dict[str, Sample], name: str) -> None:
    """Readings finite, no weight below zero, as much dough as before within a tenth, everything named coming in."""
    for offer in samples[name].every_offer():
        for formula in (offer.exact, offer.after.formula):
            assert all(math.isfinite(line.grams) and line.grams >= 0 for line in formula.lines), _told(offer)
        assert [amount.ingredient for amount in offer.into] == list(offer.chosen), _told(offer)
        assert all(amount.grams > 0 for amount in (*offer.into, *offer.out)), _told(offer)
        for key in READING_KEYS:
            assert math.isfinite(offer.after.value(key)), (key, _told(offer))
        whole = offer.before.value("dough_mass")
        if offer.rule is not None and offer.rule.family == "leaving out":  # a smaller piece by what it leaves out
            whole -= min(sum(out.grams for out in offer.out), 0.25 * whole)
            whole += sum(amount.grams for amount in offer.into)
        ratio = offer.after.value("dough_mass") / whole
        assert 0.9 <= ratio <= 1.1, _told(offer)
        assert math.isfinite(offer.drift)


@each_formula
def test_every_offer_keeps_what_its_rule_keeps(samples: dict[str, Sample], name: str) -> None:
    """Before rounding, to 1e-9 of the reading, unless the offer says that it could not.

    pH and TTA are kept as they are read at the end, with the acids that the changed proof makes: within what is
    noticed, and what half a step of the scale on a sharp acid leaves.
    """
    tolerances = samples[name].measured.kitchen.tolerances
    for offer in samples[name].every_offer():
        assert offer.rule is not None
        exact = measure(offer.before.kitchen, offer.exact, offer.before.book)
        unmet = {miss.key for miss in offer.unmet}
        for key in offer.rule.keep:
            if key in BESIDE_READINGS or key in unmet:
                continue
            if key in ("ph", "tta"):
                noticed = 0.9 * tolerances[key].value
                assert offer.after.value(key) == pytest.approx(offer.before.value(key), abs=noticed), _told(offer)
                continue
            assert exact.value(key) == pytest.approx(offer.before.value(key), rel=1e-9, abs=1e-9), (key, _told(offer))
        if not unmet.intersection(BESIDE_READINGS):
            for key in set(offer.rule.keep).intersection(BESIDE_READINGS):
                came, went = _dry_or_whole(offer, key)
                assert came == pytest.approx(went, rel=1e-9), (key, _told(offer))


@each_formula
def test_an_unmet_reading_is_really_missed_by_so_much(samples: dict[str, Sample], name: str) -> None:
    for offer in samples[name].every_offer():
        exact = measure(offer.before.kitchen, offer.exact, offer.before.book)
        for miss in offer.unmet:
            if miss.key in ("flour_mass", "dough_mass", "ph", "tta", *BESIDE_READINGS):
                continue
            change = exact.value(miss.key) - offer.before.value(miss.key)
            assert change * miss.by > 0, (miss, _told(offer))


@each_formula
def test_every_offer_keeps_the_salt_and_the_rise(samples: dict[str, Sample], name: str) -> None:
    """Salt by the rules' own line of it, the rise by the yeast: rounded to the scale, within what is noticed."""
    tolerances = samples[name].measured.kitchen.tolerances
    for offer in samples[name].every_offer():
        before, after = offer.before.value, offer.after.value
        assert abs(after("salt") - before("salt")) < 1.5 * tolerances["salt"].value, _told(offer)
        if after("yeast") > 0:
            assert abs(after("rise_time") - before("rise_time")) < tolerances["rise_time"].value, _told(offer)
            assert after("yeast") < 6.5, _told(offer)


@each_formula
def test_no_offer_is_sharper_than_bread_can_be(samples: dict[str, Sample], name: str) -> None:
    """12 g of 5 % vinegar to 100 g of flour is the most that is eaten: common practice, no source."""
    for offer in samples[name].every_offer():
        flour = offer.after.value("flour_mass")
        for amount in offer.into:
            if "vinegar" in offer.after.kitchen.catalogue.get(amount.ingredient).kinds:
                assert amount.grams <= 0.121 * flour, _told(offer)


@each_formula
def test_no_two_offers_of_a_line_are_the_same_dough(samples: dict[str, Sample], name: str) -> None:
    for of_line in samples[name].offers:
        doughs = [
            tuple(sorted((line.ingredient, line.stage, line.grams) for line in offer.after.formula.lines))
            for offer in of_line
        ]
        twice = [_told(offer) for offer, dough in zip(of_line, doughs, strict=True) if doughs.count(dough) > 1]
        assert not twice


@each_formula
def test_offers_come_with_the_least_drift_first(samples: dict[str, Sample], name: str) -> None:
    """Of those between which a baker has no other reason to choose; the reasons are those of tests/swaps/test_order."""
    for of_line in samples[name].offers:
        reasons = [reach(offer, None)[:-1] for offer in of_line]
        assert reasons == sorted(reasons)
        for alike in set(reasons):
            drifts: dict[tuple[float, int, bool], list[float]] = {}
            for offer, its in zip(of_line, reasons, strict=True):
                if its == alike:
                    catalogue = offer.before.kitchen.catalogue
                    everyday = all(catalogue.get(amount.ingredient).everyday for amount in offer.into)
                    drifts.setdefault((offer.share_percent, len(offer.into), everyday), []).append(offer.drift)
            assert all(each == sorted(each) for each in drifts.values())


def _told(offer: Offer) -> str:
    """An offer in one line, for a failed assertion."""
    parts = [
        ", ".join(f"{amount.ingredient} {amount.grams:g} g" for amount in amounts)
        for amounts in (offer.out, offer.into, offer.moved)
    ]
    return f"{offer.rule.id if offer.rule else 'free'}: {parts[0]} -> {parts[1]}; {parts[2]}"


def _dry_or_whole(offer: Offer, key: str) -> tuple[float, float]:
    """Grams that came in and went out before rounding, dry or as they are."""
    catalogue = offer.before.kitchen.catalogue

    def total(names: set[str], lines: Iterable[Line]) -> float:
        wet = {name: catalogue.get(name).figure("water") / 100.0 if key == "dry_weight" else 0.0 for name in names}
        return sum(line.grams * (1.0 - wet[line.ingredient]) for line in lines if line.ingredient in names)

    before, exact = offer.before.formula.lines, offer.exact.lines
    chosen = set(offer.chosen)
    going = {before[place].ingredient for place in offer.out_lines}
    return total(chosen, exact) - total(chosen, before), total(going, before) - total(going, exact)
