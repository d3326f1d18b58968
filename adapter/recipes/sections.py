"""Which part of a recipe a line of text opens or is: a stage, the method, a yield, a total, a reference."""

from __future__ import annotations

import re
from collections.abc import Mapping

from adapter.recipes.words import Words, last_match, plain

_MARKS = re.compile(r"^[#*_>=\s]+|[*_=#\s]+$")
_ASIDE = re.compile(r"\s*[(\[][^)\]]*[)\]]?")
_NUMBERED = re.compile(
    r"^(?:(?:stage|step|part|day|stufe|tag|schritt|étape|jour|dag|steg|trin)\s*)?\d{1,2}\s*[.):–-]+\s*", re.IGNORECASE
)
_COUNTED = re.compile(r"(?:day|stage|step|part|tag|stufe|jour|étape|dag|steg|trin|del|teil)\s?\d{1,2}", re.IGNORECASE)
_COUNTED_AND = re.compile(rf"(?P<counted>{_COUNTED.pattern})\s?[:.–-]\s*(?P<rest>[^\d,(]{{3,40}})", re.IGNORECASE)
"""  "Stage 1: sour, 16 hours at 27 °C"."""
_TAIL = re.compile(r"\s+[-–—]\s.*$|,\s.*$")
SHORTEST_PART = 6
_FROM = re.compile(r"^\s*(?:(?:of|the|from|fra|från|von|vom|der|dem|du|de la|de)\s+)*", re.IGNORECASE)
_AMOUNT = re.compile(r"\d\s?(?:kg|g|ml|cl|dl|l|oz|lbs?|tsp|tbsp|cups?|%)(?![^\W_])", re.IGNORECASE)


def bare(text: str) -> str:
    """A heading without the marks around it: "## For the soaker:" as "For the soaker"."""
    return _MARKS.sub("", text).rstrip(" :：.").strip()


def is_heading(text: str, words: Words, key: str) -> bool:
    """Whether a line is no more than a heading of the kind, "Ingredients:" or "**Method**"."""
    said = plain(_ASIDE.sub("", bare(text)))
    return said in {plain(word) for word in words.lists[key]}


def opens_ingredients(text: str, words: Words) -> str | None:
    """The stage of "Ingredients for the dough:"; "" for ingredients of no stage; None when it is no such heading."""
    if is_heading(text, words, "ingredient_headings"):
        return ""
    said = _ASIDE.sub("", bare(text))
    found = words.pattern("ingredient_headings").match(said)
    if found is None or len(said.split()) > 6 or re.search(r"\d", said):
        return None
    return stage_named(said[found.end() :].strip(" :-"), words) or ""


def _headed(text: str, words: Words) -> tuple[str, bool]:
    """What a heading says of its stage: without its number, what stands in brackets or behind a dash, and the day.

    "1. Levain build - day 1, 8 pm" is a levain build, "The night before: the poolish" the poolish. With it whether
    a day led it in.
    """
    said = _TAIL.sub("", _ASIDE.sub("", _NUMBERED.sub("", bare(text))))
    day = words.pattern("day_headings").match(said)
    if day is None:
        return said, False
    return said[day.end() :].lstrip(" ,:") or said, said[day.end() :].lstrip()[:1] in ("", ":")


def stage_named(text: str, words: Words) -> str | None:
    """Our name of the stage that a heading's words stand for; None when they stand for none we know."""
    said = plain(_headed(text, words)[0])
    lead = words.pattern("section_lead").match(said)
    if lead is not None and lead.end() < len(said):
        said = said[lead.end() :].strip()
    if said in words.stages:
        return words.stages[said]
    hits = [plain(found[0]) for found in words.stage_words.finditer(said)] or _compounds(said, words)
    if not hits or len(said.split()) > 6:
        return None
    return words.stages[max(hits, key=lambda word: (len(word), -said.find(word)))]


def _compounds(said: str, words: Words) -> list[str]:
    """ "Roggenvorteig" is a kind of Vorteig: the last part of a long word says what it is."""
    if words.language not in ("german", "swedish", "danish") or " " in said:
        return []
    return [word for word in words.stages if len(word) >= SHORTEST_PART and said.endswith(word)]


def section(text: str, words: Words, marked: bool) -> str | None:
    """The stage that a heading opens, by our name or else its own words; None when the line is no heading.

    `marked` says that the line is marked as a heading by its place or by signs around it.
    """
    counted = _COUNTED.fullmatch(_ASIDE.sub("", bare(text)))
    if counted is not None:
        return counted[0].lower()
    lead_in = _COUNTED_AND.match(bare(text))
    if lead_in is not None and stage_named(lead_in["rest"], words) is not None:
        return stage_named(lead_in["rest"], words)
    without, by_day = _headed(text, words)
    if not without or len(without.split()) > 7 or _AMOUNT.search(_ASIDE.sub("", bare(text))):
        return None
    marked = marked or by_day
    colon = text.rstrip(" *_").endswith((":", "："))
    lead = words.pattern("section_lead").match(without)
    known = stage_named(text, words)
    exact = plain(without if lead is None else without[lead.end() :]) in words.stages
    if known is not None and (colon or marked or exact or (lead is not None and len(without.split()) <= 4)):
        return known
    capitals = without.isupper() and len(without) > 3
    if not (colon or marked or capitals):
        return None
    own = without[lead.end() :].strip() if lead is not None and lead.end() < len(without) else without
    if len(own.split()) > 5:
        return None
    return own.lower() if words.language in ("english", "french") or own.isupper() else own


def counted_stage(text: str) -> str | None:
    """ "stage 1" of "Stage 1: sour, 16 h", "stage 1 (all)", "day 1"; None where nothing is counted so."""
    found = _COUNTED.match(bare(text))
    return plain(found[0]) if found is not None else None


def heading_meant(tidy: str, headings: Mapping[str, str], words: Words) -> str | None:
    """The stage whose heading a line names with "all of": "all of stage 1", "the whole crumble"."""
    counted = counted_stage(tidy)
    if counted is not None and len(_ASIDE.sub("", tidy).split()) == 2:
        made = (stage for stage, heading in headings.items() if counted_stage(heading) == counted)
        return next(made, None)
    lead = words.pattern("references").match(tidy)
    tail = last_match(words.pattern("reference_tails"), tidy)
    begin = lead.end() if lead else 0
    if tail is not None and (
        _ASIDE.sub("", tidy[tail.end() :]).strip(" .,)]") or not tidy[begin : tail.start()].strip()
    ):
        tail = None
    if lead is None and tail is None:
        return None
    inner = tidy[begin : tail.start() if tail else len(tidy)]
    rest = plain(_FROM.sub("", _ASIDE.sub("", inner)).strip(" .,:-(["))
    for stage, heading in headings.items():
        said = plain(bare(heading))
        if rest and rest in (plain(stage), said, counted_stage(heading)):
            return stage
        if len(rest) > 2 and re.search(rf"(?<!\w){re.escape(rest)}(?!\w)", said):
            return stage
    return None


def is_total(text: str, words: Words) -> bool:
    """ "Total 1840 g", "Gesamtteig", a sum at the foot of a table."""
    said = bare(text)
    found = words.pattern("totals").match(said)
    if found is None:
        return False
    rest = said[found.end() :].strip(" :=.-")
    return not re.search(
        r"[^\W\d_]{4,}", re.sub(r"\b(?:weight|gramm?s?|dough|of|teig|flour)\b", "", rest, flags=re.IGNORECASE)
    )


def referred(name: str, words: Words) -> tuple[str | None, bool]:
    """The stage that a line's name refers to, and whether it says that all of it is meant."""
    said = _ASIDE.sub("", name).strip(" ,.:")
    lead = words.pattern("references").match(said)
    tail = last_match(words.pattern("reference_tails"), name)
    if tail is not None and name[tail.end() :].strip(" ).]"):
        tail = None
    if tail is not None and lead is None:
        said = _ASIDE.sub("", name[: tail.start()]).strip(" ,.:-([")
    if lead is not None and lead.end() < len(said):
        said = re.sub(r"^\s*(?:of\s+|the\s+|du\s+|de la\s+|vom\s+)*", "", said[lead.end() :], flags=re.IGNORECASE)
    stage = words.stages.get(plain(said))
    if stage is None:
        longest = max(_compounds(plain(said), words), key=len, default="")
        stage = words.stages.get(longest)
    return stage, lead is not None or tail is not None
