"""An offer and a formula in words: what comes in, what gives, what cannot be kept, what is missing."""

from __future__ import annotations

from collections.abc import Iterable

from adapter.dough.baking import tin_volume_l
from adapter.dough.levels import label
from adapter.dough.proof import unrisen_density
from adapter.dough.readings import Measured
from adapter.dough.tin import fill_of_tin
from adapter.files.plain_report import figure_text, grams_text
from adapter.formula.model import Amount
from adapter.formula.pantry import Pantry
from adapter.swaps.balance import WATER, Unmet
from adapter.swaps.offer import Offer
from adapter.swaps.yeast import yeast_grams

NOTHING_GIVES = "nothing a baker notices"

_UNITS = dict.fromkeys(("tta", "ph", "pace", "starch_attack", "water_activity"), "") | {
    "rise_time": "h",
    "flour_mass": "g",
    "dough_mass": "g",
}


def change_text(key: str, change: float) -> str:
    """A signed change of a reading or of what a rule keeps, with its unit: "fat +0.9 %"."""
    unit = _UNITS.get(key, "%")
    text = f"{label(key)} {figure_text(key, change, True)}"
    return f"{text} {unit}" if unit else text


def into_text(offer: Offer) -> str:
    """What comes in and what moves for it: "yoghurt 248 g + water 58 g, salt −1 g". Yeast is told apart."""
    arrivals = [_amount_text(amount) for amount in offer.into]
    moved = [amount for amount in offer.moved if not _is_yeast(offer, amount.ingredient)]
    arrivals += [_amount_text(amount) for amount in moved if amount.grams > 0 and amount.ingredient == WATER]
    rest = [
        f"{amount.ingredient} {grams_text(amount.grams, True)} g"
        for amount in moved
        if amount.grams < 0 or amount.ingredient != WATER
    ]
    return ", ".join([" + ".join(arrivals) or "nothing", *rest])


def out_text(offer: Offer) -> str:
    """What goes out: "kefir 310 g + wheat bran 60 g"."""
    return " + ".join(_amount_text(amount) for amount in offer.out) or "nothing"


def _amount_text(amount: Amount) -> str:
    return f"{amount.ingredient} {grams_text(amount.grams)} g"


def _is_yeast(offer: Offer, name: str) -> bool:
    return offer.after.kitchen.catalogue.get(name).property("yeast") > 0


def gives_text(offer: Offer, most: int = 4) -> str:
    """What gives by more than a baker notices, largest first."""
    gives = offer.gives
    if not gives:
        return NOTHING_GIVES
    parts = [change_text(key, offer.after.values[key] - offer.before.values[key]) for key, _ in gives[:most]]
    return ", ".join(parts) + (", …" if len(gives) > most else "")


def unmet_sentences(offer: Offer) -> list[str]:
    """What was held or to be kept and is not, each as a sentence."""
    return [unmet_sentence(unmet) for unmet in offer.unmet]


def unmet_sentence(unmet: Unmet) -> str:
    word = "cannot be held" if unmet.held else "cannot be kept quite"
    text = change_text(unmet.key, unmet.by).removeprefix(label(unmet.key)).strip()
    return f"{label(unmet.key)} {word}: it would change by {text}."


def yeast_text(before: Measured, after: Measured) -> str:
    """How the yeast follows: "yeast 9 → 10 g"; empty where it does not change."""
    first, second = yeast_grams(before), yeast_grams(after)
    if abs(first - second) < 0.05:
        return ""
    return f"yeast {grams_text(first)} → {grams_text(second)} g"


def allergens_text(offer: Offer) -> str:
    """Allergens that the swap brings in or takes out; empty where there are none."""
    parts = []
    if offer.allergens_added:
        parts.append("brings in " + ", ".join(offer.allergens_added))
    if offer.allergens_removed:
        parts.append("takes out " + ", ".join(offer.allergens_removed))
    return "; ".join(parts)


def short_text(short: Iterable[Amount]) -> str:
    """What is missing in the pantry: "short of kefir 200 g"; empty where nothing is."""
    parts = [_amount_text(amount) for amount in short]
    return "short of " + ", ".join(parts) if parts else ""


def stock_text(pantry: Pantry | None, measured: Measured, ingredient: str) -> str:
    """The pantry's word on an ingredient of a formula: "ok", "none", or what there is when it is too little."""
    if pantry is None or ingredient == WATER:
        return ""
    need = sum(line.grams for line in measured.formula.lines if line.ingredient == ingredient)
    have = pantry.grams_of(ingredient)
    if have >= need:
        return "ok"
    return "none" if have <= 0 else f"{grams_text(have)} g"


def fill_of(measured: Measured) -> float | None:
    """How full the baked loaf makes its tin (1 is full); None without a tin, infinite where it does not go in."""
    tin = measured.formula.tin
    if tin is None:
        return None
    rise = measured.rise
    try:
        return fill_of_tin(
            measured.amount("mass") / measured.formula.pieces,
            tin_volume_l(tin),
            unrisen_density(rise.rye_share),
            1.0 + rise.rise_fraction,
            measured.loaf_class.spring.middle,
        )
    except ValueError:
        return float("inf")


def tin_text(measured: Measured) -> str:
    """The tins and how full they will be: "1 tin 2.2 L, 96 % full"; pieces where there is no tin."""
    formula = measured.formula
    pieces = formula.pieces
    fill = fill_of(measured)
    if formula.tin is None or fill is None:
        return f"{pieces} pieces" if pieces > 1 else "1 loaf"
    volume = tin_volume_l(formula.tin)
    tins = f"{pieces} tins" if pieces > 1 else "1 tin"
    state = "too small" if fill == float("inf") else f"{100.0 * fill:.0f} % full"
    return f"{tins} {volume:.1f} L, {state}"
