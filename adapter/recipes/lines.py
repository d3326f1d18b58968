"""One line of a recipe into what it says: amount, unit, name, grams, and what is in doubt."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from adapter.formula.amounts import plain_fractions
from adapter.formula.plain_text import clean
from adapter.recipes.besides import others_named, with_plus_behind
from adapter.recipes.ingredient_names import Found, NameFinder, key_of
from adapter.recipes.line_parts import (
    after_lead,
    juice_names,
    one_of,
    split_line,
    stays_out,
    taken_percent,
    trailing_measure,
    unit_behind,
    use_behind,
    with_bracketed,
)
from adapter.recipes.measures import COUNT, Measure, Reader
from adapter.recipes.offered import offered
from adapter.recipes.read_line import UNKNOWN, ReadLine
from adapter.recipes.two_amounts import chosen_measure, compared, is_imperial
from adapter.recipes.weighing import BRITISH, UNCLEAR, measures, weigh
from adapter.recipes.wording import Worded, worded
from adapter.recipes.words import Vocabulary, Words, plain, vocabulary

LONGEST_LINE = 600
FRESH_YEAST_UNITS = ("würfel", "cube", "cubes", "cake", "cakes")
"""What only fresh yeast comes in."""

SWELLING = frozenset(("flour", "grain", "flake", "seed", "dried fruit", "starch"))
"""Kinds that take up water when they are cooked or soaked."""

MOST_KEPT = 5000
"""A text asks several times what a line says; so many answers are kept."""
_SIGN = r"[^\w\s|()\[\]{}\"'“”‘’«»~≈<>=#*|.,;:!?+\-–—/\\%°@&$]"
_BULLET = re.compile(
    rf"^\s*(?:{_SIGN}+\s*|[-*•·–—+]{{1,3}}\s+|\[[ xX]?\]\s*|\d{{1,2}}\)\s+|\d{{1,2}}\.\s+(?=[\d½¼¾⅓⅔⅛]))+"
)
_FOOTNOTE = re.compile(r"(?<=[^\W\d_]{3})[⁰¹²³⁴-⁹†‡]+")
_MISREAD = re.compile(r"^[lI|](?=\s?(?:[½¼¾⅓⅔⅛]|\d/\d|(?:lbs?|oz|pt|pint|cups?|tsp|tbsp|teasp|kg)\b|\sg\b))")
"""A scanner's "l" for the figure 1: "l½ lb."."""
_WITH = re.compile(r"(?<![^\W_])w/\s*", re.IGNORECASE)
_TEMPERATURE = re.compile(
    r"(?<![\d.,])(\d{2,3}(?:[.,]\d)?|\d(?:[.,]\d)?(?=\s?(?:°|º|degree)))\s?(?:°|º|degrees?)?\s?([CF])\b"
)
_EGG_SIZE = re.compile(
    r"(?:\bsize|\bGröße|\bGrösse|\bGr\.?|\btaille|\bcalibre|\bstorlek|\bstr\.?|^)\s*(XL|S|M|L)$", re.IGNORECASE
)
_ISH = re.compile(r"(?<![\w.,/])(\d{1,4})ish\b")
_DOUGH_YIELD = re.compile(r"\bTA\s?(\d{3})\b")
_HYDRATION = re.compile(r"(\d{2,3}(?:[.,]\d)?)\s?%")


@dataclass(frozen=True)
class LineReader:
    """Reads lines against one catalogue. `system` is what cups and spoons are; None: by the text's language."""

    names: NameFinder
    system: str | None = None
    vocabulary: Vocabulary | None = None
    _read: dict[tuple[str, str], list[ReadLine]] = field(default_factory=dict, compare=False, repr=False)

    def words_of(self, text: str, usual: Words | None = None) -> Words:
        return (self.vocabulary or vocabulary()).language_of(text, usual)

    def for_text(self, text: str, words: Words) -> LineReader:
        """The same for the lines of one text: British words make its pints and spoons British."""
        found = {plain(hit[0]) for hit in words.pattern("british").finditer(text)}
        british = self.system is None and len(found) >= 2
        return LineReader(self.names, BRITISH, self.vocabulary) if british else self

    def read(self, text: str, stage: str, usual: Words | None = None, number: int = 0) -> list[ReadLine]:
        """What an ingredient line says: one ReadLine, or several where it names several amounts."""
        tidy = tidied(text)
        words = self.words_of(tidy, usual)
        known = self._read.get((tidy, words.language))
        if known is None:
            known = [self._part(part, words) for part in split_line(tidy, words, self.names)]
            if len(self._read) < MOST_KEPT:
                self._read[tidy, words.language] = known
        if _MISREAD.match(_BULLET.sub("", clean(text, LONGEST_LINE))):
            known = [line.doubting("its first sign is read as the figure 1") for line in known]
        return [replace(line, text=text, stage=stage, number=number) for line in known]

    def _part(self, part: str, words: Words) -> ReadLine:
        percent, bare = taken_percent(use_behind(part, words), words, self.names)
        lead, start = after_lead(bare, words)
        found = Reader(bare, words).measure(start) or one_of(bare, lead, start, words)
        if found is None:
            trailing = trailing_measure(bare, words)
            if percent is not None and trailing is not None and trailing[0].unit is COUNT and self.names.knows(bare):
                trailing = None  # "40 % Roggenmehl 1150": the number is the flour's type
            if trailing is not None:
                found, bare = (trailing[0], len(trailing[1])), trailing[1]
                said = worded(bare, words)
            else:
                article = words.pattern("articles").match(bare, start)
                said = worded(bare[article.end() if article else start :], words)
        else:
            said = worded(bare[found[1] :], words)
        measure = found[0] if found else None
        measure, said = with_bracketed(measure, said, words)
        measure, said = unit_behind(measure, said, words)
        measure = with_plus_behind(measure, said, words)
        return self._told(part, measure, said, lead, percent, words)

    def _told(
        self, text: str, measure: Measure | None, said: Worded, lead: str, percent: float | None, words: Words
    ) -> ReadLine:
        said = self._kept_whole(said, lead, words)
        name = said.name
        notes = [lead, *said.notes] if lead else list(said.notes)
        amount = chosen_measure(measure)
        forms = (
            *said.forms,
            *(measure.sizes if measure else ()),
            *_coarse(name, words),
            *plain(name).split(),
            *_letter_sizes(said),
        )
        line = ReadLine(
            text,
            name,
            amount_low=amount.low if amount else None,
            amount_high=amount.high if amount else None,
            unit=amount.unit.name if amount else "",
            note="; ".join(_shown_notes(said, notes)),
            percent=percent,
            temperature_c=_temperature(said.notes),
        )
        told = any(words.pattern("plus").match(note) for note in said.notes)
        if amount is not None and amount.plus and not told and amount.low is not None and amount.high is not None:
            line = line.noting("plus " + ", ".join(_written(more) for more in amount.plus))
        if amount is not None and amount.unit.times != 1 and amount.low is not None and amount.high is not None:
            factor = amount.unit.times
            line = replace(line, amount_low=_tidy(amount.low * factor), amount_high=_tidy(amount.high * factor))
        if not name:
            return line.doubting("no ingredient is named")
        found, doubts = self._meant(name, lead, said, words)
        line = replace(line, ingredient=found.ingredient, candidates=found.candidates)
        line = replace(line, hydration=_hydration(found.ingredient, said.notes, self.names))
        if stays_out(said, words, measure is not None):
            return replace(line, in_dough=False).noting("no weight in the dough")
        doubts += [f"{other} is named too, and not weighed" for other in others_named(said, words, self.names)]
        doubts += self._unlike(found.ingredient, said, measure, words)
        return self._weighed(line.doubting(*doubts), measure, (*forms, *self._forms_behind(line, said, words)), words)

    def _unlike(self, ingredient: str | None, said: Worded, measure: Measure | None, words: Words) -> list[str]:
        """What is done to it before it is measured, so that the table's figures and weight are not its own."""
        doubts = []
        kinds = self.names.catalogue.get(ingredient).kinds if ingredient else frozenset()
        cooked = [form for form in said.forms if form in words.lists["cooked"]]
        if cooked and kinds & SWELLING and not self.names.knows(f"{cooked[0]} {said.name}"):
            doubts.append(f"how much water is in it when {cooked[0]} is not known")
        if measure is not None and measure.unit.container and words.pattern("drained").search(" ".join(said.notes)):
            doubts.append("what is left of it when drained is not known")
        return doubts

    def _forms_behind(self, line: ReadLine, said: Worded, words: Words) -> list[str]:
        """ "1 cup carrots, grated": what nobody can measure whole is measured as the line says at its end."""
        listed = measures().filled_by(line.ingredient or "", words.language).forms
        if not listed or "" in listed:
            return []
        return [plain(hit[0]) for note in said.notes for hit in words.pattern("preparations").finditer(note)]

    def _kept_whole(self, said: Worded, lead: str, words: Words) -> Worded:
        """ "Roasted rye malt" is no rye malt that is roasted, as the tables have both."""
        whole = self.names.exact(said.whole)
        taken = said.name in said.whole and said.name != said.whole
        if lead or whole is None or not taken:
            return said
        called_so = key_of(whole) == key_of(said.whole)
        if not called_so and whole == self.names.find(said.name, words).ingredient:
            return said
        return Worded(said.whole, (), said.notes, said.whole)

    def _meant(self, name: str, lead: str, said: Worded, words: Words) -> tuple[Found, list[str]]:
        asked = next((other for other in juice_names(name, lead, words) if self.names.knows(other)), name)
        asked = asked if lead else self._with_kind(name, said, words)
        found = self.names.find(asked, words) if not lead or asked != name else Found(None, False)
        doubts: list[str] = []
        others = offered(name, said, words, self.names)
        if others and (found.ingredient is None or not self.names.knows(name) or others[0] == name):
            hits = [self.names.find(other, words) for other in others]
            known = [hit.ingredient for hit in hits if hit.ingredient]
            if len(set(known)) == 1 and len(known) == len(others):
                return Found(known[0], True, found.candidates), doubts
            doubts.append("more than one ingredient is named: " + ", ".join(others))
            near = [
                candidate for hit in hits for candidate in ([hit.ingredient] if hit.ingredient else hit.candidates[:1])
            ]
            return Found(known[0] if known else None, False, tuple(dict.fromkeys(near))), doubts
        if any(len(words.pattern("halves").findall(note)) > 1 for note in said.notes):
            doubts.append("a mixture of several is named")
        if found.ingredient is None:
            near_names = ", ".join(found.candidates)
            doubts.append(f"{UNKNOWN}{f'; nearest: {near_names}' if near_names else ''}")
        if lead and asked != name:
            doubts.append("how much one gives is not sure")
        return found, doubts

    def _with_kind(self, name: str, said: Worded, words: Words) -> str:
        """ "Weizenmehl (Type 550)" and "rugmel, fuldkorn": the kind stands behind the name."""
        for note in said.notes[:2]:
            if not note or len(note.split()) > 3 or words.pattern("preparations", "either").match(note):
                continue
            for whole in (f"{name} {note}", f"{note} {name}"):
                if self.names.knows(whole):
                    return whole
        return name

    def _weighed(self, line: ReadLine, measure: Measure | None, forms: tuple[str, ...], words: Words) -> ReadLine:
        if measure is None:
            if line.percent is None:
                return line.doubting("no amount is given")
            return line.doubting(*self._unclear(line, "", words))
        unclear = self._is_unclear(line, words)
        if unclear and measure.unit.name in ("tsp", "tbsp"):
            line = replace(line, ingredient=measures().spooned.get(line.ingredient or "", line.ingredient))
        ingredient = self.names.catalogue.get(line.ingredient) if line.ingredient else None
        forms = (*forms, *self._named_forms(line), *((UNCLEAR,) if unclear else ()))
        chosen = chosen_measure(measure)
        assert chosen is not None
        weighed = weigh(chosen, ingredient, forms, words, self.system)
        for other in (measure, *measure.others):
            if other is chosen:
                continue
            otherwise = weigh(other, ingredient, forms, words, self.system)
            if is_imperial(other, weighed, otherwise, self.system):
                otherwise = weigh(other, ingredient, forms, words, "imperial")
            weighed = compared(weighed, other, chosen, otherwise)
        if weighed.means is not None and weighed.means != line.ingredient:
            line = replace(line, ingredient=weighed.means)
        line = replace(line, grams=weighed.grams).doubting(*weighed.doubts)
        if weighed.grams is None and not line.doubts:
            line = line.doubting("its weight cannot be told")
        return line.doubting(*self._unclear(line, measure.unit.word, words))

    def _is_unclear(self, line: ReadLine, words: Words) -> bool:
        """A name that may mean several things, as it is or without "organic" and the like."""
        if plain(line.name) in words.lists["unclear"]:
            return True
        bare = plain(words.pattern("neutral").sub(" ", line.name))
        return bare in words.lists["unclear"] and not self.names.knows(line.name)

    def _unclear(self, line: ReadLine, unit_word: str, words: Words) -> list[str]:
        """What is asked then: "yeast" may be fresh or dried."""
        if unit_word in FRESH_YEAST_UNITS or not self._is_unclear(line, words):
            return []
        return [kind_not_said(line)]

    def _named_forms(self, line: ReadLine) -> list[str]:
        """Words of the name that say how it fills a measure: "ground walnuts", "pecan halves"."""
        table = measures()
        listed = table.filled_by(line.ingredient or "").forms
        known = self.names.knows(line.name)
        return [word for word in plain(line.name).split() if word in listed or (word in table.loosening and not known)]


def tidied(text: str) -> str:
    """A line without its bullet, with plain fractions and hyphens and single spaces."""
    bare = _FOOTNOTE.sub("", _BULLET.sub("", clean(text, LONGEST_LINE)))
    bare = _ISH.sub(r"~\1", _WITH.sub("with ", _MISREAD.sub("1", bare)))
    return " ".join(plain_fractions(bare).split())


def _tidy(number: float) -> float:
    return round(number, 6)


def _written(measure: Measure) -> str:
    return f"{measure.middle:g} {measure.unit.name}" if measure.middle is not None else measure.unit.name


def kind_not_said(line: ReadLine) -> str:
    return f"which kind of {line.name} is meant is not said: {line.ingredient} is taken"


def _coarse(name: str, words: Words) -> list[str]:
    return [found[0].casefold() for found in words.pattern("coarse").finditer(name)]


def _letter_sizes(said: Worded) -> list[str]:
    """ "(Größe M)", "size L" of eggs."""
    return [found[1].casefold() for note in (said.name, *said.notes) for found in _EGG_SIZE.finditer(note)]


def _temperature(notes: tuple[str, ...]) -> float | None:
    for note in notes:
        found = _TEMPERATURE.search(note)
        if found:
            degrees = float(found[1].replace(",", "."))
            celsius = degrees if found[2] == "C" else round((degrees - 32) / 1.8, 1)
            return celsius if 0 <= celsius <= 100 else None
    return None


def _hydration(ingredient: str | None, notes: tuple[str, ...], names: NameFinder) -> float | None:
    if ingredient is None or names.catalogue.get(ingredient).preferment is None:
        return None
    for note in notes:
        found = _HYDRATION.search(note) or _DOUGH_YIELD.search(note)
        if found:
            percent = float(found[1].replace(",", ".")) - (100.0 if found.re is _DOUGH_YIELD else 0.0)
            return percent if 10 <= percent <= 1000 else None
    return None


def _shown_notes(said: Worded, notes: list[str]) -> list[str]:
    kept = [note for note in notes if note]
    behind = " ".join(kept).casefold()
    return [*(form for form in dict.fromkeys(said.forms) if form not in behind), *kept]
