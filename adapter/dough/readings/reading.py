"""What a reading is: one object that says how a number is called, shown, worked out and explained, and how sure it is.

A reading that is linear in grams is a `LinearReading`; any other is a class of its own that has `value`, `gradient`,
`brings` and `working`. Each stands in the module of its family, and the registry puts the families in order.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from adapter.dough.models.proof import Rise
from adapter.dough.readings.linear import Quantity, Share, sparse_dot
from adapter.dough.readings.loaf import BakeConditions
from adapter.dough.readings.totals import Layout, Vector
from adapter.formula.catalogue import Catalogue

USUAL_CLAIM = "Differences between variants are far better known than the value itself."


class Dough(Protocol):
    """What a reading needs of a dough that is being read. Amounts and their gradients go by the names of the totals."""

    @property
    def catalogue(self) -> Catalogue: ...
    @property
    def quantities(self) -> Mapping[str, Quantity]: ...
    @property
    def layout(self) -> Layout: ...
    @property
    def totals(self) -> Sequence[float]: ...
    @property
    def mixed(self) -> Sequence[float]: ...
    @property
    def acids_made(self) -> Sequence[tuple[int, float]]: ...
    @property
    def gas_mmol(self) -> float: ...
    @property
    def proof_gradients(self) -> tuple[list[float], list[float]]: ...
    @property
    def book(self) -> Dough: ...
    @property
    def conditions(self) -> BakeConditions: ...
    @property
    def heating_c_per_min(self) -> float: ...
    @property
    def rise(self) -> Rise: ...
    @property
    def rate(self) -> float: ...
    @property
    def logged_rises(self) -> int: ...
    def rise_of(self, mixed: Sequence[float]) -> Rise: ...
    def amount(self, key: str) -> float: ...
    def value(self, key: str) -> float: ...
    def gradient(self, key: str) -> Sequence[float]: ...
    def add_effects(
        self, effects: dict[tuple[str, str], float], slopes: Sequence[float], sign: float = 1.0
    ) -> None: ...


@dataclass(frozen=True, slots=True)
class Parameter:
    """A number that the formula uses, with its tag and where it is from."""

    name: str
    value: str
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Working:
    """How a value was worked out: the formula in symbols, the same with numbers, and the parameters it uses.

    `meaning` says what the symbols stand for, where the formula has others than words.
    """

    symbols: str
    steps: tuple[str, ...]
    parameters: tuple[Parameter, ...] = ()
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class Brought:
    """What one gram of a line brings to a reading, by its vector of totals, and in which unit that is."""

    unit: str
    per_gram: Callable[[Vector], float]


Terms = Sequence[tuple[float, Dough, Sequence[float]]]
"""A signed sum of doughs' totals, each with its slopes: what the spread of a reading is worked out from."""


@dataclass(frozen=True, kw_only=True)
class Reading(ABC):
    """One reading.

    key                 its name in tables, files and JSON
    basis, tag          how it is worked out, and how well that is known (P, M, CP, F, A)
    label               what it is called on screen; the key with spaces unless given
    unit, short_unit    the unit, and the same where room is short
    change_unit         the unit of a change told in words; the short unit unless given
    decimals            as many as mean something: pH is told to a tenth, since finer digits would claim more than
                        the model knows; `signed_decimals` those of a change, of which more may be known
    shown_in_steps_of   a value is rounded to this: TTA to a half
    moved               the words for a lower and for a higher value
    claim               how sure it is, in a sentence
    on_card             whether a reader at the bowl can use it
    percent_of_book     whether a change of it counts in % of the book formula's, in tolerances and in balancing
    may_be_negative     whether a dough can have it below nothing; a test asks that of every other
    is_row              whether the balancing programme can keep it: its gradient holds for any change of grams
    """

    key: str
    basis: str
    tag: str
    label: str = ""
    unit: str = "% of flour"
    short_unit: str = "%"
    change_unit: str | None = None
    decimals: int = 1
    signed_decimals: int | None = None
    shown_in_steps_of: float | None = None
    moved: tuple[str, str] = ("less", "more")
    claim: str = USUAL_CLAIM
    on_card: bool = False
    percent_of_book: bool = False
    may_be_negative: bool = False
    is_row: bool = False

    def __post_init__(self) -> None:
        if not self.label:
            object.__setattr__(self, "label", label_of(self.key))

    @abstractmethod
    def value(self, dough: Dough) -> float:
        """The reading of a dough, in its unit."""

    @abstractmethod
    def gradient(self, dough: Dough) -> list[float]:
        """Change of a finite value per unit of each total."""

    def above(self, dough: Dough, value: float) -> tuple[float, list[float]]:
        """How far a dough lies above a value, and what a unit of each total does to that.

        Where the reading is a row of the balancing programme the sign is exact for any change of grams.
        """
        return dough.value(self.key) - value, self.gradient(dough)

    @abstractmethod
    def brings(self, dough: Dough) -> Brought:
        """What each line brings to it."""

    @abstractmethod
    def working(self, dough: Dough) -> Working:
        """Formula, numbers and parameters, for those who ask why."""

    def spread_terms(self, dough: Dough) -> Terms:
        """From what the spread of the figures is worked out."""
        return [(1.0, dough, dough.gradient(self.key))]

    def doubtful(self, value: float) -> float:
        """The part of a value that the model's relative error is a fraction of."""
        return value


@dataclass(frozen=True, kw_only=True)
class LinearReading(Share, Reading):
    """A reading that is a weighted sum of the totals, in % of another or in grams.

    `brings_unit` is the unit of the sum; `parameters` gives the numbers that its weights are made of.
    """

    brings_unit: str = "g"
    parameters: Callable[[Dough], tuple[Parameter, ...]] | None = None
    is_row: bool = True

    def value(self, dough: Dough) -> float:
        return dough.quantities[self.key].value(dough.totals)

    def gradient(self, dough: Dough) -> list[float]:
        return dough.quantities[self.key].gradient(dough.totals)

    def above(self, dough: Dough, value: float) -> tuple[float, list[float]]:
        return dough.quantities[self.key].above(dough.totals, value)

    def brings(self, dough: Dough) -> Brought:
        parts = dough.quantities[self.key].top_parts
        return Brought(self.brings_unit, lambda vector: sparse_dot(parts, vector))

    def working(self, dough: Dough) -> Working:
        quantity = dough.quantities[self.key]
        top = sparse_dot(quantity.top_parts, dough.totals)
        parameters = self.parameters(dough) if self.parameters else ()
        if self.below is None:
            return Working(f"{self.label} = {self.basis}", (f"{top:.1f} g in all",), parameters)
        below = sparse_dot(quantity.below_parts, dough.totals)
        percent = quantity.scale * top / below
        steps = [f"{quantity.scale:g} × {top:.1f} g / {below:.1f} g = {percent:.2f}"]
        if quantity.cap is not None and percent > quantity.cap:
            steps.append(f"shown as {quantity.cap:g}: there is bran for more wholemeal than there is flour")
        return Working(f"{self.label} = {quantity.scale:g} × {self.basis}", tuple(steps), parameters)


def label_of(key: str) -> str:
    """What a quantity is called that has no name of its own: its key with spaces."""
    return key.replace("_", " ")
