"""The programme of a whole loaf, row by row: what each thing costs and within what bounds it stays.

The costs are this project's own assumptions, written here once more so that none changes unnoticed. What is ruled out
and stays, and what has to be bought, are settled first, each as little as can be; what is wished comes before drift.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest

from adapter.dough.readings.kitchen import Kitchen
from adapter.formula.model import Formula, Line
from adapter.formula.pantry import Pantry, Stock
from adapter.swaps import refining
from adapter.swaps.block import Block
from adapter.swaps.candidates import candidates
from adapter.swaps.loaf_programme import LoafProgramme
from adapter.swaps.movers import NEW_WATER
from adapter.swaps.programme import Column, Part, Solution, Solver
from adapter.swaps.rules import Rule
from adapter.swaps.swapper import Swapper
from adapter.swaps.wishes import Wishes, held_within, read_aim

RYE, WHITE, KEFIR, HONEY, WATER, SALT = range(6)
LINES = (
    Line("wholemeal rye flour", 400.0), Line("white wheat flour", 200.0), Line("kefir", 400.0), Line("honey", 60.0),
    Line("water", 150.0), Line("salt", 12.0), Line("fresh yeast", 8.0), Line("rye sourdough", 60.0),
)  # fmt: skip
FLOUR, COUNT = 630.0, 4.0
STOCK = {"kefir": 100.0, "honey": 900.0, "yoghurt": 700.0, "malt syrup": 20.0, "rye sourdough": 50.0, "salt": 40.0}
FREE = 1e-6


class Loaf:
    """Four loaves: kefir is short, honey ruled out, TTA held, and something aimed at; with the programme for them."""

    def __init__(self, kitchen: Kitchen, rules: Sequence[Rule], *aims: str, **more: object) -> None:
        few = [rule for rule in rules if rule.id in ("acid-liquid-for-acid-liquid", "syrup-for-syrup")]
        self.swapper = Swapper(kitchen, few, Formula("loaf", LINES), Solver())
        there = [Stock(line.ingredient) for line in LINES if line.ingredient not in STOCK]
        self.store = Pantry("store", (*there, *(Stock(name, grams, 2.0) for name, grams in STOCK.items())))
        priced = Pantry("priced", tuple(Stock(line.ingredient, None, 2.0) for line in LINES))
        read = tuple(read_aim(aim, self.swapper.measured, priced) for aim in aims)
        wishes = Wishes(self.store, ruled_out={"honey": "said"}, aims=read, holds=("tta",), **more)  # type: ignore[arg-type]
        short = frozenset(["kefir"])
        found = candidates(self.swapper, wishes, short)
        assert [each.chosen for each in found] == [("yoghurt",), ("malt syrup",)]
        self.block = Block(self.swapper, wishes, found, COUNT, short)
        self.programme = LoafProgramme([self.block], self.store, self.swapper.balancer.solver)
        self.columns = self.programme.columns

    def bounds(self, place: int) -> tuple[float, float, float]:
        column = self.columns[place]
        return column.low, column.high, column.cost

    def has(self, factors: Mapping[int, float], low: float = 0.0, high: float = math.inf) -> bool:
        return any(
            (part.low, part.high) == (pytest.approx(low), pytest.approx(high))
            and dict(part.factors) == pytest.approx(dict(factors))
            for part in self.programme.parts
        )

    def priced_at(self, cost: float) -> list[int]:
        return [place for place, column in enumerate(self.columns) if column.cost == pytest.approx(cost)]

    def part_of(self, column: int) -> Part:
        (part,) = (part for part in self.programme.parts if column in part.factors)
        return part


@pytest.fixture(scope="module")
def loaf(kitchen: Kitchen, rules: Sequence[Rule]) -> Loaf:
    return Loaf(kitchen, rules, "salt=..1.5")


def test_a_swap_is_taken_by_a_tenth_at_least_and_stays_the_swap_it_says(loaf: Loaf) -> None:
    """Grams from 0.6 times what it would bring in alone, to twice that for a wish."""
    block = loaf.block
    for candidate, share, choice, (place,) in zip(
        block.candidates, block.shares, block.choices, block.incoming, strict=True
    ):
        (typical,) = candidate.typical
        assert loaf.bounds(share) == (0.0, 1.0, FREE) and not loaf.columns[share].whole
        assert loaf.bounds(choice) == (0.0, 1.0, candidate.cost) and loaf.columns[choice].whole
        assert loaf.bounds(place) == (0.0, pytest.approx(2.0 * typical), FREE)
        assert loaf.has({choice: 1.0, share: -1.0}) and loaf.has({share: 1.0, choice: -0.1})
        assert loaf.has({place: 1.0, share: -0.6 * typical}) and loaf.has({place: -1.0, share: 2.0 * typical})
        effects = loaf.columns[share].coefficients
        going = [LINES[at] for at in candidate.places]
        for key, effect in zip(block.keys, effects, strict=True):
            balancer = loaf.swapper.balancer
            assert effect == pytest.approx(-sum(line.grams * balancer.effects(line)[key] for line in going))


def test_water_that_a_swap_brings_in_gives_way_after_the_loafs_own(kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    """Every gram less of it costs a thousandth. Where the loaf's own is held or ruled out there is no such swap."""
    (rule,) = (rule for rule in rules if rule.id == "thinned-sour-cream-for-acid-liquid")
    swapper = Swapper(kitchen, [rule], Formula("loaf", LINES), Solver())
    wishes = Wishes(ruled_out={"kefir": "said"})
    (candidate,) = candidates(swapper, wishes, frozenset())
    block = Block(swapper, wishes, [candidate])
    programme = LoafProgramme([block], None, swapper.balancer.solver)
    (share,), ((_, water),), typical = block.shares, block.incoming, candidate.typical[1]
    assert candidate.chosen == ("sour cream", "water")
    (less,) = (place for place, column in enumerate(programme.columns) if column.cost == 1e-3)
    assert programme.columns[less].high == typical == programme.columns[water].high
    parts = [(dict(part.factors), part.low, part.high) for part in programme.parts if water in part.factors]
    assert ({water: 1.0, less: 1.0, share: -typical}, 0.0, 0.0) in parts
    for more in (Wishes(ruled_out={"kefir": "", "water": ""}), Wishes(ruled_out={"kefir": ""}, holds=("line:water",))):
        assert candidates(swapper, more, frozenset()) == []


def test_what_is_missed_costs_in_its_order(loaf: Loaf) -> None:
    """1 for a line that stays and for each % of flour to buy; 100 for each change of a hold that a baker notices."""
    block, tolerances = loaf.block, loaf.swapper.kitchen.tolerances
    stays = block.stays[HONEY]
    assert loaf.bounds(stays) == (0.0, 1.0, 1.0)
    assert loaf.has({block.shares[1]: 1.0, stays: 1.0}, 1.0, 1.0), "what does not go out by a swap stays"
    assert set(block.stays) == {HONEY}
    assert loaf.has({block.shares[0]: 1.0, block.movers[KEFIR]: -1.0 / 400.0}, -math.inf, 1.0), "no more than there is"
    for bought in loaf.programme.bought.values():
        assert loaf.bounds(bought) == (0.0, math.inf, pytest.approx(100.0 / (COUNT * FLOUR)))
    targets = dict(zip(block.keys, loaf.programme.targets, strict=True))
    assert "salt" not in targets, "what is aimed at is free to move"
    for key, target in targets.items():
        weight = 100.0 if key == "tta" else tolerances[key].weight
        assert target.cost == pytest.approx(math.sqrt(COUNT) * weight / tolerances[key].value), key
        assert (target.start, target.firm) == (0.0, False)
        held = held_within(key, loaf.swapper.measured.value(key), tolerances[key].value)
        assert target.free == (held if key == "tta" else (0.0, 0.0))


def test_what_is_bought_of_what_the_store_lacks(loaf: Loaf) -> None:
    """Four loaves take 1,600 g of the 100 g kefir and 48 g of the 40 g salt; of nothing else more than there is."""
    block, bought = loaf.block, loaf.programme.bought
    yoghurt, malt = (places[0] for places in block.incoming)
    assert set(bought) == {"kefir", "salt"}
    kefir = {block.shares[0]: -4.0 * 400.0, block.movers[KEFIR]: 4.0, bought["kefir"]: -1.0}
    assert loaf.has(kefir, -math.inf, 100.0 - 1600.0)
    assert loaf.has({block.movers[SALT]: 4.0, bought["salt"]: -1.0}, -math.inf, 40.0 - 48.0)
    assert loaf.has({yoghurt: 4.0}, -math.inf, 700.0) and loaf.has({malt: 4.0}, -math.inf, 20.0)


def test_a_sourdough_that_is_there_is_fed(loaf: Loaf) -> None:
    """50 g for 240 g: the rest of its flour, half of it, comes out of the flour."""
    (fed,) = (
        place for place in loaf.priced_at(0.0)
        if any(part.factors.get(place) == -1.0 and part.high == 50.0 - 240.0 for part in loaf.programme.parts)
    )  # fmt: skip
    share = 100.0 / (100.0 + loaf.swapper.kitchen.catalogue.get("rye sourdough").preferment.hydration)  # type: ignore[union-attr]
    assert loaf.bounds(fed) == (0.0, math.inf, 0.0)
    assert loaf.programme.uses["wholemeal rye flour"][fed] == pytest.approx(share)
    assert "rye sourdough" not in loaf.programme.bought


def test_an_aim_costs_less_where_it_cannot_be_met_at_all(kitchen: Kitchen, rules: Sequence[Rule], loaf: Loaf) -> None:
    """100 for each change that a baker notices, 3 where it is out of reach; a price counts by its fiftieth."""
    ((part, number, row),) = loaf.programme.aim_parts
    size = kitchen.tolerances["salt"].value
    (miss,) = set(loaf.programme.parts[part].factors) - set(loaf.programme.effects_of(loaf.block, row))
    assert (number, loaf.bounds(miss)) == (0, (0.0, math.inf, pytest.approx(100.0 / size)))
    salt, share = loaf.block.movers[SALT], loaf.block.shares[0]
    effects = loaf.programme.effects_of(loaf.block, row)
    assert effects[salt] == pytest.approx(row.per_gram(LINES[SALT]))
    assert effects[share] == pytest.approx(-400.0 * row.per_gram(LINES[KEFIR]))
    assert loaf.programme.parts[part].factors[salt] == pytest.approx(-effects[salt]), "an upper end"
    both = Loaf(kitchen, rules, "price=..1", "salt=..1.5", eased=frozenset(["salt=..1.5"]))
    price, eased = both.programme.aim_parts
    for (part, _, row), cost in ((price, 100.0 / max(0.01, 0.02 * 1.0)), (eased, 3.0 / size)):
        (miss,) = set(both.programme.parts[part].factors) - set(both.programme.effects_of(both.block, row))
        assert both.columns[miss].cost == pytest.approx(cost)


def test_a_dough_stays_a_dough(loaf: Loaf, kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    """For an aim softness and flour go five noticeable changes far, dear beyond, and half of the flour stays; without
    one all but 3 % of it.
    """
    keys = loaf.block.keys
    for key in ("effective_hydration", "flour_mass"):
        row, size = keys.index(key), kitchen.tolerances[key].value
        moving = {at: column.coefficients[row] for at, column in enumerate(loaf.columns) if column.coefficients[row]}
        further = loaf.priced_at(200.0 / size)
        assert len(further) >= 2
        for sign in (1.0, -1.0):
            assert any(
                loaf.has({**{at: sign * by for at, by in moving.items()}, at: 1.0}, -5.0 * size) for at in further
            )
        assert loaf.has(moving, -50.0) is (key == "flour_mass")
    plain = Loaf(kitchen, rules)
    assert not plain.priced_at(200.0 / kitchen.tolerances["flour_mass"].value), "without an aim drift alone keeps it"
    lows = {part.low for part in plain.programme.parts}
    assert -3.0 in lows and -50.0 not in lows


def test_at_most_so_many_swaps_and_those_that_are_pinned(kitchen: Kitchen, rules: Sequence[Rule], loaf: Loaf) -> None:
    first, second = (candidate.name for candidate in loaf.block.candidates)
    few = Loaf(kitchen, rules, most_swaps=1, pinned=frozenset([second]))
    choices = few.block.choices
    assert few.has(dict.fromkeys(choices, 1.0), -math.inf, 1.0)
    assert few.has({choices[1]: 1.0}, 1.0) and not few.has({choices[0]: 1.0}, 1.0), first


@pytest.mark.parametrize("gaps", [(0.03, 0.02, 0.01), (0.01, 0.03, 0.02), (0.01, 0.02, 0.03)])
def test_an_answer_is_no_surer_than_the_least_sure_of_its_searches(
    gaps: tuple[float, ...], kitchen: Kitchen, rules: Sequence[Rule], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Malt syrup for all the honey, too little yoghurt for the kefir: what stays, what is bought, and the rest are a
    search each.
    """
    for name, grams in (("malt syrup", 900.0), ("yoghurt", 40.0)):
        monkeypatch.setitem(STOCK, name, grams)
    programme = Loaf(kitchen, rules, "salt=..1.5").programme
    solve, left = programme.solver.solve, list(gaps)

    def told(*asked: object, **more: object) -> object:
        return replace(solve(*asked, **more), gap=left.pop(0))  # type: ignore[arg-type]

    monkeypatch.setattr(programme.solver, "solve", told)
    assert programme.solve().gap == max(gaps) and not left


def test_of_two_rules_for_the_same_swap_one_is_taken(kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    """Both take the kefir out for yoghurt, each keeping something else: not half by the one and half by the other."""
    rule = next(rule for rule in rules if rule.id == "acid-liquid-for-acid-liquid")
    swapper = Swapper(kitchen, [rule, replace(rule, id="twin")], Formula("loaf", LINES), Solver())
    store = Pantry("store", (Stock("yoghurt"), *(Stock(line.ingredient) for line in LINES if line != LINES[KEFIR])))
    wishes = Wishes(store, ruled_out={"kefir": "said"})
    found = candidates(swapper, wishes, frozenset())
    assert [(each.rule.id, each.chosen) for each in found] == [(each, ("yoghurt",)) for each in (rule.id, "twin")]
    block = Block(swapper, wishes, found)
    programme = LoafProgramme([block], store, swapper.balancer.solver)
    both = dict.fromkeys(block.choices, 1.0)
    assert [(part.low, part.high) for part in programme.parts if dict(part.factors) == both] == [(-math.inf, 1.0)]


def test_what_a_swap_takes_out_does_not_grow_back_beside_it(kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    """For an aim the kefir may grow by half; with the swap that takes it out by nothing. What comes in goes nowhere."""
    few = [rule for rule in rules if rule.id == "acid-liquid-for-acid-liquid"]
    lines = (*LINES, Line("buttermilk", 300.0))
    swapper = Swapper(kitchen, few, Formula("loaf", lines), Solver())
    wishes = Wishes(aims=(read_aim("tta=-1", swapper.measured, None),))
    found = candidates(swapper, wishes, frozenset(), 0.1)
    block = Block(swapper, wishes, found)
    programme = LoafProgramme([block], None, swapper.balancer.solver)
    parts = [(dict(part.factors), part.low, part.high) for part in programme.parts]
    out = [choice for each, choice in zip(found, block.choices, strict=True) if KEFIR in each.places]
    into = [choice for each, choice in zip(found, block.choices, strict=True) if "buttermilk" in each.chosen]
    kefir, buttermilk = block.movers[KEFIR], block.movers[len(LINES)]
    assert out and into
    for choice in out:
        assert ({kefir: 1.0, choice: 200.0}, -math.inf, 200.0) in parts
    for choice in into:
        assert ({buttermilk: 1.0, choice: -150.0}, -150.0, math.inf) in parts


def test_what_has_to_be_bought_is_settled_before_the_rest(
    kitchen: Kitchen, rules: Sequence[Rule], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kefir is short and yoghurt too: as little as can be is bought, then what is bought costs nothing more and may be
    no more, but for a ten-thousandth of the flour's percent; an answer put right keeps to it.
    """
    for name, grams in (("malt syrup", 900.0), ("yoghurt", 40.0)):
        monkeypatch.setitem(STOCK, name, grams)
    programme = Loaf(kitchen, rules, "salt=..1.5").programme
    solve, asked = programme.solver.solve, []

    def kept(columns: Sequence[Column], *more: object) -> object:
        answer = solve(columns, *more)  # type: ignore[arg-type]
        asked.append((columns, more, answer))
        return answer

    monkeypatch.setattr(programme.solver, "solve", kept)
    answer = programme.solve()
    (stays, _, _), (least, _, bought), (columns, (_, parts, _), _) = asked
    places = list(programme.bought.values())
    assert {column.cost for place, column in enumerate(stays) if place not in programme.blocks[0].stays.values()} == {0}
    assert {column.cost for place, column in enumerate(least) if place not in places} == {0.0}
    assert {columns[place].cost for place in places} == {0.0} != {programme.columns[place].cost for place in places}
    cost = sum(programme.columns[place].cost * bought.amounts[place] for place in places)
    (within,) = (part for part in parts if set(part.factors) == set(places))
    assert cost > 10.0 and (within.low, within.high) == (-math.inf, pytest.approx(cost + 1e-4, abs=1e-9))
    again = programme.solve((), {place: answer.amounts[place] for place in programme.blocks[0].choices})
    assert sum(programme.columns[place].cost * again.amounts[place] for place in places) <= cost + 1.1e-4
    assert again.amounts == pytest.approx(answer.amounts, abs=1e-3)


def test_what_is_settled_before_amounts_are_put_right(loaf: Loaf) -> None:
    """Every yes and no; and a line that would move by less than 3 % of itself, but for water, salt and, where an
    acidity is held, the line that brings most of it and is no flour. Kefir is the only other here.
    """
    block, place = loaf.block, loaf.block.movers
    amounts = [0.0] * len(loaf.columns)
    amounts[block.choices[0]], amounts[block.choices[1]] = 0.999999, 1e-7
    amounts[place[RYE]], amounts[place[WHITE]] = -0.031 * 400.0, 0.029 * 200.0
    assert refining._carriers(block) == {KEFIR}
    yes_and_no = {block.choices[0]: 1.0, block.choices[1]: 0.0}
    assert refining._settled(loaf.programme, Solution(tuple(amounts), ())) == {**yes_and_no, place[WHITE]: 0.0}
    amounts[place[RYE]], amounts[place[WHITE]] = 0.029 * 400.0, -0.031 * 200.0
    assert refining._settled(loaf.programme, Solution(tuple(amounts), ())) == {**yes_and_no, place[RYE]: 0.0}


def test_the_line_that_brings_most_of_an_acidity_carries_it(kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    """The heaviest of those that bring it, for better or worse: 40 g of vinegar more than 200 g of buttermilk."""
    lines = (*LINES[:2], Line("buttermilk", 200.0), Line("spirit vinegar", 40.0), *LINES[4:7])
    swapper = Swapper(kitchen, [], Formula("sour", lines), Solver())
    wishes = Wishes(aims=(read_aim("sugar=-50%", swapper.measured, None), read_aim("fat=-50%", swapper.measured, None)))
    for holds, carriers in ((("tta",), {3}), (("ph",), {3}), (("salt",), set()), ((), set())):
        block = Block(swapper, replace(wishes, holds=holds), [])
        block.movers = {place: place for place in (0, 1, 2, 3, 4, 5)}
        assert refining._carriers(block) == carriers
        block.movers = {0: 0, 4: 4, NEW_WATER: 7}
        assert refining._carriers(block) == set(), "neither flour nor water"


@pytest.mark.parametrize(("there_g", "most"), [(50.0, 190.0), (240.0, 0.0), (300.0, 0.0)])
def test_of_a_flour_that_is_short_no_more_sourdough_is_fed_than_the_loaves_take(
    there_g: float, most: float, loaf: Loaf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four loaves take 240 g: the rest of it is fed, and nothing where there is more."""
    store = Pantry("store", (Stock("rye sourdough", there_g), Stock("wholemeal rye flour", 900.0)))
    for short, high in ((frozenset(["wholemeal rye flour"]), most), (frozenset(["kefir"]), math.inf)):
        block = Block(loaf.swapper, Wishes(store), [], COUNT, short)
        programme = LoafProgramme([block], store, Solver())
        (fed,) = (at for at, by in programme.uses["wholemeal rye flour"].items() if 0.0 < by < 1.0)
        assert (programme.columns[fed].low, programme.columns[fed].high) == (0.0, high)
        (part,) = (part for part in programme.parts if part.factors.get(fed) == -1.0)
        assert (part.low, part.high) == (-math.inf, there_g - 240.0)


def test_what_is_held_and_has_no_tolerance_counts_by_its_own_unit(loaf: Loaf, kitchen: Kitchen) -> None:
    """Lactose is no reading: each % of the flour by which it is missed costs what a noticed change of others does."""
    assert "lactose" in kitchen.keepable and "lactose" not in kitchen.tolerances
    block = Block(loaf.swapper, Wishes(holds=("lactose",)), [], COUNT)
    programme = LoafProgramme([block], None, Solver())
    targets = dict(zip(block.keys, programme.targets, strict=True))
    assert (targets["lactose"].cost, targets["lactose"].free) == (pytest.approx(math.sqrt(COUNT) * 100.0), (0.08, 0.08))


def test_room_of_what_is_held_does_not_hang_on_what_was_looked_at(loaf: Loaf, kitchen: Kitchen) -> None:
    measured, size = loaf.swapper.measured, kitchen.tolerances["sugar"].value
    measured._values.pop("sugar", None)
    block = Block(loaf.swapper, Wishes(holds=("sugar",)), [])
    targets = dict(zip(block.keys, LoafProgramme([block], None, Solver()).targets, strict=True))
    assert targets["sugar"].free == held_within("sugar", measured.value("sugar"), size)
    assert targets["sugar"].free != held_within("sugar", 0.0, size)


def test_of_what_is_ruled_out_and_has_no_weight_nothing_has_to_go(kitchen: Kitchen, rules: Sequence[Rule]) -> None:
    lines = (*LINES[:3], Line("honey", 0.0), *LINES[4:])
    swapper = Swapper(kitchen, [], Formula("loaf", lines), Solver())
    block = Block(swapper, Wishes(ruled_out={"honey": "said", "kefir": "said"}), [])
    LoafProgramme([block], None, Solver())
    assert set(block.stays) == {KEFIR}
