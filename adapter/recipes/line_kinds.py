"""What a line of a recipe is: an ingredient, several of them, a step of the method, a yield."""

from __future__ import annotations

import re

from adapter.formula.model import DEFAULT_STAGE
from adapter.recipes.lines import LineReader, tidied
from adapter.recipes.measures import COUNT, first_measure
from adapter.recipes.method import FALLING_OVEN, read_pieces, tells_minutes
from adapter.recipes.tins import read_tin
from adapter.recipes.wording import worded
from adapter.recipes.words import Words

NUMBERED_STEP = re.compile(r"^(?:(?:step|schritt|étape|steg|trin)\s*)?\d{1,2}\s*[.):]\s+(?=[^\W\d])", re.IGNORECASE)
_FACTS = re.compile(r"\s[-–—|/·•]\s")
""" "TA 172 - scaled at 1150 g - 3 loaves": facts in a row."""
_TAILED = re.compile(r"\d\s?(?:g|kg|ml|l|%)?\s*$|\d\s?%")


LONGEST_TIN = 5
"""Words of a line that may be no more than a tin: "lg loaf pan (9x5)"."""
LONGEST_LABEL = 3
""" "Standing time: 12 h at 20 °C" has a label of two words."""


def is_step(tidy: str, row: str, words: Words) -> bool:
    measured = first_measure(tidy, words)
    if words.pattern("oven_words").search(tidy) and tells_minutes(tidy, words):
        return measured is None or measured[0].unit is COUNT
    if NUMBERED_STEP.match(row.strip()):
        rest = NUMBERED_STEP.sub("", row.strip())
        after = first_measure(tidied(rest), words)
        return after is None or after[0].unit is COUNT
    if measured is not None and measured[0].unit is not COUNT:
        return False
    count = len(tidy.split())
    verb = words.pattern("step_verbs").match(tidy)
    if verb is not None and verb.end() < len(tidy) and tidy[verb.end()] in " :,":
        sentence = tidy.endswith((".", "!", "…")) or count > 6
        if count >= 3 and (sentence or not _TAILED.search(tidy)):
            return True
    if tidy.endswith((".", "!")) and count >= 7:
        return measured is None or words.pattern("step_verbs").search(tidy) is not None
    return count > 28 and measured is None


def is_yield(tidy: str, words: Words) -> bool:
    """ "Makes 2 loaves", "Serves 10", "2 loaves" on a line of its own."""
    if len(tidy.split()) > 14:
        return False
    facts = _FACTS.split(tidy)
    if len(facts) > 2:
        return any(is_yield(fact, words) for fact in facts)
    lead = words.pattern("yield_words", "servings").match(tidy)
    if lead is not None:
        rest = tidy[lead.end() :]
        number = re.match(
            r"[\s:]*(?:about|approx\.?|ca\.?|etwa|environ|one|two|three|\w+)?[\s:]*\d|[\s:]*(?:one|two|three|four|six|eight|ten|twelve|a)\b",
            rest,
            re.IGNORECASE,
        )
        if number is not None or ":" in rest[:2]:
            measured = first_measure(rest.strip(" :"), words)
            return (
                read_pieces(tidy, words) is not None
                or bool(words.pattern("servings").search(tidy))
                or (measured is None or measured[0].unit is COUNT)
            )
    numbered = first_measure(tidy, words)
    if numbered is None or numbered[0].unit is not COUNT or numbered[0].each is not None:
        return False
    rest = tidy[numbered[1] :].strip(" .")
    return (
        bool(words.pattern("pieces", "servings").search(rest))
        and len(rest.split()) <= 4
        and read_pieces(tidy, words) is not None
    )


def is_of_the_page(tidy: str, row: str, words: Words) -> bool:
    """What a page says around its recipe: "Print recipe", "★★★★☆ from 212 votes", "Prep time: 20 min | Serves 4"."""
    if row.lstrip().startswith(("★", "☆", "⭐")):
        return True
    said = words.pattern("page_words").match(tidy)
    if said is None:
        return False
    rest = tidy[said.end() :].strip()
    return not rest or rest.startswith((":", "|", "-", "–", "·", "/")) or is_of_the_page(rest, "", words)


def is_ingredient(tidy: str, reader: LineReader, words: Words) -> bool:
    """Whether a line plainly names an amount of something."""
    found = first_measure(tidy, words)
    if found is not None:
        said = worded(tidy[found[1] :], words)
        if found[0].unit is not COUNT:
            return bool(said.name)
        if tells_time(tidy, found[1], words):
            return False
        return bool(said.name) and (len(said.name.split()) <= 4 or reader.names.knows(said.name))
    line = reader.read(tidy, DEFAULT_STAGE, words)[0]
    if line.ingredient is None and words.pattern("hydration_words").fullmatch(line.name):
        return False
    return (line.amount_low is not None or line.percent is not None) and bool(line.name)


def tells_oven(tidy: str, words: Words) -> bool:
    """ "Gas 6, 40 mins, 2lb tin", "400 -> 350 after 10 min", "lg loaf pan (9x5)": of oven or tin, and no weight."""
    if FALLING_OVEN.match(tidy) or (len(tidy.split()) <= LONGEST_TIN and read_tin(tidy, words)[0]):
        return True
    mark = words.pattern("gas_mark").match(tidy) if words.lists["gas_mark"] else None
    return mark is not None and bool(re.match(r"\.?\s*\d", tidy[mark.end() :]))


def tells_time(tidy: str, at: int, words: Words) -> bool:
    """Whether hours, minutes or degrees are counted: "16 hours at 26 °C", "30 °C for the dough"."""
    behind = tidy[at:].lstrip(" -")
    return behind.startswith(("°", "º")) or bool(words.pattern("time_hours", "time_minutes", "time_days").match(behind))


def tells_only_time(tidy: str, words: Words) -> bool:
    """A line that begins with hours, minutes or degrees: "16 hours at 26 °C" says how a stage is led."""
    label, colon, rest = tidy.partition(":")
    if colon and len(label.split()) <= LONGEST_LABEL and re.match(r"\s*(?:ca\.?\s|about\s)?\d", rest):
        return tells_only_time(rest.strip(), words)
    found = first_measure(tidy, words)
    if found is None:
        return bool(re.match(r"\d{1,3}\s?(?:°|C\b)", tidy))
    return found[0].unit is COUNT and tells_time(tidy, found[1], words)


def plain_ingredient(tidy: str, reader: LineReader, words: Words) -> bool:
    """In the method only what is as short as an ingredient line and known counts."""
    if len(tidy.split()) > 9 or tidy.endswith("."):
        return False
    lines = reader.read(tidy, DEFAULT_STAGE, words)
    return all(line.amount_low is not None and line.ingredient is not None and line.unit for line in lines)


def several(tidy: str, reader: LineReader, words: Words, least: int = 3) -> list[str]:
    """A line that lists its ingredients: "flour 500, water 350, salt 10, yeast 5 g"."""
    parts = [part.strip(" .") for part in re.split(r"[;,](?!\d)\s*|\s[+&/]\s", tidy) if part.strip(" .")]
    if len(parts) < least:
        return []
    amounts = known = 0
    for part in parts:
        lines = reader.read(part, DEFAULT_STAGE, words)
        amounts += all((line.amount_low is not None or line.percent is not None) and line.name for line in lines)
        known += any(line.ingredient is not None for line in lines)
    return parts if amounts >= max(least, len(parts) * 0.7) and 2 * known >= len(parts) else []


def amount_first(row: str, words: Words) -> bool:
    tidy = tidied(row)
    found = first_measure(tidy, words) if tidy else None
    if found is None or (found[0].unit is COUNT and tells_time(tidy, found[1], words)):
        return False
    return found[0].unit is not COUNT or len(tidy.split()) < 7
