"""An ingredient: its composition figures, acids, flour properties, allergens and where each number is from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from adapter.formula.on_demand import OnDemand

COMPOSITION = (
    "water", "glucose", "fructose", "sucrose", "maltose", "lactose", "galactose", "dextrins", "polyols",
    "protein", "fat", "starch", "fibre", "ash", "salt", "alcohol", "organic_acids", "other",
)  # fmt: skip
"""Figure keys, g per 100 g. Salt (sodium x 2.5) is part of the ash as well."""

PROPERTIES = (
    "density_g_ml", "each_g", "held_water", "flour", "rye", "wholegrain", "falling_number", "yeast", "gluten",
    "liquefaction", "kitchen_salt", "reaches", "specific_heat",
    "most_by_taste",
)  # fmt: skip

FIGURE_WORDS = {
    "density_g_ml": "density, g/mL",
    "each_g": "weight of one, g",
    "held_water": "water held, g/g",
    "flour": "part that is flour",
    "rye": "part that is rye",
    "wholegrain": "part that is wholegrain",
    "falling_number": "falling number, s",
    "yeast": "strength as yeast",
    "gluten": "gluten, g/g",
    "kitchen_salt": "part that is kitchen salt",
    "reaches": "part of it that reaches the dough",
    "specific_heat": "specific heat, kJ/kg °C",
    "most_by_taste": "most before it is tasted, % of flour",
    "organic_acids": "organic acids",
    "other": "other things",
    "ph": "pH",
}
"""Keys of figures and properties as a person reads them, with their units where they are not g per 100 g."""

TAGS = {
    "P": "published",
    "M": "published or textbook, from memory",
    "CP": "common practice, no source",
    "F": "fitted here",
    "A": "assumed here",
    "own": "measured or read off the packet",
}


def figure_words(key: str) -> str:
    """What a figure is called on screen: "liquefaction", "density, g/mL"."""
    return FIGURE_WORDS.get(key, key.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of an ingredient: value, spread (half-width of about 95 %), where it is from and how sure."""

    value: float
    spread: float
    tag: str
    source: str


@dataclass(frozen=True, slots=True)
class Acidity:
    """Acids and buffer groups in mmol/kg, and the pH the ingredient has alone.

    `groups` are (name, pKa tuple, mmol/kg); `slurry` says that the pH was taken in 10 g + 100 mL water.
    `fixed_charge` (mmol/kg) is given instead of a pH for pure chemicals.
    """

    groups: tuple[tuple[str, tuple[float, ...], float], ...] = field(
        metadata={"keys": ("acids", "buffers", "buffer_model", "buffer_factor")}
    )
    ph: Figure | None
    slurry: bool = field(metadata={"keys": ("measured_in",)})
    spread_of_totals: float
    fixed_charge: float | None
    tag: str
    source: str


RIPE_BACTERIA_PER_G = 4e9
"""Of a ripe sourdough [F; 3.4 to 5.6 x 10^9 measured in wheat sourdoughs, PMC6950244]."""


@dataclass(frozen=True, slots=True)
class Preferment:
    """A sourdough: flour and water with acids, yeast and bacteria. `hydration` is its water in % of its flour.

    `warm_bacteria` is the share of its bacteria that thrive at 35 to 40 °C, as those of a short sour do.
    """

    flour: str
    hydration: float
    cells_per_g: float
    tag: str
    source: str
    bacteria_per_g: float = RIPE_BACTERIA_PER_G
    warm_bacteria: float = 0.0


@dataclass(frozen=True, slots=True)
class Contents:
    """What an ingredient is made of and does: `figures` are g per 100 g, `properties` in units of their own."""

    figures: Mapping[str, Figure] = field(default_factory=dict)
    properties: Mapping[str, Figure] = field(default_factory=dict)
    acidity: Acidity | None = None


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A row of the catalogue; its contents are read when first asked for.

    `everyday` is what stands in nearly every bakery [CP]: of several that a few letters may mean, it is named first.
    `closest` are the ingredients that any baker would name first in its place [CP]: molasses for black treacle.
    """

    name: str
    aliases: tuple[str, ...]
    kinds: frozenset[str]
    allergens: tuple[str, ...]
    stored: str
    contents: OnDemand[Contents] = field(metadata={"keys": ("figures", "properties", "acidity")})
    preferment: Preferment | None = None
    everyday: bool = False
    closest: tuple[str, ...] = ()
    overrides: tuple[str, ...] = field(default=(), metadata={"keys": ()})

    @property
    def figures(self) -> Mapping[str, Figure]:
        return self.contents().figures

    @property
    def properties(self) -> Mapping[str, Figure]:
        return self.contents().properties

    @property
    def acidity(self) -> Acidity | None:
        return self.contents().acidity

    def figure(self, key: str) -> float:
        """Value of a composition figure, g per 100 g (0 where the table has none)."""
        found = self.figures.get(key)
        return found.value if found else 0.0

    def property(self, key: str) -> float:
        found = self.properties.get(key)
        return found.value if found else 0.0
