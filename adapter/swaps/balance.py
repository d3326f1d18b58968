"""Balancing a swap: how much comes in, and what water, salt or flour must move so that the dough stays itself.

The rows of the programme are the readings that count (see tolerances.toml), what the rule keeps and what the baker
holds; each is linear in grams. pH is one of them: holding it at p means that the charges of everything at p sum to
zero.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from adapter.dough.models.leavening import CARBONIC
from adapter.dough.readings.linear import parts_of, sparse_dot
from adapter.dough.readings.measured import ACID_READINGS, Measured, measure
from adapter.dough.readings.stage_uses import Key, key_of
from adapter.dough.readings.totals import Vector
from adapter.formula.model import Formula, Line, scale_step
from adapter.formula.problems import InputProblem
from adapter.swaps.programme import EXACT, Column, Part, Solver, Target
from adapter.swaps.rules import MostOfFlour, ShareLimit

WATER = "water"
LEAVENING = "leavening"
YEAST_HOLDS = ("pace", "rise_time", "yeast")
"""What the yeast sees to after the programme: these are no rows of it."""

SALT = "salt"
SALT_COST = 1000.0
"""Where the salt line may move, salt is met before all but what the baker holds."""

BY_SWAP = ("weight", "dry_weight")
Keys = tuple[str, ...]
MOST_KEPT = 256
KEPT_COST, HELD_COST = 20.0, 200.0
"""When not all can be met, a reading that the rule keeps weighs so much, and one that the baker holds so much."""
AS_WORKED_OUT = 7
"""Decimals of a gram that mean something in what the programme worked out."""
MOST_COMING, MOST_GROWING = 2.0, 1.0
"""No ingredient comes in at more than twice the dough, no line grows by more than the whole of it."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """An ingredient that comes in: its grams unless they are to be found, and how large it may become."""

    ingredient: str
    grams: float | None = None
    hydration: float | None = None


@dataclass(frozen=True, slots=True)
class Mover:
    """A line that may move; one that may only give way stands in for water where the formula has none.

    `may_fall` is the part of it that may go, 1 for all.
    """

    place: int
    may_grow: bool = True
    may_fall: float = 1.0


@dataclass(frozen=True, slots=True)
class Swap:
    """What is asked for: grams going out by line index, what comes in, which lines may move, what is kept or held.

    `beyond` is how far readings move beside what the grams do: by the acids that the changed proof makes.
    """

    out: tuple[tuple[int, float], ...]
    into: tuple[Incoming, ...]
    moves: tuple[Mover, ...]
    new_water: bool
    keep: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    weigh: tuple[tuple[str, float], ...] = ()
    limits: tuple[ShareLimit, ...] = ()
    most: tuple[MostOfFlour, ...] = ()
    beyond: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Unmet:
    """A reading that was to be kept or held and could not be, and by how much it gives way, in its own unit."""

    key: str
    by: float
    held: bool


@dataclass(frozen=True, slots=True)
class Balance:
    """The exact answer, before rounding: the formula after the swap, amounts by column, and what is not met.

    `deviations` are how far each row moves by the programme.
    """

    formula: Formula
    into: tuple[float, ...]
    moved: tuple[tuple[str, float], ...]
    unmet: tuple[Unmet, ...]
    deviations: tuple[tuple[str, float], ...] = ()


class Balancer:
    """Balances swaps of one formula. What each gram of an ingredient does to each row is worked out once."""

    def __init__(self, measured: Measured, solver: Solver) -> None:
        self.measured = measured
        self.solver = solver
        self._effects: dict[Key, Effects] = {}
        self._targets_of: dict[tuple[object, ...], list[Target]] = {}
        self._rows: dict[str, Callable[[Vector], float]] = {}
        self.soft = [
            key
            for key, tolerance in measured.kitchen.tolerances.items()
            if self.is_linear(key) and tolerance.counts(measured.book.value(key))
        ]

    def balance(self, swap: Swap) -> Balance:
        """Solve a swap. Raises InputProblem for a hold that no amount can meet by its nature."""
        holds = tuple(key for key in swap.holds if key not in YEAST_HOLDS)
        for key in holds:
            if not self.is_linear(key):
                raise InputProblem(
                    f"{key} cannot be held by weights alone",
                    right="hold ph, tta, effective_hydration, sugar …",
                )
        keys = tuple(dict.fromkeys((*self.soft, *swap.keep, *holds)))
        columns, names = self._columns(swap, keys)
        targets = self._targets(swap, keys, holds)
        parts = share_parts(swap.limits, range(len(swap.into)))
        try:
            solution = self.solver.solve(columns, targets, parts)
        except ArithmeticError:
            raise InputProblem("these amounts do not fit the limits of the swap", right="type fewer of them") from None
        incoming = len(swap.into)
        moved = tuple(zip(names[incoming:], solution.amounts[incoming:], strict=True))
        formula = self._apply(swap, solution.amounts)
        deviations = tuple(zip(keys, solution.deviations, strict=True))
        missed = {
            key: deviation
            for key, deviation in deviations
            if (key in holds or key in swap.keep) and abs(deviation) > EXACT
        }
        return Balance(formula, solution.amounts[:incoming], moved, self._unmet(missed, formula, holds), deviations)

    def _unmet(self, missed: dict[str, float], formula: Formula, holds: Sequence[str]) -> tuple[Unmet, ...]:
        """By how much each reading that was missed differs, in its own unit: read from the exact formula."""
        if not missed:
            return ()
        before = self.measured
        after = measure(before.kitchen, formula, before.book)
        found = []
        for key, deviation in missed.items():
            if key in BY_SWAP:
                change = deviation * before.amount("flour") / 100.0
            else:
                change = after.value(key) - before.value(key)
            found.append(Unmet(key, change, key in holds))
        return tuple(found)

    def is_linear(self, key: str) -> bool:
        """Whether a reading or quantity can be a row of the programme."""
        return key in BY_SWAP or key in self.measured.kitchen.keepable

    def _targets(self, swap: Swap, keys: Keys, holds: tuple[str, ...]) -> list[Target]:
        """The rows, kept: a rule's swaps differ in what comes in, and seldom in what goes out or is kept."""
        salt_moves = any(self._line(mover.place).ingredient == SALT for mover in swap.moves)
        asked = (keys, holds, swap.out, swap.keep, swap.weigh, swap.beyond, salt_moves)
        found = self._targets_of.get(asked)
        if found is None:
            if len(self._targets_of) >= MOST_KEPT:
                self._targets_of.clear()
            found = self._targets_of[asked] = self._make_targets(swap, keys, holds, salt_moves)
        return found

    def _make_targets(self, swap: Swap, keys: Keys, holds: tuple[str, ...], salt_moves: bool) -> list[Target]:
        gone = [(grams, self.effects(self._line(place))) for place, grams in swap.out]
        beyond, weigh = dict(swap.beyond), dict(swap.weigh)
        targets = []
        for key in keys:
            start = beyond.get(key, 0.0) - sum([grams * effects[key] for grams, effects in gone])
            tolerance = self.measured.kitchen.tolerances.get(key)
            size = tolerance.value if tolerance else 1.0
            weight = weigh.get(key, tolerance.weight if tolerance and key in self.soft else 1.0)
            if key in holds:
                targets.append(Target(start, HELD_COST / size, True))
            elif key == SALT and salt_moves:
                # Salt moves to make good the salt that comes and goes; it is no lever for sourness or weight.
                targets.append(Target(start, SALT_COST / size, True))
            elif key in swap.keep:
                targets.append(Target(start, KEPT_COST * weight / size, True))
            else:
                targets.append(Target(start, weight / size))
        return targets

    def _columns(self, swap: Swap, keys: Keys) -> tuple[list[Column], list[str]]:
        def moving(line: Line) -> tuple[float, ...]:
            return self.effects(line).moving(keys)

        flour, mass = self.measured.amount("flour"), self.measured.amount("mass")
        stage = self._line(swap.out[0][0]).stage
        bounds = {limit.slot: limit.percent_flour * flour / 100.0 for limit in swap.most}
        columns, names = [], []
        for slot, incoming in enumerate(swap.into):
            line = Line(incoming.ingredient, 0.0, stage, hydration=incoming.hydration)
            low, high = 0.0, bounds.get(slot, MOST_COMING * mass)
            if incoming.grams is not None:
                low = high = incoming.grams
            columns.append(Column(self.effects(line).on(keys), low, high))
            names.append(incoming.ingredient)
        for mover in swap.moves:
            line = self._line(mover.place)
            columns.append(
                Column(moving(line), -mover.may_fall * line.grams, MOST_GROWING * mass if mover.may_grow else 0.0)
            )
            names.append(line.ingredient)
        if swap.new_water:
            columns.append(Column(moving(Line(WATER, 0.0)), 0.0, MOST_GROWING * mass))
            names.append(WATER)
        return columns, names

    def _line(self, place: int) -> Line:
        return self.measured.formula.lines[place]

    def effects(self, line: Line) -> Effects:
        """What one gram of a line does to each row, in the unit of the reading; what the proof makes stays as it is."""
        key = key_of(line, self.measured.uses)
        found = self._effects.get(key)
        if found is None:
            found = self._effects[key] = Effects(self, line)
        return found

    def row_of(self, line: Line, key: str) -> float:
        """What one gram of a line does to a row, worked out anew."""
        vector = self.measured.kitchen.composer.vector(line, self.measured.uses)
        if key in ACID_READINGS:
            vector = self.without_gas(line, vector)
        row = self._rows.get(key)
        if row is None:
            row = self._rows[key] = self._row(key)
        return row(vector)

    def without_gas(self, line: Line, vector: Vector) -> Vector:
        """What soda and powder bring without their carbonate: it goes off as gas, and what stays is found when all is
        read again.
        """
        if LEAVENING not in self.measured.kitchen.catalogue.get(line.ingredient).kinds:
            return vector
        place = self.measured.layout.index[CARBONIC]
        return (*vector[:place], 0.0, *vector[place + 1 :])

    def _row(self, key: str) -> Callable[[Vector], float]:
        measured = self.measured
        if key in BY_SWAP:
            index, per = measured.layout.index, 100.0 / measured.amount("flour")
            water = index["water"] if key == "dry_weight" else None
            mass = index["mass"]
            return lambda vector: per * (vector[mass] - (vector[water] if water is not None else 0.0))
        parts = parts_of(measured.row(key))
        return lambda vector: sparse_dot(parts, vector)

    def _apply(self, swap: Swap, amounts: Sequence[float]) -> Formula:
        formula = self.measured.formula
        gone = dict(swap.out)
        incoming = len(swap.into)
        shifts = dict(zip((mover.place for mover in swap.moves), amounts[incoming:], strict=False))
        lines: list[Line | None] = []
        for place, line in enumerate(formula.lines):
            if place not in gone and not shifts.get(place):
                lines.append(line)
                continue
            grams = max(line.grams - gone.get(place, 0.0) + shifts.get(place, 0.0), 0.0)
            vanished = place in gone and not round(grams, AS_WORKED_OUT)
            lines.append(None if vanished else line.with_grams(grams))
        first = swap.out[0][0]
        stage = formula.lines[first].stage
        arrivals = [
            (first, Line(item.ingredient, grams, stage, hydration=item.hydration))
            for item, grams in zip(swap.into, amounts, strict=False)
        ]
        if swap.new_water:
            arrivals.append((first, Line(WATER, amounts[-1], stage)))
        return formula.with_lines(merge(lines, arrivals))


class Effects(dict[str, float]):
    """What one gram of a line does to each row, worked out when it is first asked for."""

    def __init__(self, balancer: Balancer, line: Line) -> None:
        self._balancer, self._line = balancer, line
        self._on: dict[Keys, tuple[float, ...]] = {}
        self._moving: dict[Keys, tuple[float, ...]] = {}

    def on(self, keys: Keys) -> tuple[float, ...]:
        """What a gram that comes in does to these rows."""
        found = self._on.get(keys)
        if found is None:
            found = self._on[keys] = tuple([self[key] for key in keys])
        return found

    def moving(self, keys: Keys) -> tuple[float, ...]:
        """What a gram of a line that moves does to these rows: what is kept of the swap alone does not count it."""
        found = self._moving.get(keys)
        if found is None:
            found = self._moving[keys] = tuple([0.0 if key in BY_SWAP else self[key] for key in keys])
        return found

    def __missing__(self, key: str) -> float:
        found = self[key] = self._balancer.row_of(self._line, key)
        return found


def merge(lines: Sequence[Line | None], arrivals: Sequence[tuple[int, Line]]) -> list[Line]:
    """Put arrivals into the lines: added to a line of the same thing in the same stage, or standing after a place.

    Each arrival comes with the place of the line it follows. A line that is None has gone; arrivals of no weight are
    left out.
    """
    merged = list(lines)
    following: dict[int, list[Line]] = {}
    for at, arrival in arrivals:
        if arrival.grams <= 0:
            continue
        standing = next((place for place, line in enumerate(merged) if line and line.same_thing(arrival)), None)
        if standing is not None:
            line = merged[standing]
            assert line is not None
            merged[standing] = line.with_grams(line.grams + arrival.grams)
            continue
        for fresh in following.values():
            for number, other in enumerate(fresh):
                if other.same_thing(arrival):
                    fresh[number] = other.with_grams(other.grams + arrival.grams)
                    break
            else:
                continue
            break
        else:
            following.setdefault(at, []).append(arrival)
    result: list[Line] = []
    for place, line in enumerate(merged):
        if line is not None:
            result.append(line)
        result.extend(following.get(place, ()))
    return result


def share_parts(limits: Sequence[ShareLimit], places: Sequence[int]) -> list[Part]:
    """slot >= low x all that comes in, and slot <= high x all that comes in; `places` are the slots' columns."""
    parts = []
    for limit in limits:
        for bound, sign in ((limit.low, 1.0), (limit.high, -1.0)):
            if (sign > 0 and bound <= 0.0) or (sign < 0 and bound >= 1.0):
                continue
            parts.append(Part({place: sign * ((slot == limit.slot) - bound) for slot, place in enumerate(places)}))
    return parts


def scale_grams(grams: float) -> float:
    """What a kitchen scale shows. A half gram is one however the programme came to it, so that 12.5 g for 12.5 g are
    alike on the scale too.
    """
    grams = round(grams, AS_WORKED_OUT)
    return round(grams, 1) if scale_step(grams) < 1.0 else float(round(grams))


def rounded(before: Formula, after: Formula, never_nothing: Collection[str] = ()) -> Formula:
    """The formula with every weight that the swap changed rounded to the scale; the others stay as written.

    A change of less than half a step of the scale is no change: the line keeps its old weight, as it was written. The
    ingredients of `never_nothing` are never rounded away: they keep one step of the scale.
    """
    old_lines: dict[tuple[str, str, float | None], list[Line]] = {}
    for line in before.lines:
        old_lines.setdefault((line.ingredient, line.stage, line.hydration), []).append(line)
    lines = []
    for line in after.lines:
        old = old_lines.get((line.ingredient, line.stage, line.hydration), [])
        if any(each.grams == line.grams for each in old):
            lines.append(line)
            continue
        near = [each for each in old if abs(each.grams - line.grams) < 0.5 * scale_step(each.grams)]
        if near:
            kept = min(near, key=lambda each: abs(each.grams - line.grams))
            lines.append(replace(line, grams=kept.grams, amount=kept.amount))
            continue
        grams = scale_grams(line.grams)
        if grams == 0 and line.grams > 0 and line.ingredient in never_nothing:
            grams = scale_step(line.grams)
        if grams > 0 or old:
            lines.append(line.with_grams(grams))
    return replace(after, lines=tuple(lines))
