"""Making offers: the rules that fit a line, each balanced, rounded, read and set against the book formula."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import permutations

from adapter.dough.allergens import allergens, group_of
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import ACID_READINGS, Measured, measure
from adapter.formula.model import Amount, Formula, scale_step
from adapter.formula.pantry import Pantry
from adapter.formula.problems import InputProblem
from adapter.swaps.balance import WATER, YEAST_HOLDS, Balance, Balancer, Incoming, Mover, Swap, Unmet, rounded
from adapter.swaps.comparison import shifts_between
from adapter.swaps.likeness import Likeness
from adapter.swaps.offer import Offer
from adapter.swaps.order import in_order
from adapter.swaps.programme import EXACT, Solver
from adapter.swaps.request import DEFAULT_MOVES, LINE_HOLD, Request
from adapter.swaps.rules import Rule, fits
from adapter.swaps.variant import LARGEST_GRAMS
from adapter.swaps.yeast import keep_rise_time, keep_yeast_percent, yeast_grams, yeast_lines

MOST_ROUNDS = 4
NOTICED, HELD_NOTICED = 0.5, 0.15
"""A kept reading, and one that the baker holds, are put right when the proof has moved them by more tolerances [A]."""

GLUTEN = "gluten"
"""The allergen group of wheat, rye, barley, oats and their kin; a member is written after a colon."""

FREE_FALL = 0.5
"""A swap that no rule bounds takes at most this part of a line that only gives way [A]."""

SCARCE_WATER = 0.4
"""Poured water below this part of the flour may not do for a culture that comes in: other liquid gives way too [A]."""

MOST_GROWTH = 1.1
"""A swap that was to keep the flour and makes more dough than this, over that before, finds no room in it [A]."""


class Swapper:
    """Makes offers for one formula. Keeps what all its swaps share, so that a whole list is quick."""

    def __init__(self, kitchen: Kitchen, rules: Sequence[Rule], formula: Formula, solver: Solver) -> None:
        self.kitchen = kitchen
        self.rules = rules
        self.formula = formula
        self.measured = measure(kitchen, formula)
        self.yeasts = yeast_lines(formula, kitchen.catalogue)
        self.balancer = Balancer(self.measured, solver)
        self.likeness = Likeness(self.balancer)
        self.has_gluten = any(group_of(each) == GLUTEN for each in allergens(self.measured))
        self._places: dict[str, tuple[int, ...]] = {}

    def offers(
        self, line: int, share_percent: float | None = None, holds: Sequence[str] = (), pantry: Pantry | None = None
    ) -> list[Offer]:
        """Every offer for a line, in the order in which a baker would reach for them (see order.py).

        `holds` are reading keys and "line:NAME" for lines.
        """
        found = []
        for rule, out, chosen in self.likeness.likeliest(self.fitting(line, holds)):
            offer = self.solve(Request.by_rule(rule, out, chosen, share_percent, tuple(holds)), listed=True)
            # One that leaves an ingredient out is another rule's swap.
            if len(offer.into) == len(chosen) and not _outgrows(offer):
                found.append(offer)
        return in_order(found, pantry)

    def fitting(self, line: int, holds: Sequence[str]) -> Iterator[tuple[Rule, tuple[int, ...], tuple[str, ...]]]:
        """Every rule that fits a line, with the places of the lines it takes out and each choice of what comes in."""
        for rule in self.rules:
            out = self._out_lines(rule, line, holds)
            if out is None:
                continue
            going = frozenset(self.formula.lines[place].ingredient for place in out)
            for chosen in self.likeness.choices(rule, out, rule.members(self.kitchen.catalogue, going)):
                if any(f"{LINE_HOLD}{name}" in holds for name in chosen):  # what comes in would move a held line
                    continue
                if not (self._is_free_of_gluten(out) and any(map(self._has_gluten, chosen))):
                    yield rule, out, chosen

    def _is_free_of_gluten(self, out: Sequence[int]) -> bool:
        """A dough without gluten, and a flour without it, are offered none; who wants it asks for it by name."""
        if not self.has_gluten:
            return True
        names = [self.formula.lines[place].ingredient for place in out]
        flours = [name for name in names if self.kitchen.catalogue.get(name).property("flour") > 0]
        return bool(flours) and not any(map(self._has_gluten, names))

    def _has_gluten(self, name: str) -> bool:
        return any(group_of(each) == GLUTEN for each in self.kitchen.catalogue.get(name).allergens)

    def _out_lines(self, rule: Rule, line: int, holds: Sequence[str]) -> tuple[int, ...] | None:
        """The lines that a rule takes out, the chosen line among them; None where the rule does not fit."""
        catalogue, lines = self.kitchen.catalogue, self.formula.lines
        chosen: int | None = None
        for number, slot in enumerate(rule.out):
            if rule.takes(slot, lines[line].ingredient, catalogue):
                chosen = number
                break
        if chosen is None or self._is_held(line, holds) or lines[line].grams <= 0:
            return None
        places: list[int] = []
        for number, slot in enumerate(rule.out):
            if number == chosen:
                continue
            candidates = [
                place
                for place, other in enumerate(lines)
                if place != line
                and place not in places
                and other.grams > 0
                and rule.takes(slot, other.ingredient, catalogue)
                and not self._is_held(place, holds)
            ]
            if not candidates:
                return None
            same_stage = [place for place in candidates if lines[place].stage == lines[line].stage]
            places.append((same_stage or candidates)[0])
        return (line, *places)

    def _is_held(self, place: int, holds: Sequence[str]) -> bool:
        return f"{LINE_HOLD}{self.formula.lines[place].ingredient}" in holds

    def offer(
        self,
        line: int,
        rule: Rule,
        chosen: Sequence[str],
        share_percent: float | None = None,
        holds: Sequence[str] = (),
        typed: Mapping[str, float] | None = None,
    ) -> Offer:
        """A rule with its incoming ingredients chosen. `typed` fixes the grams of an incoming ingredient."""
        out = self._out_lines(rule, line, holds)
        if out is None:
            raise InputProblem(f"the rule {rule.id} does not fit {self.formula.lines[line].ingredient}")
        return self.solve(Request.by_rule(rule, out, tuple(chosen), share_percent, tuple(holds), typed))

    def offer_again(
        self, offer: Offer, share_percent: float, holds: Sequence[str] = (), typed: Mapping[str, float] | None = None
    ) -> Offer:
        """An offer of this formula worked out anew for another share, other holds or typed amounts."""
        return self.solve(replace(offer.request, share_percent=share_percent, holds=tuple(holds), typed=typed or {}))

    def refined(self, offer: Offer) -> Offer:
        """An offer of a list as it is shown and taken: with its own proof followed hour by hour."""
        return replace(self.solve(offer.request), says=offer.says) if offer.listed else offer

    def free_swap(
        self,
        out: Sequence[int],
        chosen: Sequence[str],
        share_percent: float | None = None,
        holds: Sequence[str] = (),
        typed: Mapping[str, float] | None = None,
    ) -> Offer:
        """Any ingredients for any lines: by the rule that fits, what is dried with the water that its rule brings too.
        Without one it is weight for weight as long as nothing is held or typed, else balanced on every reading."""
        self._check_names(out, chosen, typed or {})
        for place in out:
            if self._is_held(place, holds):
                raise InputProblem(f"{self.formula.lines[place].ingredient} is held and cannot go out")
        watered = (chosen,) if WATER in (*chosen, *self._names(out)) else (chosen, (*chosen, WATER))
        for names in watered:
            for rule in self.rules:
                ordered = self._order_for(rule, out, names)
                if ordered is not None:
                    by_rule = Request.by_rule(rule, tuple(out), ordered, share_percent, tuple(holds), typed)
                    return self._answered(by_rule)
        share = 100.0 if share_percent is None else share_percent
        request = Request(tuple(out), tuple(chosen), None, share, tuple(holds), typed=typed or {})
        if not holds and not typed:
            return self._answered(replace(request, keep=("weight",)))
        offer = self.solve(request)
        if not offer.left_out:
            return offer
        # Some of it helps no reading: the baker wants it all the same, so they come in weight for weight.
        return self._answered(replace(request, keep=("weight",)))

    def _answered(self, request: Request) -> Offer:
        """The swap, when everything asked for comes in. Raises InputProblem, naming what gets nothing."""
        offer = self.solve(request)
        if offer.left_out:
            name = offer.left_out[0]
            right = f"--grams {name}=GRAMS, or leave {name} out of the request"
            if request.holds:
                right = "fewer holds, or " + right
            raise InputProblem(f"no {name} would come in: nothing that is kept or held calls for any", right=right)
        return offer

    def _check_names(self, out: Sequence[int], chosen: Sequence[str], typed: Mapping[str, float]) -> None:
        going = self._names(out)
        if not going or not chosen:
            raise InputProblem("a swap needs something that goes out and something that comes in")
        if len(set(out)) < len(out) or len(set(chosen)) < len(chosen):
            raise InputProblem("the same is named twice", right="each line and each ingredient once")
        both = sorted(set(going) & set(chosen))
        if both:
            raise InputProblem(f"{both[0]} goes out and comes in", right="take a smaller share of it out")
        for name, grams in typed.items():
            if not 0 <= grams <= LARGEST_GRAMS:
                raise InputProblem(f"{grams:g} g of {name} cannot be weighed in", right="0 g to 1,000,000 g")

    def _names(self, places: Sequence[int]) -> list[str]:
        return [self.formula.lines[place].ingredient for place in places]

    def _order_for(self, rule: Rule, out: Sequence[int], chosen: Sequence[str]) -> tuple[str, ...] | None:
        """The chosen ingredients in the order of a rule's slots; None where the rule is for something else."""
        going = self._names(out)
        if self._arranged(rule.out, going, rule.stays) is None:
            return None
        return self._arranged(rule.into, chosen, rule.excluded)

    def _arranged(self, slots: Sequence[str], names: Sequence[str], excluded: frozenset[str]) -> tuple[str, ...] | None:
        if len(slots) != len(names):
            return None
        for order in permutations(names):
            if all(
                fits(slot, name, self.kitchen.catalogue) and (slot == name or name not in excluded)
                for slot, name in zip(slots, order, strict=True)
            ):
                return order
        return None

    def solve(self, request: Request, listed: bool = False) -> Offer:
        """A swap balanced, rounded to the scale, its yeast put right, and read.

        What the proof makes of acid is fixed while the programme solves; then all is read again, and where a reading
        that is to be kept has moved by it, the programme is asked once more with that movement counted in. What is
        `listed` takes the proof of the formula now, scaled, for its own.
        """
        before, holds, out = self.measured, request.holds, request.out
        follows = not any(self._is_held(place, holds) for place in self.yeasts)
        swap = self._swap(request)
        for _ in range(MOST_ROUNDS):
            balance = self.balancer.balance(swap)
            after = self._read(balance.formula, holds, follows, before if listed else None)
            moved = self._moved_by_proof(swap, balance, after)
            if not moved:
                break
            counted = dict(swap.beyond)
            swap = replace(swap, beyond=tuple((key, counted.get(key, 0.0) + by) for key, by in moved.items()))
        unmet = [*balance.unmet, *_unmet_by_yeast(before, after, holds, follows)]
        shifts = shifts_between(self.formula, after.formula)
        going = {self.formula.lines[place].ingredient for place in out}
        coming = [name for name in request.chosen if shifts.get(name, 0.0) > 0]
        return Offer(
            request,
            before,
            after,
            balance.formula,
            tuple(Amount(name, -grams) for name, grams in shifts.items() if name in going and grams < 0),
            tuple(Amount(name, shifts[name]) for name in coming),
            tuple(
                Amount(name, grams)
                for name, grams in shifts.items()
                # Yeast that follows may outweigh what went out or came in of it.
                if (name not in going or grams > 0) and (name not in request.chosen or grams < 0)
            ),
            tuple(unmet),
            tuple(
                name
                for name, grams in zip(request.chosen, balance.into, strict=True)
                if grams < 0.5 * scale_step(grams) and name not in coming and request.typed.get(name) != 0
            ),
            listed=listed,
        )

    def _read(self, exact: Formula, holds: Sequence[str], follows: bool, near: Measured | None) -> Measured:
        """The formula after a swap, rounded to the scale, with its yeast following."""
        before, yeasts = self.measured, self.kitchen.catalogue.of_kind("yeast")
        after = measure(self.kitchen, rounded(self.formula, exact, yeasts), before.book, near)
        if follows and "yeast" in holds:
            return keep_yeast_percent(before, after)
        return keep_rise_time(before, after) if follows else after

    def _moved_by_proof(self, swap: Swap, balance: Balance, after: Measured) -> dict[str, float]:
        """By how much kept readings of acid have moved beside what the programme knew of; what nobody notices is none.

        Empty too where nothing of it could be made good: then the programme has said what it misses.
        """
        found = {}
        for key, expected in balance.deviations:
            if key in ACID_READINGS and (key in swap.keep or key in swap.holds):
                by = after.value(key) - self.measured.value(key) - expected
                noticed = HELD_NOTICED if key in swap.holds else NOTICED
                if abs(by) > noticed * self.kitchen.tolerances[key].value:
                    found[key] = by
        return found

    def typical_amounts(self, rule: Rule, out: tuple[int, ...], chosen: Sequence[str]) -> tuple[float, ...]:
        """Grams of each incoming ingredient when a rule takes the whole of its lines, before rounding."""
        return self.balancer.balance(self._swap(Request.by_rule(rule, out, tuple(chosen), 100.0))).into

    def _swap(self, request: Request) -> Swap:
        """What the balancing programme is asked."""
        rule, moves = request.rule, request.moves
        held_readings = tuple(hold for hold in request.holds if not hold.startswith(LINE_HOLD))
        if not set(held_readings) <= set(YEAST_HOLDS):
            # what the baker holds needs room to be met, whatever the rule lets move
            moves = tuple(dict.fromkeys((*moves, *DEFAULT_MOVES)))
        movers, new_water = self._movers(request, moves)
        share = request.share_percent
        flour = self.measured.amount("flour") * share / 10_000.0
        doses = {dose.slot: dose.percent_flour * flour for dose in rule.dose} if rule else {}
        return Swap(
            tuple((place, self.formula.lines[place].grams * share / 100.0) for place in request.out),
            tuple(Incoming(name, request.typed.get(name, doses.get(slot))) for slot, name in enumerate(request.chosen)),
            movers,
            new_water,
            rule.keep if rule else request.keep,
            held_readings,
            rule.weigh if rule else (),
            rule.limits if rule else (),
            rule.most if rule else (),
        )

    def _movers(self, request: Request, moves: Sequence[str]) -> tuple[tuple[Mover, ...], bool]:
        """The lines that may move: one for each name or kind, in the stage of the swap where there is one there."""
        out, chosen, holds = request.out, request.chosen, request.holds
        lines = self.formula.lines
        stage = lines[out[0]].stage
        settled = {*chosen, *(lines[place].ingredient for place in out)}  # what goes out must not move back in
        places: list[int] = []
        new_water = False
        for slot in moves:
            candidates = [
                place
                for place in self._fitting(slot)
                if place not in out
                and place not in places
                and lines[place].ingredient not in settled
                and not self._is_held(place, holds)
            ]
            here = [place for place in candidates if lines[place].stage == stage]
            if slot == WATER and not here:
                new_water = WATER not in settled and f"{LINE_HOLD}{WATER}" not in holds
            elif candidates:
                places.append(max(here or candidates, key=lambda place: lines[place].grams))
        movers = [Mover(place) for place in places]
        scarce = new_water or self._wants_more_water(chosen, places)
        liquid = self._liquid_instead(out, chosen, places, holds) if scarce else None
        if liquid is not None:
            movers.append(Mover(liquid, may_grow=False))
        if request.rule is None:  # a swap that no rule bounds takes nothing away that it was not asked to
            movers = [replace(mover, may_fall=FREE_FALL) for mover in movers]
        return tuple(movers), new_water

    def _fitting(self, slot: str) -> tuple[int, ...]:
        """Places of the lines that a slot may move; water moves as water, not as some liquid."""
        found = self._places.get(slot)
        if found is None:
            found = self._places[slot] = tuple(
                place
                for place, line in enumerate(self.formula.lines)
                if fits(slot, line.ingredient, self.kitchen.catalogue) and (line.ingredient != WATER or slot == WATER)
            )
        return found

    def _wants_more_water(self, chosen: Sequence[str], moving: Sequence[int]) -> bool:
        """Whether a culture comes in whose water the poured water may be too little to give."""
        if all(self.kitchen.catalogue.get(name).preferment is None for name in chosen):
            return False
        lines = [self.formula.lines[place] for place in moving]
        poured = sum(line.grams for line in lines if line.ingredient == WATER)
        return poured < SCARCE_WATER * self.measured.amount("flour")

    def _liquid_instead(
        self, out: Sequence[int], chosen: Sequence[str], moving: Sequence[int], holds: Sequence[str]
    ) -> int | None:
        """What gives way where the stage has no water to take out: its largest liquid, else another stage's water."""
        lines = self.formula.lines
        stage = lines[out[0]].stage
        candidates = [
            place
            for place, line in enumerate(lines)
            if (line.stage == stage or line.ingredient == WATER)
            and place not in out
            and place not in moving
            and line.ingredient not in chosen
            and "liquid" in self.kitchen.catalogue.get(line.ingredient).kinds
            and not self._is_held(place, holds)
        ]
        here = [place for place in candidates if lines[place].stage == stage]
        return max(here or candidates, key=lambda place: lines[place].grams, default=None)


def _unmet_by_yeast(before: Measured, after: Measured, holds: Sequence[str], follows: bool) -> list[Unmet]:
    """Holds that are the yeast's to meet and that it does not; what half a step of the scale leaves is no miss."""
    held = [key for key in YEAST_HOLDS if key in holds]
    if not held:
        return []
    grams = yeast_grams(after)
    leeway = 1.5 * 0.5 * scale_step(grams) / grams if follows and grams > 0 else 0.0
    found = []
    for key in held:
        first, second = before.value(key), after.value(key)
        if first != second and not abs(second - first) <= leeway * first + EXACT:
            found.append(Unmet(key, second - first, True))
    return found


def _outgrows(offer: Offer) -> bool:
    """Whether a swap that keeps the flour could not take it out of the dough, of which there is too little."""
    if offer.rule is None or "flour_mass" not in offer.rule.keep:
        return False
    return offer.after.amount("mass") > MOST_GROWTH * offer.before.amount("mass")
