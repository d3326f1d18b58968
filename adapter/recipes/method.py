"""What the sentences of a recipe say besides ingredients: temperatures, times, tin, pieces."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from adapter.formula.amounts import plain_fractions
from adapter.formula.model import DEFAULT_STAGE
from adapter.recipes.measures import Reader
from adapter.recipes.numbers import written_number
from adapter.recipes.tins import read_tin
from adapter.recipes.weighing import measures
from adapter.recipes.words import Words, plain

OVEN_C = (100.0, 320.0)
CORE_C = (80.0, 101.0)
PROOF_C = (2.0, 45.0)
FIVE_C = 5.0
BATCH = re.compile(r"(?<![\w.,/])([1-9]\d?)\s?[x×]\s?(?:\d{3,4}\s?g|\d(?:[.,]\d+)?\s?(?:kg|lb))(?![^\W_])")
""" "2 x 950 g" of a batch or a dough that is divided."""
FALLING_OVEN = re.compile(r"(\d{3})\s?(?:->|→|–>|=>|>)\s?(\d{3})\b")
UNTOLD = math.nan
""" "Bake 40 minutes, with steam for the first ten": how long in all is not summed up from such sentences."""

_DEGREES = re.compile(
    r"(?<![\d.,/])(?P<low>\d{1,3})(?:\s?[°º]?\s?[CF]?\s?(?:-|to|bis|à|till|til)\s?(?P<high>\d{2,3}))?"
    r"\s?(?:(?P<sign>°|º|degrees?\b|deg\b\.?|Grad\b|grader\b|degrés\b)\s?)?(?P<scale>(?:C|F|Celsius|Fahrenheit|centigrade)\b)?",
    re.IGNORECASE,
)
SENTENCE = re.compile(r"(?<=[.!?;])(?<!\blb\.)(?<!\boz\.)(?<!\bca\.)\s+(?=[^\W\d_])|\n+")
_SHORTENED = re.compile(r"\b(?:mins?|std|hrs?|h|ca|min|tim|sek)\.$", re.IGNORECASE)
_FIELD = re.compile(r"[^\W\d_]\s?:\s+\d")
"""Of "Prep: 20 min | Rise: 2 h | Bake: 40 min": the method tells the same times again."""
_AFTER = re.compile(r"\s*[\])/,;|(\[-]?\s*$")
_IN_ALL = re.compile(r"\b(?:in all|in total|altogether|insgesamt|gesamt|au total|totalt|i alt)\b", re.IGNORECASE)
_TIMES = re.compile(
    r"(?<![\d.,])(?P<low>\d{1,3}(?:[.,]\d)?(?:\s+1/[24])?)(?:\s?(?:-|to|bis|à|till|til)\s?(?P<high>\d{1,3}(?:[.,]\d)?(?:\s+1/[24])?))?\s?(?P<unit>[^\W\d_]+\b\.?)"
)


@dataclass(slots=True)
class Told:
    """What was found so far."""

    proof_c: float | None = None
    proof_h: float | None = None
    oven_c: list[float] = field(default_factory=list)
    core_c: float | None = None
    bake_min: float | None = None
    tin: dict[str, float | bool] = field(default_factory=dict)
    pieces: int | None = None
    doubts: list[str] = field(default_factory=list)


def read_method(texts: Iterable[str], words: Words) -> Told:
    """Temperatures, times and tin in the sentences of a method, in the order they stand."""
    told = Told()
    for text in texts:
        summary = len(_FIELD.findall(text)) > 1
        for sentence in sentences(plain_fractions(text)):
            _temperatures(sentence, words, told)
            _gas_marks(sentence, words, told)
            _bare_oven(sentence, words, told)
            if not summary:
                _times(sentence, words, told)
            _tin(sentence, words, told)
            told.pieces = told.pieces or _divided(sentence, words) or _made(sentence, words)
    if told.bake_min is not None and math.isnan(told.bake_min):
        told.bake_min = None
    return told


def sentences(text: str) -> list[str]:
    """A text in its sentences: none ends behind "10 Min." when it goes on in small letters."""
    parts: list[str] = []
    for part in SENTENCE.split(text):
        if parts and part[:1].islower() and _SHORTENED.search(parts[-1]):
            parts[-1] = f"{parts[-1]} {part}"
        else:
            parts.append(part)
    return parts


def _temperatures(sentence: str, words: Words, told: Told) -> None:
    previous_end = -99
    previous_scale = stated = ""
    for found in _DEGREES.finditer(sentence):
        if not found["sign"] and not found["scale"]:
            continue
        if words.pattern("fan_words").match(sentence, found.end() + _gap(sentence, found.end())) and told.oven_c:
            continue
        before = sentence[: found.start()]
        if re.search(
            r"(?:^|\W)(?:" + "|".join(map(re.escape, words.lists["fan_words"] or ("\0",))) + r")\W*$",
            before,
            re.IGNORECASE,
        ):
            continue
        scale = (found["scale"] or "")[:1].upper()
        beside = found.start() - previous_end <= 4 and bool(
            _AFTER.search(sentence[max(0, previous_end) : found.start()])
        )
        values = [float(value) for value in (found["low"], found["high"]) if value]
        if len(values) == 2 and " à " in found[0] and values[0] > values[1]:
            values = values[1:]
        stated = scale or stated
        celsius = [_celsius(value, stated, words) for value in values]
        same = beside and (scale != previous_scale or not scale)
        previous_end, previous_scale = found.end(), scale
        if same and scale == "F":
            continue
        if same and scale == "C":
            _replace_last(told, celsius, sentence, words)
            continue
        _sort_temperature(celsius, before, sentence, words, told)


def _gap(text: str, at: int) -> int:
    found = re.compile(r"[\s,(]*").match(text, at)
    return found.end() - at if found else 0


def _celsius(value: float, scale: str, words: Words) -> float:
    fahrenheit = scale == "F" or (not scale and words.language == "english" and value >= 275)
    return round((value - 32) / 1.8) if fahrenheit else value


def _sort_temperature(celsius: list[float], before: str, sentence: str, words: Words, told: Told) -> None:
    """Oven, core or proof: by the words before it, and by what is possible."""
    highest = max(celsius)
    middle = sum(celsius) / len(celsius)
    kinds = [kind for kind in ("core_words", "proof_words", "oven_words") if words.pattern(kind).search(sentence)]
    if CORE_C[0] <= middle <= CORE_C[1] and "core_words" in kinds:
        told.core_c = middle
    elif OVEN_C[0] <= highest <= OVEN_C[1] and (highest >= 140 or "oven_words" in kinds):
        low, *rest = celsius
        for value in (low, *rest) if len(celsius) == 2 and low > rest[0] else (middle,):
            if not told.oven_c or told.oven_c[-1] != value:
                told.oven_c.append(value)
    elif PROOF_C[0] <= middle <= PROOF_C[1] and (
        _proofs(before, sentence, words) or (told.proof_c is None and _dough_stands(sentence, words))
    ):
        told.proof_c = middle


def _proofs(before: str, sentence: str, words: Words) -> bool:
    """Whether the nearest word says that something rises, and not that the water is warm."""
    if words.pattern("proof_words").search(before):
        return True
    watery = words.pattern("hydration_words").search(before) or re.search(
        r"dough temperature|teigtemperatur", sentence, re.I
    )
    return bool(words.pattern("proof_words").search(sentence)) and not watery


def _dough_stands(sentence: str, words: Words) -> bool:
    """ "Mix to a dough and leave covered for 2 hours at 24 °C": no word of rising, and no other stage is named."""
    named = {words.stages[plain(word[0])] for word in words.stage_words.finditer(sentence)}
    hours = words.lists["time_hours"]
    timed = any(found["unit"].casefold().strip(".") in hours for found in _TIMES.finditer(_in_figures(sentence, words)))
    return timed and named <= {DEFAULT_STAGE}


def _replace_last(told: Told, celsius: list[float], sentence: str, words: Words) -> None:
    """ "450°F (230°C)": the printed °C is taken for the same temperature."""
    value = sum(celsius) / len(celsius)
    if told.oven_c and OVEN_C[0] <= value <= OVEN_C[1] and abs(told.oven_c[-1] - value) < 20:
        told.oven_c[-1] = value
        if len(told.oven_c) > 1 and told.oven_c[-2] == value:
            told.oven_c.pop()
    elif told.core_c and CORE_C[0] <= value <= CORE_C[1]:
        told.core_c = value
    elif told.proof_c and abs(told.proof_c - value) < FIVE_C:
        told.proof_c = value


def _gas_marks(sentence: str, words: Words, told: Told) -> None:
    if not words.lists["gas_mark"]:
        return
    found = re.search(
        words.pattern("gas_mark").pattern + r"\.?\s*(1/4|1/2|\d{1,2})(?!\d|\s?°|\s?[CF]\b|\s?min)",
        sentence,
        re.IGNORECASE,
    )
    if found is None:
        return
    if _DEGREES_NEAR.search(sentence[max(0, found.start() - 14) : found.start()]):
        return
    mark = written_number(found[1])
    if words.language == "french":
        celsius: float | None = mark * measures().thermostat_c
    else:
        celsius = next((degrees for number, degrees in measures().gas_marks if number == mark), None)
    if celsius and OVEN_C[0] <= celsius <= OVEN_C[1] and (not told.oven_c or told.oven_c[-1] != celsius):
        told.oven_c.append(celsius)


def _bare_oven(sentence: str, words: Words, told: Told) -> None:
    """ "bake 450": a number alone behind a word of the oven."""
    if told.oven_c:
        return
    falling = FALLING_OVEN.match(sentence)
    if falling is not None:
        told.oven_c += [_celsius(float(degrees), "", words) for degrees in falling.groups()]
        return
    found = re.search(
        words.pattern("oven_words").pattern
        + r"\s+(?:at|to|bei|à|på|i|ved)?\s*(\d{3})(?!\d|\s?(?:g|ml|min|°|º|[CF]\b))",
        sentence,
        re.IGNORECASE,
    )
    if found is not None:
        celsius = _celsius(float(found[1]), "", words)
        if 140 <= celsius <= OVEN_C[1]:
            told.oven_c.append(celsius)


_DEGREES_NEAR = re.compile(r"\d\s?(?:°|º)?\s?[CF]?\b\W{0,4}(?:fan\W*)?$", re.IGNORECASE)


def _times(sentence: str, words: Words, told: Told) -> None:
    if words.pattern("preheat_words").search(sentence):
        return
    baking = _bakes(sentence, words, told)
    proving = bool(words.pattern("proof_words").search(sentence))
    minutes = 0.0
    total = _IN_ALL.search(sentence)
    for found in _TIMES.finditer(_in_figures(sentence, words)):
        unit = found["unit"].casefold().strip(".")
        values = [written_number(value) for value in (found["low"], found["high"]) if value]
        factor = 60.0 if unit in words.lists["time_hours"] else 1.0 if unit in words.lists["time_minutes"] else 0.0
        told_min = factor * sum(values) / len(values)
        minutes = max(minutes, told_min) if total else minutes + told_min
    if not minutes:
        return
    if baking and words.pattern("first_words").search(sentence):
        told.bake_min = UNTOLD
    elif baking:
        told.bake_min = (told.bake_min or 0.0) + minutes
    elif proving:
        told.proof_h = minutes / 60


def _in_figures(sentence: str, words: Words) -> str:
    """ "Half an hour", "an hour and a half", "ten minutes" in figures."""
    sentence = re.sub(r"\b(?:an|one) hour and a half\b", "1.5 hours", sentence, flags=re.IGNORECASE)
    sentence = words.number_words.sub(lambda word: f"{words.numbers[plain(word[0])]:g}", sentence)
    return re.sub(r"\ban?\s+(?=hour)", "1 ", sentence, flags=re.IGNORECASE)


def _bakes(sentence: str, words: Words, told: Told) -> bool:
    """Whether its minutes are spent in the oven: it says "bake", or goes on with the oven after such a sentence."""
    if words.pattern("bake_words").search(sentence):
        return True
    hot = any(
        _celsius(float(found["low"]), (found["scale"] or "")[:1].upper(), words) >= OVEN_C[0]
        for found in _DEGREES.finditer(sentence)
        if found["sign"] or found["scale"]
    )
    return told.bake_min is not None and (hot or bool(words.pattern("oven_words").search(sentence)))


def tells_minutes(text: str, words: Words) -> bool:
    """Whether hours or minutes are counted in it."""
    units = (*words.lists["time_hours"], *words.lists["time_minutes"])
    return any(found["unit"].casefold().strip(".") in units for found in _TIMES.finditer(text))


def hours_and_warmth(text: str, words: Words) -> tuple[float | None, float | None]:
    """ "16 h at 26 °C", "(18 Stunden, 27 °C)": how long and how warm a stage stands; None for what is not told once."""
    text = plain_fractions(text)
    hours = [
        _middle_of(found)
        for found in _TIMES.finditer(text)
        if found["unit"].casefold().strip(".") in words.lists["time_hours"]
    ]
    warmths = [
        _celsius(_middle_of(found), (found["scale"] or "")[:1].upper(), words)
        for found in _DEGREES.finditer(text)
        if found["sign"] or found["scale"]
    ]
    fitting = [warmth for warmth in warmths if PROOF_C[0] <= warmth <= PROOF_C[1]]
    return hours[0] if len(hours) == 1 else None, fitting[0] if len(fitting) == 1 else None


def _middle_of(found: re.Match[str]) -> float:
    low, high = written_number(found["low"]), written_number(found["high"] or found["low"])
    return (low + high) / 2


def _tin(sentence: str, words: Words, told: Told) -> None:
    """The first tin of which a size is told; its sides say more than its volume."""
    if told.tin and "volume_l" not in told.tin:
        return
    tin, doubts = read_tin(sentence, words)
    if tin and not (told.tin and "volume_l" in tin):
        told.tin, told.doubts = tin, doubts


def read_pieces(text: str, words: Words) -> int | None:
    """ "Makes 2 loaves", "12 rolls", "Für 2 Brote"; servings are no pieces."""
    plain = plain_fractions(text)
    batch = BATCH.search(plain)
    if batch is not None:
        return int(batch[1])
    reader = Reader(plain, words)
    for found in re.finditer(r"(?<![\w/])(?=\w)", plain):
        numbered = reader.number(found.start())
        if numbered is None or numbered[2] or not float(numbered[0]).is_integer() or not 1 <= numbered[0] <= 500:
            continue
        rest = re.sub(r"^\s*(?:-|to|bis|à|till|til)\s*\d+", "", plain[numbered[1] :])
        behind = re.match(r"(?:[\s-]+[^\s.,;:(]+){1,5}", rest)
        if behind is None or words.pattern("servings").search(behind[0]):
            continue
        if re.match(
            r"[\s-]*(?:°|%|min|h\b|hours?|stund|tim|g\b|kg\b|cm\b|lb\b|oz\b|ml\b|inch)", behind[0], re.IGNORECASE
        ):
            continue
        if words.pattern("pieces").search(behind[0]):
            return int(numbered[0])
    made = re.match(
        r"\W*"
        + words.pattern("yield_words").pattern
        + r"(?:\s+(?:about|ca\.?|etwa|environ))?[\s:]+(\d{1,3})\s*(?:$|[.;(])",
        plain,
        re.IGNORECASE,
    )
    return int(made[1]) if made and int(made[1]) > 0 else None


def _made(sentence: str, words: Words) -> int | None:
    """ "Makes about 24." among the sentences."""
    lead = words.pattern("yield_words").match(sentence.strip())
    return read_pieces(sentence.strip(), words) if lead is not None and len(sentence) < 80 else None


def _divided(sentence: str, words: Words) -> int | None:
    found = words.pattern("divide").search(sentence)
    return read_pieces(sentence[found.end() : found.end() + 60], words) if found else None
