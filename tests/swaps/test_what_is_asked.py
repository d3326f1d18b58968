"""What the balancing programme is asked for a swap: how much goes out, what comes in by its dose, what may move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import Balance, Mover, Swap
from adapter.swaps.request import Request
from adapter.swaps.rules import Dose, Rule
from adapter.swaps.swapper import Swapper, _outgrows

LINES = (
    Line("linseed", 60.0, "soaker"), Line("water", 100.0, "soaker"),
    Line("wholemeal rye flour", 400.0), Line("white wheat flour", 100.0), Line("kefir", 150.0), Line("milk", 90.0),
    Line("water", 50.0), Line("water", 120.0), Line("honey", 40.0), Line("salt", 10.0), Line("fresh yeast", 8.0),
    Line("egg", 50.0, "finish"), Line("beer", 70.0, "finish"), Line("sesame seeds", 20.0, "topping"),
)  # fmt: skip
LINSEED, SOAKED_WATER, RYE, WHITE, KEFIR, MILK, WATER, HONEY, SALT, BEER, SESAME = 0, 1, 2, 3, 4, 5, 7, 8, 9, 12, 13
EGG = 11


@pytest.fixture(scope="module")
def asked(swapper: Callable[[Formula], Swapper]) -> Callable[[Request], Swap]:
    """asked(request): what the balancer was asked first."""
    loaf = swapper(Formula("stages", LINES))
    balance = loaf.balancer.balance
    swaps: list[Swap] = []

    def kept(swap: Swap) -> Balance:
        swaps.append(swap)
        return balance(swap)

    loaf.balancer.balance = kept  # type: ignore[method-assign]

    def ask(request: Request) -> Swap:
        swaps.clear()
        loaf.solve(request)
        return swaps[0]

    return ask


def moves(swap: Swap) -> tuple[set[int], bool]:
    return {mover.place for mover in swap.moves}, swap.new_water


def test_water_and_salt_of_the_stage_make_room(asked: Callable[[Request], Swap]) -> None:
    """The largest of the stage; salt of the dough where the stage has none; half of it at most where no rule says."""
    in_dough = asked(Request((HONEY,), ("malt syrup",), share_percent=25.0))
    assert in_dough.out == ((HONEY, 10.0),)
    assert in_dough.moves == (Mover(WATER, True, 0.5), Mover(SALT, True, 0.5)) and not in_dough.new_water
    assert moves(asked(Request((LINSEED,), ("sunflower seeds",)))) == ({SOAKED_WATER, SALT}, False)
    assert moves(asked(Request((HONEY,), ("malt syrup",), holds=("line:salt",)))) == ({WATER}, False)
    assert moves(asked(Request((KEFIR,), ("water", "milk powder")))) == ({SALT}, False), (
        "what comes in does not move too"
    )
    assert moves(asked(Request((HONEY,), ("malt syrup",), moves=("kind:flour", "water")))) == ({RYE, WATER}, False)
    assert moves(asked(Request((HONEY,), ("malt syrup",), moves=("kind:liquid",)))) == ({KEFIR}, False), (
        "no water as that"
    )
    held = Request((HONEY,), ("malt syrup",), moves=(), holds=("tta",))
    assert moves(asked(held)) == ({WATER, SALT}, False), "what is held needs room"
    assert moves(asked(replace(held, holds=("rise_time",)))) == (set(), False), "the yeast sees to that"


def test_a_stage_without_water_gets_some_or_gives_another_liquid(asked: Callable[[Request], Swap]) -> None:
    in_finish = asked(Request((EGG,), ("apple sauce",)))
    assert in_finish.moves == (Mover(SALT, True, 0.5), Mover(BEER, False, 0.5)) and in_finish.new_water
    assert moves(asked(Request((SESAME,), ("walnuts",)))) == ({SALT, WATER}, True), "else water of another stage gives"
    assert moves(asked(Request((EGG,), ("apple sauce",), holds=("line:beer",)))) == ({SALT, WATER}, True)
    assert moves(asked(Request((EGG,), ("apple sauce",), holds=("line:water",)))) == ({SALT}, False)
    assert moves(asked(Request((EGG,), ("beer",)))) == ({SALT, WATER}, True)


def test_a_culture_may_take_other_liquid_than_the_little_water_there_is(asked: Callable[[Request], Swap]) -> None:
    """170 g poured on 500 g of flour are less than two fifths, of which only the larger line moves: kefir gives too."""
    assert moves(asked(Request((RYE,), ("rye sourdough",)))) == ({WATER, SALT, KEFIR}, False)
    assert moves(asked(Request((RYE,), ("light rye flour",)))) == ({WATER, SALT}, False)


def test_a_dose_is_in_proportion_to_flour_and_share(asked: Callable[[Request], Swap], rules: tuple[Rule, ...]) -> None:
    """2 % of 500 g flour, for a quarter of the line; a weight that is typed goes before it."""
    rule = next(rule for rule in rules if rule.id == "syrup-for-syrup")
    dosed = replace(rule, dose=(Dose(0, 2.0),))
    request = Request.by_rule(dosed, (HONEY,), ("malt syrup",), 25.0)
    assert [(each.ingredient, each.grams) for each in asked(request).into] == [("malt syrup", pytest.approx(2.5))]
    assert asked(replace(request, typed={"malt syrup": 7.0})).into[0].grams == 7.0
    assert asked(replace(request, rule=rule)).into[0].grams is None
    swap = asked(replace(request, rule=rule))
    assert (swap.keep, swap.weigh, swap.limits, swap.most) == (rule.keep, rule.weigh, rule.limits, rule.most)
    assert {mover.may_fall for mover in swap.moves} == {1.0}


def test_which_lines_a_rule_takes_out(swapper: Callable[[Formula], Swapper], rules: tuple[Rule, ...]) -> None:
    """The line that was asked for first; of the others each once, in its stage if one is there, and none that is held
    or has no weight.
    """
    lines = (
        Line("white wheat flour", 300.0), Line("wheat bran", 40.0, "soaker"), Line("wheat bran", 0.5),
        Line("wheat germ", 10.0), Line("wheat bran", 30.0), Line("white wheat flour", 0.0), Line("salt", 6.0),
    )  # fmt: skip
    loaf = swapper(Formula("kernel", lines))
    rule = next(rule for rule in rules if rule.id == "wholemeal-wheat-for-white-bran-and-germ")
    found = {line: loaf._out_lines(rule, line, ()) for line in range(len(lines))}
    assert found == {0: (0, 2, 3), 1: (1, 0, 3), 2: (2, 0, 3), 3: (3, 0, 2), 4: (4, 0, 3), 5: None, 6: None}
    for name, line in (("wheat germ", 0), ("wheat bran", 0), ("white wheat flour", 0), ("white wheat flour", 3)):
        assert loaf._out_lines(rule, line, (f"line:{name}",)) is None, name
    twice = replace(rule, out=("wheat bran", "wheat bran", "wheat bran", "salt"))
    assert loaf._out_lines(twice, 1, ("line:honey",)) == (1, 2, 4, 6), "each of three lines once"
    assert loaf._out_lines(replace(twice, out=("wheat bran",) * 4), 1, ()) is None, "there is no fourth"
    two = swapper(Formula("two", (Line("white wheat flour", 300.0), Line("bread flour", 200.0))))
    first = replace(rule, out=("white wheat flour", "kind:white flour"))
    assert two._out_lines(first, 0, ()) == (0, 1), "a line stands in the first slot that takes it"


def test_two_fifths_of_the_flour_poured_are_enough_for_a_culture(swapper: Callable[[Formula], Swapper]) -> None:
    lines = {"white wheat flour": 500.0, "kefir": 100.0, "salt": 9.0}
    for poured, scarce in ((200.0, False), (199.9, True)):
        loaf = swapper(Formula("loaf", tuple(Line(*each) for each in {**lines, "water": poured}.items())))
        assert loaf._wants_more_water(("rye sourdough",), (3,)) is scarce
        assert loaf._wants_more_water(("rye sourdough",), (2,)) is True, "salt is no water"
        assert loaf._wants_more_water(("rye flakes", "honey"), (3,)) is False
        assert loaf._wants_more_water(("honey", "rye sourdough"), (3,)) is scarce


def test_what_the_proof_has_moved_is_counted_in_until_nobody_notices(
    swapper: Callable[[Formula], Swapper], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found is added to what was known; four rounds at most, and what is told is of the last."""
    loaf = swapper(Formula("stages", LINES))
    balance, asked = loaf.balancer.balance, []
    monkeypatch.setattr(loaf.balancer, "balance", lambda swap: asked.append(dict(swap.beyond)) or balance(swap))
    for moves, known in (
        ([{}], [{}]),
        ([{"ph": 0.1}, {"ph": -0.02, "tta": 0.5}, {}], [{}, {"ph": 0.1}, {"ph": pytest.approx(0.08), "tta": 0.5}]),
        ([{"ph": 0.1}] * 9, [{}, {"ph": 0.1}, {"ph": pytest.approx(0.2)}, {"ph": pytest.approx(0.3)}]),
    ):
        left = list(moves)
        asked.clear()
        monkeypatch.setattr(loaf, "_moved_by_proof", lambda *found, left=left: left.pop(0))
        loaf.solve(Request((HONEY,), ("malt syrup",)))
        assert asked == known


def test_what_is_noticed_of_what_the_proof_has_moved(swapper: Callable[[Formula], Swapper]) -> None:
    """Half of what a baker notices of an acidity that is kept, 15 % of one that is held, beside what was expected; what
    weights alone decide, and what nobody keeps, is left.
    """
    loaf = swapper(Formula("stages", LINES))
    value, tolerances = loaf.measured.value, loaf.kitchen.tolerances
    swap = Swap(((HONEY, 40.0),), (), (), False, ("ph", "salt"), ("tta",))
    expected = {"ph": 0.3, "tta": -0.7, "salt": 0.0}

    def moved(keep: Swap = swap, **parts: float) -> dict[str, float]:
        now = {key: value(key) + expected[key] + parts.get(key, 0.0) * tolerances[key].value for key in expected}
        balance, after = SimpleNamespace(deviations=tuple(expected.items())), SimpleNamespace(value=now.get)
        found = loaf._moved_by_proof(keep, balance, after)  # type: ignore[arg-type]
        return {key: by / tolerances[key].value for key, by in found.items()}

    assert moved(ph=0.49, tta=0.14, salt=3.0) == moved(ph=-0.49, tta=-0.14) == {}
    assert moved(ph=0.51, tta=-0.16) == {"ph": pytest.approx(0.51), "tta": pytest.approx(-0.16)}
    assert moved(replace(swap, keep=(), holds=()), ph=5.0, tta=5.0) == {}
    assert moved(replace(swap, keep=("ph", "tta"), holds=("tta",)), tta=0.16) == {"tta": pytest.approx(0.16)}


@pytest.mark.parametrize(
    ("keep", "mass", "outgrown"),
    [
        (("flour_mass",), 1100.0, False),
        (("flour_mass",), 1100.1, True),
        (("tta",), 1900.0, False),
        (None, 1900.0, False),
    ],
)
def test_a_swap_that_keeps_the_flour_makes_a_tenth_more_dough_at_most(
    keep: tuple[str, ...] | None, mass: float, outgrown: bool
) -> None:
    rule = None if keep is None else SimpleNamespace(keep=keep)
    sides = [SimpleNamespace(amount={"mass": grams}.__getitem__) for grams in (1000.0, mass)]
    offer = SimpleNamespace(rule=rule, before=sides[0], after=sides[1])
    assert _outgrows(offer) is outgrown  # type: ignore[arg-type]


def test_what_is_solved_for_a_swap_that_somebody_names(
    swapper: Callable[[Formula], Swapper], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the first rule that fits, its ingredients in the order of its slots and with the water that it brings; else by
    weight, or, where something is held or typed, by every reading, and by weight after all where that leaves something
    out.
    """
    loaf = swapper(Formula("stages", LINES))
    asked: list[Request] = []
    left: list[tuple[str, ...]] = []

    def solve(request: Request) -> SimpleNamespace:
        asked.append(request)
        return SimpleNamespace(left_out=left.pop(0) if left else ())

    monkeypatch.setattr(loaf, "solve", solve)

    def requests(out: tuple[int, ...], *chosen: str, **more: object) -> list[Request]:
        asked.clear()
        loaf.free_swap(out, chosen, **more)  # type: ignore[arg-type]
        return list(asked)

    (by_rule,) = requests((KEFIR,), "cider vinegar", "milk", holds=("ph",), typed={"milk": 90.0})
    assert by_rule.rule is not None and by_rule.chosen == ("milk", "cider vinegar")
    assert (by_rule.out, by_rule.holds, by_rule.typed) == ((KEFIR,), ("ph",), {"milk": 90.0})
    assert by_rule.share_percent == by_rule.rule.share_percent
    (dried,) = requests((MILK,), "milk powder", share_percent=40.0)
    assert dried.rule is not None and (dried.chosen, dried.share_percent) == (("water", "milk powder"), 40.0)
    (plain,) = requests((HONEY,), "walnuts")
    assert (plain.rule, plain.keep, plain.share_percent, plain.chosen) == (None, ("weight",), 100.0, ("walnuts",))
    for more in ({"holds": ("fat",)}, {"typed": {"walnuts": 20.0}}):
        (balanced,) = requests((HONEY,), "walnuts", share_percent=30.0, **more)
        assert (balanced.rule, balanced.keep, balanced.share_percent) == (None, (), 30.0)
        left.append(("walnuts",))
        assert [each.keep for each in requests((HONEY,), "walnuts", **more)] == [(), ("weight",)]


@pytest.mark.parametrize(
    ("out", "chosen", "more", "said"),
    [
        ((), ("milk",), {}, "something that goes out and something that comes in"),
        ((HONEY,), (), {}, "something that goes out and something that comes in"),
        ((HONEY, HONEY), ("milk",), {}, "the same is named twice"),
        ((HONEY,), ("milk", "milk"), {}, "the same is named twice"),
        ((HONEY, KEFIR), ("milk", "kefir"), {}, "kefir goes out and comes in"),
        ((HONEY,), ("milk",), {"typed": {"milk": -0.1}}, "-0.1 g of milk cannot be weighed in"),
        ((HONEY,), ("milk",), {"typed": {"milk": 1_000_001.0}}, "1e[+]06 g of milk cannot be weighed in"),
        ((HONEY, KEFIR), ("milk",), {"holds": ("line:kefir",)}, "kefir is held and cannot go out"),
    ],
)
def test_what_makes_no_sense_is_refused(
    out: tuple[int, ...],
    chosen: tuple[str, ...],
    more: dict[str, Any],
    said: str,
    swapper: Callable[[Formula], Swapper],
) -> None:
    with pytest.raises(InputProblem, match=said):
        swapper(Formula("stages", LINES)).free_swap(out, chosen, **more)
