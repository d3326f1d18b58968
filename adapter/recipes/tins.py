"""The tin of a recipe: its measures as they are told, and the usual ones of what is not told."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from adapter.formula.model import SLANTED_TIN, STRAIGHT_TIN, Tin
from adapter.recipes.numbers import written_number
from adapter.recipes.weighing import measures
from adapter.recipes.words import Words

INCH_CM = 2.54

_LENGTH = r"(\d{1,3}(?:[.,]\d{1,2})?(?:\s+\d/\d)?|\d/\d)\s?(cm|mm|inches|inch|in\b|\"|″|''|-inch|-cm)?"
_SIDES = re.compile(
    rf"{_LENGTH}\s?(?:x|×|by|by a|mal|sur|\*)\s?{_LENGTH}(?:\s?(?:x|×|by|mal|sur|\*)\s?{_LENGTH})?", re.IGNORECASE
)
_ONE_SIDE = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?)[\s-]?(cm|inches|inch|in\b|\"|″)", re.IGNORECASE)
_HEIGHT = re.compile(
    r"(\d{1,2}(?:[.,]\d{1,2})?)[\s-]?(cm|inches|inch|in)\b[\s-]*(?:high|deep|tall|hoch|tief|de haut|hög|djup|høj|dyb)",
    re.IGNORECASE,
)
_TIN_WEIGHT = re.compile(
    r"(\d{1,4}(?:[.,]\d{1,2})?(?:\s+1/2)?|1/2|one|two|three)[\s-]?(lb|lbs|pounds?|g|kg)\b", re.IGNORECASE
)

_VOLUME = re.compile(r"(\d{1,2}(?:[.,]\d{1,2})?(?:\s+1/2)?|1/2)[\s-]?(litres?|liters?|l|quarts?|qt)\b", re.IGNORECASE)
QUART_L = 0.946

Sizes = dict[str, float | bool]
LONGEST_INCHES = 15
LOAF_SHAPED = 0.7
"""A tin not wider than this part of its length is one for loaves."""


def read_tin(sentence: str, words: Words) -> tuple[Sizes, list[str]]:
    """What a sentence tells of the tin, and what is in doubt of it.

    "a 23 x 13 x 7 cm tin", "9x5-inch loaf pan", "2 lb loaf tin", "a 20 cm round tin", "a 1.5 litre tin".
    """
    tin = words.pattern("tin_words", "loaf_tin_words").search(sentence)
    if tin is None:
        return {}, []
    if words.pattern("not_tin_words").search(sentence) and not words.pattern("loaf_tin_words").search(sentence):
        return {}, []
    told, doubts = _told(sentence, tin, words)
    if told and words.pattern("lid_words").search(sentence):
        told["lidded"] = True
    elif told:
        told.setdefault("lidded", False)
    whole, taken = whole_tin(told)
    if taken and not doubts:
        doubts = [f"the tin is not wholly told: {taken}"]
    return told, doubts if whole else []


def _told(sentence: str, tin: re.Match[str], words: Words) -> tuple[Sizes, list[str]]:
    by_sides = [sizes for sides in _SIDES.finditer(sentence) if (sizes := _by_sides(sides, sentence))]
    if by_sides:
        return by_sides[0], []
    one = _ONE_SIDE.search(sentence)
    loaf = words.pattern("loaf_tin_words").search(sentence)
    weight = _TIN_WEIGHT.search(sentence[: tin.end()])
    if weight is not None and loaf is not None and loaf.start() - weight.end() <= 12:
        by_loaf = _by_loaf(weight)
        if by_loaf[0]:
            return by_loaf
    if one is not None and abs(one.start() - tin.start()) < 40:
        return _by_one_side(one, sentence, words), []
    volume = _VOLUME.search(sentence)
    if volume is not None and loaf is not None and abs(volume.start() - loaf.start()) < 25:
        litres = written_number(volume[1]) * (QUART_L if volume[2].casefold().startswith("q") else 1.0)
        return ({"volume_l": round(litres, 2)} if 0.3 <= litres <= 12 else {}), []
    return {}, []


def _by_sides(sides: re.Match[str], sentence: str) -> Sizes:
    units = [sides[place] for place in (2, 4, 6) if sides[place]]
    unit = (units[-1] if units else "cm").strip("-").casefold()
    factor = 0.1 if unit == "mm" else 1.0 if unit == "cm" else INCH_CM
    if not units and max(written_number(sides[place]) for place in (1, 3)) <= LONGEST_INCHES:
        factor = INCH_CM  # "a 9 x 5 pan"
    lengths = [written_number(sides[place]) * factor for place in (1, 3, 5) if sides[place]]
    return _tin_of(lengths, sentence[sides.end() :], factor) if all(2 <= length <= 80 for length in lengths) else {}


def _by_one_side(one: re.Match[str], sentence: str, words: Words) -> Sizes:
    length = round(written_number(one[1]) * (1.0 if one[2].casefold() == "cm" else INCH_CM), 1)
    if not 5 <= length <= 60:
        return {}
    height = _HEIGHT.search(sentence[one.end() :])
    told: Sizes = {"diameter_cm" if words.pattern("round_words").search(sentence) else "length_cm": length}
    if words.pattern("square_words").search(sentence):
        told = {"length_cm": length, "width_cm": length}
    return told if height is None else told | {"height_cm": _height(height)}


def _height(found: re.Match[str]) -> float:
    return round(written_number(found[1]) * (1.0 if found[2].casefold() == "cm" else INCH_CM), 1)


def _tin_of(lengths: list[float], after: str, factor: float) -> Sizes:
    """Length and width at the rim, at the base where they are told as well, and height, in cm."""
    keys: tuple[str, ...] = STRAIGHT_TIN
    ordered = [max(lengths[:2]), min(lengths[:2]), *lengths[2:]]
    base = _SIDES.search(after) if len(lengths) == 2 else None
    height = _HEIGHT.search(after) if len(lengths) == 2 else None
    if base is not None:
        below = sorted((written_number(base[1]) * factor, written_number(base[3]) * factor), reverse=True)
        keys = SLANTED_TIN
        ordered = [*ordered, *below]
    if height is not None:
        ordered.append(_height(height))
    return {key: round(length, 1) for key, length in zip(keys, ordered, strict=False)}


def _by_loaf(weight: re.Match[str]) -> tuple[Sizes, list[str]]:
    """A tin called by the weight of its loaf has the usual measures of such tins."""
    spelt = {"one": 1.0, "two": 2.0, "three": 3.0}
    amount = spelt.get(weight[1].casefold()) or written_number(weight[1])
    unit = weight[2].casefold()
    pounds = amount if unit.startswith(("lb", "pound")) else amount / (0.45 if unit == "kg" else 450.0)
    named = min(measures().tins, key=lambda known: abs(known - pounds))
    if abs(named - pounds) > 0.15 * named:
        return {}, []
    sides = " x ".join(f"{measures().tins[named][key]:g}" for key in STRAIGHT_TIN)
    return dict(measures().tins[named]), [f"a tin for {named:g} lb is taken to be {sides} cm"]


def whole_tin(told: Mapping[str, float | bool]) -> tuple[Sizes, str]:
    """All measures of a tin, with the usual ones for what is not told, and which those are; {} for no tin.

    A round tin is kept as the square one of the same area.
    """
    known = {key: float(value) for key, value in told.items() if key != "lidded"}
    slanted = [known[key] for key in SLANTED_TIN[:4] if key in known]
    taken = []
    if len(slanted) == 4:
        sides = dict(zip(SLANTED_TIN, slanted, strict=False))
    elif "diameter_cm" in known:
        side = known["diameter_cm"] * math.sqrt(math.pi) / 2
        sides = {"length_cm": side, "width_cm": side}
        taken.append(f"a square of {side:.1f} cm is as large as the round")
    elif "length_cm" in known:
        usual = min(measures().tins.values(), key=lambda tin: abs(tin["length_cm"] - known["length_cm"]))
        sides = {"length_cm": known["length_cm"], "width_cm": known.get("width_cm", usual["width_cm"])}
        taken += [] if "width_cm" in known else [f"{usual['width_cm']:g} cm are taken for its width"]
    elif "volume_l" in known:
        return _of_volume(known["volume_l"]) | {"lidded": bool(told.get("lidded", False))}, "its sides are not told"
    else:
        return {}, ""
    if "height_cm" not in known:
        lengths = list(sides.values())
        kind = "round" if "diameter_cm" in known else "loaf" if lengths[1] <= LOAF_SHAPED * lengths[0] else "flat"
        taken.append(f"{measures().tin_heights[kind]:g} cm are taken for its height")
        known["height_cm"] = measures().tin_heights[kind]
    return {**sides, "height_cm": known["height_cm"], "lidded": bool(told.get("lidded", False))}, ", ".join(taken)


def _of_volume(litres: float) -> Sizes:
    """A loaf tin of a volume, shaped like the usual one that is nearest to it."""
    shapes = [[tin[key] for key in STRAIGHT_TIN] for tin in measures().tins.values()]
    nearest = min(shapes, key=lambda sides: abs(math.prod(sides) / 1000 - litres))
    factor = (litres * 1000 / math.prod(nearest)) ** (1 / 3)
    return {key: round(side * factor, 1) for key, side in zip(STRAIGHT_TIN, nearest, strict=True)}


def tin_of(told: Mapping[str, float | bool]) -> Tin | None:
    """The tin of a formula, whole; None where nothing of one is told."""
    tin, _ = whole_tin(told)
    for keys in (STRAIGHT_TIN, SLANTED_TIN):
        metres = [float(tin[key]) / 100 for key in keys if tin.get(key)]
        if len(metres) == len(keys):
            *sides, height = metres if keys is SLANTED_TIN else [*metres[:2], *metres]
            return Tin(sides[0], sides[1], sides[2], sides[3], height, bool(tin.get("lidded", False)))
    return None
