"""What is written down: a formula, its lines, its tin, proof and bake.

All of it is frozen: a swap makes a new formula, so that undo is an index into a list and two variants share
what they have in common. Amounts are grams, lengths metres, temperatures degrees Celsius.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

DEFAULT_STAGE = "dough"


@dataclass(frozen=True, slots=True)
class Line:
    """One ingredient with its grams, inside a stage.

    `hydration` is a sourdough's water in % of its flour (None: the catalogue's); `temperature_c` is the
    ingredient's own temperature when it goes in (None: by how it is stored); `reaches` is how much of a fruit's sugar
    and acid reaches the dough, in % (None: the catalogue's: whole fruit keeps most of it).
    """

    ingredient: str
    grams: float
    stage: str = DEFAULT_STAGE
    note: str = ""
    hydration: float | None = None
    temperature_c: float | None = None
    amount: str | None = None
    reaches: float | None = None

    def with_grams(self, grams: float) -> Line:
        """The same line with another weight; a written amount ("2 cups") no longer holds and is dropped."""
        if grams == self.grams:
            return self
        # Written out: `replace` takes five times as long, and a list of swaps weighs hundreds of lines.
        return Line(
            self.ingredient, grams, self.stage, self.note, self.hydration, self.temperature_c, None, self.reaches
        )

    def same_thing(self, other: Line) -> bool:
        """Whether both lines could be weighed together: same ingredient, stage, hydration, and mashed or whole."""
        return (
            self.ingredient == other.ingredient
            and self.stage == other.stage
            and self.hydration == other.hydration
            and self.reaches == other.reaches
        )


def scale_step(grams: float) -> float:
    """The step of a kitchen scale at a weight: whole grams, tenths below 10 g."""
    return 0.1 if grams < 9.95 else 1.0


STAGE_KINDS = ("sourdough", "yeast preferment", "poolish", "sponge", "biga", "old dough", "soaker", "dough")
"""What a stage can be, as bakers call it; poolish, sponge and biga are yeast preferments.

A living kind has its row in stage_kinds.toml besides. A stage whose name begins like a living kind is of that kind.
"""

LIVING_KINDS = frozenset(STAGE_KINDS) - {"soaker", "dough"}
"""Kinds that ferment before they go into the dough: their flour is prefermented."""


@dataclass(frozen=True, slots=True)
class Spell:
    """Some hours of a stage in a place of one temperature."""

    hours: float
    temperature_c: float


@dataclass(frozen=True, slots=True)
class StagePlan:
    """How long and how warm a stage stands, and of what kind it is (None: by its name and lines).

    `temperature_c` is one warmth for all its hours; `spells` are several, one after the other. Without hours nothing
    is worked out for it: a stage named sourdough is taken as ripe.
    """

    name: str
    kind: str | None = None
    hours: float | None = None
    temperature_c: float | None = None
    spells: tuple[Spell, ...] = ()

    @property
    def total_hours(self) -> float | None:
        return sum(spell.hours for spell in self.spells) if self.spells else self.hours


STRAIGHT_TIN = ("length_cm", "width_cm", "height_cm")
SLANTED_TIN = ("top_length_cm", "top_width_cm", "bottom_length_cm", "bottom_width_cm", "height_cm")
"""How the measures of a tin are called where people write them; a slanted one is wider at the rim."""


@dataclass(frozen=True, slots=True)
class Tin:
    """Inside measures in metres, at the rim and at the base, and whether a lid closes it."""

    top_length_m: float
    top_width_m: float
    bottom_length_m: float
    bottom_width_m: float
    height_m: float
    lidded: bool = False


@dataclass(frozen=True, slots=True)
class Proof:
    """Where a dough rises and how far; None: as its class of loaf does."""

    temperature_c: float | None = None
    rise_percent: float | None = None


@dataclass(frozen=True, slots=True)
class Bake:
    """Temperatures of the oven and of the core when it is done; None: those of its class of loaf."""

    oven_c: float | None = None
    core_c: float | None = None


@dataclass(frozen=True, slots=True)
class Amount:
    """Grams of an ingredient that go out of, come into or move in a formula (moves are signed)."""

    ingredient: str
    grams: float


@dataclass(frozen=True, slots=True)
class Step:
    """One recorded change of a formula, as it is written into a saved variant.

    `kind` is "swap", "amount" (a weight typed over), "scale" or "pantry" (several swaps at once). The amounts are
    what really happened, after rounding.
    """

    kind: str
    out: tuple[Amount, ...] = ()
    into: tuple[Amount, ...] = ()
    moved: tuple[Amount, ...] = ()
    rule: str | None = None
    share_percent: float = 100.0
    holds: tuple[str, ...] = ()
    yeast_before_g: float | None = None
    yeast_after_g: float | None = None


@dataclass(frozen=True, slots=True)
class Adapted:
    """Where a variant comes from: the book formula's name and lines, and the ordered steps since."""

    origin: str
    book_lines: tuple[Line, ...]
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula: lines in the order they are written, with tin, proof and bake.

    `extra` keeps what a person's file holds beyond our own keys, so that saving loses nothing. `reasons` says
    of a reading (by its key) why it lies outside its band on purpose.
    """

    name: str
    lines: tuple[Line, ...]
    pieces: int = 1
    tin: Tin | None = None
    proof: Proof = field(default_factory=Proof)
    bake: Bake = field(default_factory=Bake)
    note: str = ""
    reasons: tuple[tuple[str, str], ...] = ()
    adapted: Adapted | None = None
    plans: tuple[StagePlan, ...] = ()
    extra: dict[str, Any] = field(default_factory=dict, compare=False)

    def stages(self) -> tuple[str, ...]:
        """Stage names in order of first appearance."""
        return tuple(dict.fromkeys(line.stage for line in self.lines))

    def plan_of(self, stage: str) -> StagePlan | None:
        """How a stage is planned; None where nothing is written down of it."""
        return next((plan for plan in self.plans if plan.name == stage), None)

    def with_plan(self, plan: StagePlan) -> Formula:
        """The same formula with another plan of that stage."""
        others = [old for old in self.plans if old.name != plan.name]
        return replace(self, plans=tuple(sorted((*others, plan), key=lambda each: each.name)))

    def with_lines(self, lines: Iterable[Line]) -> Formula:
        return replace(self, lines=tuple(lines))

    def book(self) -> Formula:
        """The formula this one was adapted from; itself when it is a book formula."""
        if self.adapted is None:
            return self
        return replace(self, name=self.adapted.origin, lines=self.adapted.book_lines, adapted=None)

    def find(self, ingredient: str) -> Iterator[int]:
        """Indices of the lines of an ingredient."""
        return (i for i, line in enumerate(self.lines) if line.ingredient == ingredient)

    def dough_grams(self) -> float:
        return sum(line.grams for line in self.lines)
