"""Taking a line of a recipe apart: several amounts in one, amounts behind names and in brackets, percentages, uses."""

from __future__ import annotations

import re
from dataclasses import replace

from adapter.recipes.ingredient_names import NameFinder
from adapter.recipes.measures import COUNT, Measure, Reader, first_measure
from adapter.recipes.wording import Worded, worded
from adapter.recipes.words import Words

_PERCENT = re.compile(
    r"(?<![\d.,])(\d{1,3}(?:[.,]\d{1,3})?)\s?(?:%|percent\b|per cent\b|Prozent\b|procent\b)", re.IGNORECASE
)
_ASIDE = re.compile(r"\s*\([^()]*\)")
_OF_ONE = re.compile(r"\b(?:un|une|einer|eines)$", re.IGNORECASE)
"""What a lead ends with that is of one: "le zeste d'un", "Abrieb einer"."""


def split_line(text: str, words: Words, names: NameFinder) -> list[str]:
    """ "300g wholemeal flour and 200g white flour" as two; otherwise the line as it is."""
    each = _each_of_two(text, words, names)
    if each:
        return each
    depth_free = re.sub(r"\([^()]*\)", lambda found: " " * len(found[0]), text)
    for joined in words.pattern("plus", "both").finditer(depth_free):
        begin = joined.end() + len(text[joined.end() :]) - len(text[joined.end() :].lstrip())
        before = text[: joined.start()].rstrip(" ,")
        first, second = first_measure(text, words), Reader(text, words).measure(begin)
        if first is None or second is None or first[1] > joined.start():
            continue
        one, other = worded(text[first[1] : joined.start()], words), worded(text[second[1] :], words)
        if words.pattern("no_weight").match(other.name):
            continue
        if not one.name or not other.name or stays_out(other, words):
            continue
        counted = second[0].unit is COUNT
        if one.notes or (counted and names.find(other.name, words).ingredient is None):
            continue
        return [before, *split_line(text[begin:], words, names)]
    return _after_comma(text, depth_free, words, names) or [text]


def _after_comma(text: str, depth_free: str, words: Words, names: NameFinder) -> list[str]:
    """ "330 ml water, 2 tsp salt" as two; "1 cake fresh yeast, 7 g dried yeast" says one thing twice."""
    for comma in re.finditer(r",\s+(?=[\d½¼¾])", depth_free):
        first, second = first_measure(text, words), Reader(text, words).measure(comma.end())
        if first is None or second is None or first[1] > comma.start() or second[0].unit is COUNT:
            continue
        one, other = worded(text[first[1] : comma.start()], words), worded(text[second[1] :], words)
        if not (names.knows(other.name) and one.name) or stays_out(other, words):
            continue
        kinds = [_kinds(said.name, words, names) for said in (one, other)]
        if all(kinds) and kinds[0].isdisjoint(kinds[1]):
            return [text[: comma.start()].rstrip(), *split_line(text[comma.end() :], words, names)]
    return []


def _kinds(name: str, words: Words, names: NameFinder) -> frozenset[str]:
    found = names.find(name, words).ingredient
    return frozenset() if found is None else names.catalogue.get(found).kinds


def _each_of_two(text: str, words: Words, names: NameFinder) -> list[str]:
    """ "½ tsp each salt and baking soda" as two lines of half a teaspoon."""
    found = first_measure(text, words)
    each = re.match(r"\s*each\s+(?:of\s+)?", text[found[1] :], re.IGNORECASE) if found else None
    if found is None or each is None:
        return []
    amount, rest = text[: found[1]].rstrip(), text[found[1] + each.end() :]
    parts = [part for part in re.split(r",?\s+(?:and|&)\s+|,\s+", rest) if part.strip()]
    known = all(names.find(worded(part, words).name, words).ingredient for part in parts)
    return [f"{amount} {part}" for part in parts] if known and len(parts) > 1 else []


def use_behind(text: str, words: Words) -> str:
    """ "For dusting: flour" as "flour, for dusting"."""
    use = words.pattern("no_weight", "on_top", "to_taste").match(text)
    if use is None or text[use.end() : use.end() + 1] != ":" or not text[use.end() + 1 :].strip():
        return text
    return f"{text[use.end() + 1 :].strip()}, {use[0]}"


def after_lead(text: str, words: Words) -> tuple[str, int]:
    """ "Juice of", "grated zest of" before an amount or a name, and where that begins."""
    found = words.lead.match(text)
    if found is None:
        return "", 0
    after = Reader(text, words).measure(found.end())
    if found["of"] is None and after is None:
        return "", 0
    if after is not None and after[0].unit is not COUNT:
        return "", 0
    if after is not None and not re.search(r"[^\W\d_]", _ASIDE.sub("", text[after[1] :])):
        return "", 0
    return found[0].strip(), found.end()


def one_of(text: str, lead: str, start: int, words: Words) -> tuple[Measure, int] | None:
    """ "Juice of a lemon" is that of one."""
    if lead and _OF_ONE.search(lead):
        return Measure(1.0, 1.0, COUNT), start
    article = words.pattern("articles").match(text, start) if lead else None
    return None if article is None or len(article[0].split()) > 1 else (Measure(1.0, 1.0, COUNT), article.end())


def juice_names(name: str, lead: str, words: Words) -> list[str]:
    """What the juice, zest or yolks of something may be called: "lemon juice", "Zitronensaft", "jus de citron"."""
    part = words.lead.match(lead + " ")
    if part is None:
        return [name]
    word = part["part"].casefold()
    word = {"rind": "zest", "rinds": "zest", "zested": "zest", "peel": "zest"}.get(word, word)
    single = name[:-1] if name.endswith("s") and not name.endswith("ss") else name
    return [f"{single} {word}", f"{single}{word}", f"{single}n{word}", f"{word} de {single}", f"{name} {word}"]


def trailing_measure(text: str, words: Words) -> tuple[Measure, str] | None:
    """An amount behind the name: "Flour 500 g", "salt: 10 g", "Roggenmehl ..... 1,2 kg"."""
    for found in re.finditer(r"(?<![\w.,/])(?=[\d.~])", text):
        if found.start() == 0:
            continue
        read = Reader(text, words).measure(found.start())
        if read is None or (read[0].unit is COUNT and read[0].each is not None):
            continue
        if read[0].unit is COUNT and not _alone(text, found.start(), read[1]):
            continue
        rest = text[read[1] :].strip()
        if rest and not re.match(r"^[(\[,;/|-]", rest) and _PERCENT.fullmatch(rest) is None:
            continue
        before = re.sub(r"[\s:=.…_,–-]+$", "", text[: found.start()])
        before = re.sub(r"[(\[]$", "", before).rstrip()
        if not re.search(r"[^\W\d_]\d?[^\W\d_]", before):
            continue
        return read[0], f"{before} {rest}" if rest.startswith(("(", ",", "[")) else before
    return None


def _alone(text: str, start: int, end: int) -> bool:
    """ "eggs 2", "Eggs: 3": a count behind a name and nothing after it but what stands in brackets."""
    return (
        not _ASIDE.sub("", text[end:]).strip()
        and bool(re.search(r"[:\s]\s*$", text[:start]))
        and "type" not in text[:start].lower()
    )


def with_bracketed(measure: Measure | None, said: Worded, words: Words) -> tuple[Measure | None, Worded]:
    """An amount among the notes says the same in other units: "flour (250 g)", "eggplant, about 1 pound"."""
    others: list[Measure] = []
    kept: list[str] = []
    for note in said.notes:
        read = first_measure(note, words)
        rest = note[read[1] :].strip(" ,.)") if read else ""
        if read is None or read[0].low is None or not read[0].unit.size or read[0].unit.asks:
            kept.append(note)
            continue
        each = re.match(r"(?:each|apiece|je|chacune?|styck|hver)\b", rest, re.IGNORECASE)
        if each or re.match(r"each\b", note, re.IGNORECASE):
            others.append(replace(read[0], sizes=("each",)))
            kept += [rest[each.end() :].strip(" ,")] if each else []
        elif not rest or rest.casefold() in ("total", "in total", "altogether"):
            others += [read[0], *read[0].others]
        else:
            kept.append(note)
            continue
    if not others:
        return measure, said
    kept_said = replace(said, notes=tuple(note for note in kept if note))
    if measure is None:
        return replace(others[0], others=tuple(others[1:])), kept_said
    return replace(measure, others=(*measure.others, *others)), kept_said


def unit_behind(measure: Measure | None, said: Worded, words: Words) -> tuple[Measure | None, Worded]:
    """ "6 lemon slices" as "6 slices lemon"; "6 cloves" alone as the spice."""
    if measure is None:
        return measure, said
    if not said.name and measure.unit.word and not measure.unit.size:
        return replace(measure, unit=COUNT), replace(said, name=measure.unit.word)
    before, _, last = said.name.rpartition(" ")
    unit = words.unit(last) if before and measure.unit is COUNT else None
    if unit is None or unit.name not in ("slice", "clove", "sprig", "bunch", "packet") or before.endswith(" or"):
        return measure, said
    if before.casefold() in ("whole", "ground", "dried"):
        return measure, said
    return replace(measure, unit=unit), replace(said, name=before)


def taken_percent(text: str, words: Words, names: NameFinder) -> tuple[float | None, str]:
    """A baker's percentage at the start or end of a line, and the line without it. "2% milk" is a name."""
    for found in _PERCENT.finditer(text):
        before, after = text[: found.start()].strip(), text[found.end() :].strip()
        if words.pattern("hydration_words").match(after) and before:
            continue
        closed = before.endswith("(") and after.startswith(")")
        if closed:
            before, after = before[:-1].rstrip(), after[1:].lstrip()
        at_start = not before
        at_end = not after or after.startswith((",", ";", ":", "|", "=", "-", "("))
        measured = first_measure(after, words) is not None if after else False
        if not (at_start or at_end or measured or closed):
            continue
        joint = ": " if before and after[:1].isdigit() else " "
        rest = f"{before.rstrip(' ,;:=|-')}{joint}{after.lstrip(' ,;:=|-')}".strip()
        if at_start and (names.knows(text) or names.knows(worded(text, words).name)):
            continue
        if not before and not after:
            continue
        return float(found[1].replace(",", ".")), rest
    return None, text


def stays_out(said: Worded, words: Words, amount: bool = False) -> bool:
    """Whether the whole line is for dusting, greasing or washing and puts no weight into the dough.

    What goes on top puts none there as long as no amount of it is told.
    """
    if said.name and words.pattern("wash").fullmatch(said.name.strip()):
        return True
    for note in said.notes:
        out = words.pattern("no_weight").search(note)
        if out is None or (amount and words.pattern("on_top").fullmatch(out[0])):
            continue
        more = words.pattern("more", "either", "plus").search(note[: out.start()])
        besides = amount and words.pattern("both", "plus").search(said.name)
        if more is None and not besides:
            return True
    return False
