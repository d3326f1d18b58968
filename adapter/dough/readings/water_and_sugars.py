"""Water and sugars: how wet the dough is, how sweet, and what its yeast can eat. All in % of the flour."""

from __future__ import annotations

from collections.abc import Callable

from adapter.dough.readings.linear import Share
from adapter.dough.readings.reading import Dough, LinearReading, Parameter
from adapter.dough.readings.totals import SUGARS, WHITE_FLOUR, Layout
from adapter.formula.substances import Substances, Sugar

NOT_FROM_FLOUR = {"water": 1.0, "flour": -1.0, "dry_flour": 1.0}
"""All water without the moisture that the flour brings: flour less dry flour."""


def _each_sugar(number: Callable[[Sugar], float]) -> Callable[[Layout, Substances], dict[str, float]]:
    def weights(layout: Layout, substances: Substances) -> dict[str, float]:
        return {name: number(sugar) for name, sugar in substances.sugars.items() if name in layout.index}

    return weights


def _sugar_parameters(
    number: Callable[[Sugar], float], source: Callable[[Sugar], str]
) -> Callable[[Dough], tuple[Parameter, ...]]:
    def parameters(dough: Dough) -> tuple[Parameter, ...]:
        sugars = dough.catalogue.substances.sugars.values()
        return tuple(Parameter(sugar.name, f"{number(sugar):g}", sugar.tag, source(sugar)) for sugar in sugars)

    return parameters


def _source(sugar: Sugar) -> str:
    return sugar.source


def _tasted(sugar: Sugar) -> str:
    """The source, and how far tasters and concentrations differ."""
    if sugar.sweetness_low == sugar.sweetness_high:
        return sugar.source
    return f"{sugar.source}; {sugar.sweetness_low:g} to {sugar.sweetness_high:g} by taster and concentration"


def _sweetness(sugar: Sugar) -> float:
    return sugar.sweetness


def _hexose(sugar: Sugar) -> float:
    return sugar.hexose


def _held_by_white_flour(dough: Dough) -> tuple[Parameter, ...]:
    white = dough.catalogue.get(WHITE_FLOUR).properties["held_water"]
    return (Parameter("water held by white flour, g/g", f"{white.value:g}", white.tag, white.source),)


READINGS = (
    LinearReading(
        key="hydration",
        top=NOT_FROM_FLOUR,
        basis="water in every ingredient but the flour's own moisture / flour",
        tag="CP",
        on_card=True,
    ),
    LinearReading(
        key="effective_hydration",
        top={**NOT_FROM_FLOUR, "held": -1.0},
        basis="(water, without the flour's own moisture − water held beyond what white flour would hold) / flour",
        tag="CP",
        on_card=True,
        parameters=_held_by_white_flour,
        may_be_negative=True,
    ),
    LinearReading(
        key="sugar",
        top=dict.fromkeys(SUGARS, 1.0),
        basis="mono- and disaccharides / flour",
        tag="P",
        on_card=True,
    ),
    LinearReading(
        key="sweetness",
        top=_each_sugar(_sweetness),
        basis="sugars × their sweetness (sucrose = 1) / flour",
        tag="M",
        on_card=True,
        parameters=_sugar_parameters(_sweetness, _tasted),
    ),
    LinearReading(
        key="fermentable_sugar",
        top=_each_sugar(_hexose),
        basis="hexose that yeast gets from the sugars / flour",
        tag="P",
        parameters=_sugar_parameters(_hexose, _source),
    ),
)
BESIDE = (Share(key="lactose", top={"lactose": 1.0}),)
"""What a rule may keep, though nobody reads it."""
