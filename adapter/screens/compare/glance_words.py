"""What is to be said of the first rows of a comparison: drift, price, what must be bought, allergens."""

from __future__ import annotations

from adapter.screens.compare.variant_rows import BRINGS, BUY, COST, DRIFT, Comparison
from adapter.swaps.comparison import priced
from adapter.swaps.offer import drift_from
from adapter.words.glossary import DRIFT as WHAT_DRIFT_IS
from adapter.words.offer_words import Sentence
from adapter.words.units import Units


def glance_sentences(part: str, comparison: Comparison, column: int, first: str, units: Units) -> list[Sentence]:
    """The highlighted one of these rows, for one column, in sentences."""
    measured, pantry = comparison.variants[column], comparison.pantry
    if part == DRIFT:
        drift = drift_from(comparison.variants[0], measured)
        return [(f"drift {drift:.1f} against {first}", False), (WHAT_DRIFT_IS, False)]
    if part == COST and pantry is not None:
        total, without = priced(measured.formula, pantry)
        unpriced = f" · no price for {', '.join(without)}" if without else ""
        return [(f"ingredients {total:.2f} by the prices of {pantry.name}{unpriced}", False)]
    if part == BUY:
        lacking = [
            f"{need.ingredient} {units.amount(need.missing[column], need.ingredient)}"
            for need in comparison.needs
            if need.missing[column]
        ]
        return [("to buy: " + ", ".join(lacking), True) if lacking else ("nothing has to be bought", False)]
    if part == BRINGS:
        new = [each.group for each in comparison.allergens if each.contained[column] and not each.contained[0]]
        text = f"contains {', '.join(new)}; {first} does not" if new else f"no allergen that {first} does not contain"
        return [(f"{text} · the packets' labels come first", bool(new))]
    return []
