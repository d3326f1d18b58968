"""Offers: every rule keeps what it says, the books balance, weights are those of a scale, readings are of the rounded
formula, and what an offer tells is so."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import islice, product
from pathlib import Path

import pytest
import tomli
from recording_solver import RecordingSolver
from rows import each

from adapter.dough.readings.differences import difference, drift
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.model import Adapted, Amount, Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import Unmet
from adapter.swaps.offer import Offer
from adapter.swaps.order import SAME, is_closest, nearness
from adapter.swaps.rules import Rule, members_of
from adapter.swaps.swapper import Swapper
from adapter.swaps.yeast import keep_yeast_percent

RULES_FILE = Path(__file__).parents[2] / "substitutions" / "rules.toml"
RULE_IDS = [rule["id"] for rule in tomli.loads(RULES_FILE.read_text("utf-8"))["rule"]]
MOST_CHOICES = 30

Loaf = Callable[..., Formula]
Swapping = Callable[..., Offer]
MakeSwapper = Callable[[Formula], Swapper]

BASE = {
    "wholemeal rye flour": 300.4,
    "white wheat flour": 300.0,
    "water": 250.0,
    "buttermilk": 150.0,
    "honey": 30.0,
    "butter": 20.0,
    "salt": 11.3,
    "fresh yeast": 9.0,
}
USUAL_GRAMS = {"sharp acid": 30.0, "spice": 6.0, "leavening": 4.0, "yeast": 9.0}


def grams_by_name(formula: Formula) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in formula.lines:
        found[line.ingredient] = found.get(line.ingredient, 0.0) + line.grams
    return found


def goes_out(rule: Rule, pick: int, kitchen: Kitchen) -> list[str]:
    """What a rule takes out: of a kind the first or last member that it takes."""
    return [
        [name for name in members_of(slot, kitchen.catalogue) if rule.takes(slot, name, kitchen.catalogue)][pick]
        for slot in rule.out
    ]


def dough_for(rule: Rule, pick: int, kitchen: Kitchen, base: Mapping[str, float]) -> tuple[Formula, int]:
    """A dough that holds what the rule takes out (the first or last member of a kind), and the line of the first."""
    grams = dict(base)
    going = goes_out(rule, pick, kitchen)
    for name in going:
        kinds = kitchen.catalogue.get(name).kinds
        grams.setdefault(name, next((g for kind, g in USUAL_GRAMS.items() if kind in kinds), 120.0))
    lines = tuple(Line(name, weight) for name, weight in grams.items())
    return Formula(f"dough for {rule.id}", lines), list(grams).index(going[0])


@pytest.fixture(scope="module")
def offers_of(
    rules: tuple[Rule, ...], kitchen: Kitchen, swapper: MakeSwapper
) -> Callable[[str], list[tuple[Offer, Measured]]]:
    """Offers of a rule in two doughs, a usual one and a firm, nearly saltless one, each with its exact formula read."""
    known = {rule.id: rule for rule in rules}
    made: dict[str, list[tuple[Offer, Measured]]] = {}
    firm = {"wholemeal rye flour": 300.0, "white wheat flour": 300.0, "water": 30.0, "salt": 1.0, "fresh yeast": 9.0}

    def offers(rule_id: str) -> list[tuple[Offer, Measured]]:
        if rule_id not in made:
            made[rule_id] = []
            rule = known[rule_id]
            seen: list[Formula] = []
            for pick, base in ((0, BASE), (-1, BASE), (0, firm)):
                formula, line = dough_for(rule, pick, kitchen, base)
                if formula in seen:  # the first and the last of a kind of one, or of no kind
                    continue
                seen.append(formula)
                solving = swapper(formula)
                going = frozenset(goes_out(rule, pick, kitchen))
                for chosen in islice(rule.combinations(kitchen.catalogue, going), MOST_CHOICES):
                    offer = solving.offer(line, rule, chosen)
                    made[rule_id].append((offer, measure(kitchen, offer.exact, offer.before)))
            assert made[rule_id]
        return made[rule_id]

    return offers


OffersOf = Callable[[str], list[tuple[Offer, Measured]]]


# --- every rule -----------------------------------------------------------------------------------


@each("rule_id", RULE_IDS)
def test_rule_keeps_what_it_says(rule_id: str, offers_of: OffersOf, kitchen: Kitchen) -> None:
    """Conservation before rounding: within 1e-9, unless the offer says that it could not.

    Acidity hangs on what the proof makes, which is read after rounding: there within half of what a baker notices.
    """
    for offer, exact in offers_of(rule_id):
        assert offer.rule is not None
        unmet = {item.key for item in offer.unmet}
        for key in set(offer.rule.keep) - unmet:
            if key in ("weight", "dry_weight"):
                gone, come = moved_weights(offer, exact, key == "dry_weight")
                assert come == pytest.approx(gone, rel=1e-9), (offer.chosen, key)
            elif key in ("ph", "tta"):
                half = 0.5 * kitchen.tolerances[key].value
                assert offer.after.value(key) == pytest.approx(offer.before.value(key), abs=half), (offer.chosen, key)
            else:
                before, after = reading(offer.before, key), reading(exact, key)
                assert after == pytest.approx(before, rel=1e-9, abs=1e-9), (offer.chosen, key)


def reading(measured: Measured, key: str) -> float:
    """A reading; carbonate with what has gone off as gas, since a rule keeps all that is brought."""
    gone = 100.0 * measured.gas_mmol / measured.amount("flour") if key == "carbonate" else 0.0
    return measured.value(key) + gone


def moved_weights(offer: Offer, exact: Measured, dry: bool) -> tuple[float, float]:
    """Grams (or dry grams) that went out and that came in, from the exact formula; a line that moves counts not."""
    catalogue = offer.before.kitchen.catalogue
    before, after = grams_by_name(offer.before.formula), grams_by_name(exact.formula)

    def weight(name: str, grams: float) -> float:
        return grams * (1 - catalogue.get(name).figure("water") / 100 if dry else 1.0)

    going = {offer.before.formula.lines[place].ingredient for place in offer.out_lines}
    gone = sum(weight(name, before[name] - after.get(name, 0.0)) for name in going)
    come = sum(weight(name, after.get(name, 0.0) - before.get(name, 0.0)) for name in offer.chosen)
    return gone, come


@each("rule_id", RULE_IDS)
def test_what_a_rule_cannot_keep_is_reported_with_its_size(rule_id: str, offers_of: OffersOf) -> None:
    """The reported size is the change of the reading in the exact formula, in its own unit."""
    for offer, exact in offers_of(rule_id):
        for item in offer.unmet:
            assert not item.held
            if item.key not in ("weight", "dry_weight"):
                change = exact.value(item.key) - offer.before.value(item.key)
                assert item.by == pytest.approx(change, rel=1e-6, abs=1e-6), (offer.chosen, item.key)


@each("rule_id", RULE_IDS)
def test_books_balance(rule_id: str, offers_of: OffersOf) -> None:
    """Grams before, plus in, less out, plus moved, are the grams after; each ingredient stands in one list only."""
    for offer, _ in offers_of(rule_id):
        books = grams_by_name(offer.before.formula)
        for sign, amounts in ((-1, offer.out), (1, offer.into), (1, offer.moved)):
            for amount in amounts:
                books[amount.ingredient] = books.get(amount.ingredient, 0.0) + sign * amount.grams
        after = grams_by_name(offer.after.formula)
        for name in books.keys() | after.keys():
            assert books.get(name, 0.0) == pytest.approx(after.get(name, 0.0), abs=1e-5), (offer.chosen, name)
        named = [amount.ingredient for amounts in (offer.out, offer.into, offer.moved) for amount in amounts]
        assert len(set(named)) == len(named)
        assert all(amount.grams > 0 for amount in (*offer.out, *offer.into))


@each("rule_id", RULE_IDS)
def test_weights_are_those_of_a_scale(rule_id: str, offers_of: OffersOf) -> None:
    """Whole grams, tenths below 10 g; a line that did not change keeps its written weight to the last digit."""
    for offer, _ in offers_of(rule_id):
        written = grams_by_name(offer.before.formula)
        for line in offer.after.formula.lines:
            if written.get(line.ingredient) == line.grams:
                continue
            step = 0.1 if line.grams < 9.95 else 1.0
            assert abs(line.grams / step - round(line.grams / step)) < 1e-9, (offer.chosen, line)
        exact = grams_by_name(offer.exact)
        for name, grams in grams_by_name(offer.after.formula).items():
            if "yeast" not in name:
                assert abs(grams - exact[name]) <= (0.5 if max(grams, exact[name]) >= 9.9 else 0.05) + 1e-9
        assert all(line.grams >= 0 for line in (*offer.exact.lines, *offer.after.formula.lines))


@each("rule_id", RULE_IDS)
def test_readings_are_of_the_rounded_formula(rule_id: str, offers_of: OffersOf, kitchen: Kitchen) -> None:
    """A fresh reading of the formula after the swap gives the same numbers; so does the drift, by its definition."""
    for offer, _ in offers_of(rule_id):
        fresh = measure(kitchen, offer.after.formula, offer.before)
        for key in ("ph", "tta", "sugar", "effective_hydration", "pace", "dough_mass"):
            assert offer.after.value(key) == pytest.approx(fresh.value(key), rel=1e-12)
        drift = 0.0
        for key, tolerance in kitchen.tolerances.items():
            least = tolerance.in_drift_above
            if tolerance.in_drift and (least is None or offer.before.value(key) > least):
                change = fresh.value(key) - offer.before.value(key)
                per = offer.before.value(key) / 100 if key in ("flour_mass", "dough_mass") else 1.0
                drift += tolerance.weight * abs(change / per) / tolerance.value
        assert offer.drift == pytest.approx(drift, rel=1e-9, abs=1e-9)


@each("rule_id", RULE_IDS)
def test_rule_stays_within_its_limits(rule_id: str, offers_of: OffersOf) -> None:
    """Parts of what comes in, and grams in % of flour, in the exact formula."""
    for offer, exact in offers_of(rule_id):
        assert offer.rule is not None
        before, after = grams_by_name(offer.before.formula), grams_by_name(exact.formula)
        came = [after.get(name, 0.0) - before.get(name, 0.0) for name in offer.chosen]
        for limit in offer.rule.limits:
            assert limit.low * sum(came) - 1e-6 <= came[limit.slot] <= limit.high * sum(came) + 1e-6
        for most in offer.rule.most:
            assert came[most.slot] <= most.percent_flour * offer.before.amount("flour") / 100 + 1e-6


def test_whole_swaps_come_first_then_the_same_sort_of_thing_then_drift(
    dark_loaf: Formula, swapper: MakeSwapper, kitchen: Kitchen
) -> None:
    for place, line in enumerate(dark_loaf.lines):
        offers = swapper(dark_loaf).offers(place)
        parts = [offer.share_percent < 100 for offer in offers]
        assert parts == sorted(parts)
        whole = [o for o in offers if o.share_percent == 100 and len(o.out_lines) == 1 == len(o.into)]
        near = [nearness(line.ingredient, offer.into[0].ingredient, kitchen.catalogue) for offer in whole]
        assert near == sorted(near)
        same = [o for o, n in zip(whole, near, strict=True) if n == SAME and not (o.allergens_added or o.missed)]
        first = [not is_closest(o) for o in same]
        assert first == sorted(first)
        for closest, everyday in product((True, False), repeat=2):
            alike = [
                o.drift
                for o in same
                if is_closest(o) == closest and kitchen.catalogue.get(o.into[0].ingredient).everyday == everyday
            ]
            assert alike == sorted(alike)
        assert all(offer.line == place for offer in offers)


def test_an_empty_line_has_no_offers(dark_loaf: Formula, swapper: MakeSwapper) -> None:
    lines = [line if line.ingredient != "honey" else Line("honey", 0.0) for line in dark_loaf.lines]
    formula = dark_loaf.with_lines(lines)
    assert swapper(formula).offers(next(formula.find("honey"))) == []


def test_a_swap_inside_a_sourdough_stage_keeps_what_it_says(swapper: MakeSwapper, kitchen: Kitchen) -> None:
    """Flour that comes in there is ripe too: what a rule keeps is kept with its acids and cells."""
    sour = (Line("wholemeal rye flour", 200, "sourdough, 15 h"), Line("water", 200, "sourdough, 15 h"))
    rest = (Line("wholemeal rye flour", 300), Line("white wheat flour", 200), Line("water", 250), Line("salt", 12))
    formula = Formula("sour rye", (*sour, *rest))
    offers = [offer for place in range(6) for offer in swapper(formula).offers(place)]
    assert any(offer.before.formula.lines[offer.line].stage.startswith("sourdough") for offer in offers)
    for offer in offers:
        assert offer.rule is not None
        exact = measure(kitchen, offer.exact, offer.before)
        for key in set(offer.rule.keep) - {item.key for item in offer.unmet} - {"weight", "dry_weight"}:
            assert exact.value(key) == pytest.approx(offer.before.value(key), rel=1e-9, abs=1e-9), offer.chosen


# --- what an offer tells --------------------------------------------------------------------------


def test_changes_are_the_differences_of_the_readings(dark_loaf: Formula, swap: Swapping) -> None:
    offer = swap(dark_loaf, "buttermilk", "beer")
    assert tuple(offer.changes) == READING_KEYS
    for key, change in offer.changes.items():
        assert change == difference(offer.before, offer.after, key)


@pytest.mark.parametrize(
    ("out", "into", "added", "removed"),
    [
        ("buttermilk", ["beer"], {"gluten: barley"}, {"milk"}),
        ("honey", ["date syrup"], set(), set()),
        ("buttermilk", ["milk", "cider vinegar"], set(), set()),
        ("white wheat flour", ["spelt flour"], {"gluten: spelt"}, set()),
    ],
)
def test_allergens_brought_in_and_taken_out(
    out: str, into: list[str], added: set[str], removed: set[str], dark_loaf: Formula, swap: Swapping, kitchen: Kitchen
) -> None:
    """Regulation (EU) 1169/2011 Annex II. A group that another line still brings is not taken out."""
    offer = swap(dark_loaf, out, into)
    stays = {group for line in offer.after.formula.lines for group in kitchen.catalogue.get(line.ingredient).allergens}
    assert {group.split(":")[0] for group in offer.allergens_added} == {group.split(":")[0] for group in added}
    assert set(offer.allergens_removed) == removed
    assert not set(offer.allergens_removed) & stays


def test_short_counts_the_whole_formula(loaf: Loaf, swap: Swapping) -> None:
    """The pantry's stock is drawn on by every line of the ingredient."""
    dough = loaf({"white wheat flour": 500, "milk": 200, "buttermilk": 100, "water": 50, "salt": 9})
    offer = swap(dough, "buttermilk", "milk")
    need = grams_by_name(offer.after.formula)["milk"]
    assert need > 250
    short = offer.short(Pantry("hut", (Stock("milk", 150.0), Stock("milk", 100.0))))
    assert short == (Amount("milk", need - 250.0),)
    assert offer.short(Pantry("hut", (Stock("milk", None),))) == ()
    assert offer.short(Pantry("empty")) == (Amount("milk", need),)


def test_gives_is_the_same_before_and_after_looking(dark_loaf: Formula, swap: Swapping, kitchen: Kitchen) -> None:
    """On a second swap too, where nothing of the formula before has been read yet: against the bench now, as drift is.
    The first step's price is told apart, as the sum since the book."""
    adapted = Formula("second", dark_loaf.lines[:-1], adapted=Adapted(dark_loaf.name, dark_loaf.lines))
    offer = swap(adapted, "wholemeal rye flour", "light rye flour")
    seen = dict(offer.gives)
    expected = {}
    for key, tolerance in kitchen.tolerances.items():
        now = offer.before.value(key)
        step = (offer.after.value(key) - now) / tolerance.value
        if key in ("flour_mass", "dough_mass"):
            step *= 100.0 / now
        if tolerance.in_drift and abs(step) >= 1.0:
            expected[key] = pytest.approx(step, rel=1e-9)
    assert "fibre" in expected
    assert seen == expected
    assert offer.drift_from_book == pytest.approx(drift(offer.after))
    assert offer.drift != pytest.approx(offer.drift_from_book)


def test_what_is_missed_by_a_tenth_of_what_a_baker_notices_is_told(loaf: Loaf, swap: Swapping) -> None:
    """In the tolerance's unit: masses in % of the book's. What has no tolerance, such as ash, is always told."""
    offer = swap(loaf(BASE), "honey", "malt syrup")
    for key in ("hydration", "flour_mass", "dough_mass"):
        unit = offer.before.value(key) / 100.0 if key.endswith("mass") else 1.0
        noticed = offer.after.kitchen.tolerances[key].value * unit
        for sign, tenths, told in ((1.0, 0.99, False), (-1.0, 0.99, False), (1.0, 1.01, True), (-1.0, 1.01, True)):
            unmet = (Unmet(key, 0.1 * sign * tenths * noticed, False),)
            assert replace(offer, unmet=unmet).missed == (unmet if told else ()), key
    ash = (Unmet("ash", 1e-9, False),)
    assert replace(offer, unmet=ash).missed == ash


@pytest.mark.parametrize(("water", "gives_way"), [(255.0, False), (235.0, True)])
def test_where_poured_water_is_scarce_other_liquid_may_give_way_to_a_culture(
    water: float, gives_way: bool, kitchen: Kitchen, rules: Sequence[Rule], loaf: Loaf
) -> None:
    """A sourdough brings water: 40 % of the 600 g flour must be there to pour, or the buttermilk may give way."""
    asked = []
    for there in (water, 500.0):
        solver = RecordingSolver()
        formula = loaf({**BASE, "water": there})
        Swapper(kitchen, rules, formula, solver).free_swap([len(BASE) - 1], ["rye sourdough"])
        asked.append(len(solver.asked[0]))
    assert asked[0] - asked[1] == gives_way


def test_what_is_tasted_is_told_with_its_dose(loaf: Loaf, swap: Swapping) -> None:
    """Beyond 6 g of cider vinegar to 100 g flour; 30 g of it in the loaf already count too."""
    for before, tasted in ((0.0, False), (30.0, True)):
        lines = {"wholemeal rye flour": 500.0, "water": 300.0, "spirit vinegar": 20.0, "salt": 10.0, "fresh yeast": 9.0}
        if before:
            lines["cider vinegar"] = before
        offer = swap(loaf(lines), "spirit vinegar", "cider vinegar", typed={"cider vinegar": 28.0})
        grams = grams_by_name(offer.after.formula)["cider vinegar"]
        percent = 100.0 * grams / 500.0
        assert grams == pytest.approx(28.0 + before)
        assert offer.over_taste == ((("cider vinegar", pytest.approx(percent), 6.0),) if tasted else ())


def test_a_rule_that_is_for_something_else_makes_no_offer(swapper: MakeSwapper, loaf: Loaf) -> None:
    of = swapper(loaf(BASE))
    rule = next(rule for rule in of.rules if rule.id == "syrup-for-syrup")
    with pytest.raises(InputProblem, match="the rule syrup-for-syrup does not fit salt"):
        of.offer(list(BASE).index("salt"), rule, ("malt syrup",))
    assert of.offer(list(BASE).index("honey"), rule, ("malt syrup",)).chosen == ("malt syrup",)


def test_yeast_in_percent_stays_away_where_there_is_none(read: Callable[..., Measured]) -> None:
    """Held in % of the flour; a dough without yeast gets none, and one that has just so much is left as it is."""
    before = read(BASE)
    without = read({name: grams for name, grams in BASE.items() if name != "fresh yeast"})
    assert keep_yeast_percent(before, without) is without
    assert keep_yeast_percent(before, before) is before
    double = read({**BASE, "white wheat flour": 900.4})
    found = keep_yeast_percent(before, double)
    assert grams_by_name(found.formula)["fresh yeast"] == 18.0 and keep_yeast_percent(before, found) is found
