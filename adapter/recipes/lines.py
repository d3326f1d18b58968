"""One line of a recipe into what it says: amount, unit, name, grams, and what is in doubt."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from adapter.formula.amounts import plain_fractions
from adapter.formula.plain_text import clean
from adapter.recipes.ingredient_names import Found, NameFinder
from adapter.recipes.measures import COUNT, Measure, Reader, first_measure
from adapter.recipes.read_line import ReadLine
from adapter.recipes.weighing import BRITISH, UNCLEAR, UNSURE_SHARE, Weighed, measures, weigh
from adapter.recipes.wording import Worded, worded
from adapter.recipes.words import Vocabulary, Words, plain, vocabulary

LONGEST_LINE = 600
MOST_KEPT = 5000
"""A text asks several times what a line says; so many answers are kept."""
_BULLET = re.compile(r"^\s*(?:[-*•·▪◦‣☐□✓+]\s+|\[[ xX]?\]\s*|\d{1,2}\)\s+)+")
_PERCENT = re.compile(
    r"(?<![\d.,])(\d{1,3}(?:[.,]\d{1,3})?)\s?(?:%|percent\b|per cent\b|Prozent\b|procent\b)", re.IGNORECASE
)
_TEMPERATURE = re.compile(r"(\d{2,3})\s?(?:°|º|degrees?)?\s?([CF])\b")
_EGG_SIZE = re.compile(
    r"(?:\bsize|\bGröße|\bGrösse|\bGr\.?|\btaille|\bcalibre|\bstorlek|\bstr\.?|^)\s*(XL|S|M|L)$", re.IGNORECASE
)
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
            known = [self._part(part, words) for part in _split(tidy, words, self.names)]
            if len(self._read) < MOST_KEPT:
                self._read[tidy, words.language] = known
        return [replace(line, text=text, stage=stage, number=number) for line in known]

    def _part(self, part: str, words: Words) -> ReadLine:
        percent, bare = _taken_percent(part, words, self.names)
        lead, start = _after_lead(bare, words)
        found = Reader(bare, words).measure(start) or _one_of(bare, lead, start, words)
        if found is None:
            trailing = _trailing_measure(bare, words)
            if trailing is not None:
                found, bare = (trailing[0], len(trailing[1])), trailing[1]
                said = worded(bare, words)
            else:
                article = words.pattern("articles").match(bare, start)
                said = worded(bare[article.end() if article else start :], words)
        else:
            said = worded(bare[found[1] :], words)
        measure = found[0] if found else None
        measure, said = _with_bracketed(measure, said, words)
        measure, said = _unit_behind(measure, said, words)
        return self._told(part, measure, said, lead, percent, words)

    def _told(
        self, text: str, measure: Measure | None, said: Worded, lead: str, percent: float | None, words: Words
    ) -> ReadLine:
        said = self._kept_whole(said, lead, words)
        name = said.name
        notes = [lead, *said.notes] if lead else list(said.notes)
        amount = _chosen(measure)
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
        if amount is not None and amount.plus and amount.low is not None and amount.high is not None:
            line = line.noting("plus " + ", ".join(_written(more) for more in amount.plus))
        if amount is not None and amount.unit.times != 1 and amount.low is not None and amount.high is not None:
            factor = amount.unit.times
            line = replace(line, amount_low=_tidy(amount.low * factor), amount_high=_tidy(amount.high * factor))
        if not name:
            return line.doubting("no ingredient is named")
        found, doubts = self._meant(name, lead, said, words)
        line = replace(line, ingredient=found.ingredient, candidates=found.candidates)
        line = replace(line, hydration=_hydration(found.ingredient, said.notes, self.names))
        if _stays_out(said, lead, text, words):
            return replace(line, in_dough=False).noting("no weight in the dough")
        return self._weighed(line.doubting(*doubts), measure, forms, words)

    def _kept_whole(self, said: Worded, lead: str, words: Words) -> Worded:
        """ "Roasted rye malt" is no rye malt that is roasted, as the tables have both."""
        whole = self.names.exact(said.whole)
        taken = said.name in said.whole and said.name != said.whole
        if lead or whole is None or not taken or whole == self.names.find(said.name, words).ingredient:
            return said
        return Worded(said.whole, (), said.notes, said.whole)

    def _meant(self, name: str, lead: str, said: Worded, words: Words) -> tuple[Found, list[str]]:
        asked = next((other for other in _juice_names(name, lead, words) if self.names.knows(other)), name)
        found = self.names.find(asked, words) if not lead or asked != name else Found(None, False)
        doubts: list[str] = []
        others = _alternatives(name, said, words, self.names)
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
        if found.ingredient is None:
            near_names = ", ".join(found.candidates)
            doubts.append(f"no such ingredient is known{f'; nearest: {near_names}' if near_names else ''}")
        if lead and asked != name:
            doubts.append("how much one gives is not sure")
        return found, doubts

    def _weighed(self, line: ReadLine, measure: Measure | None, forms: tuple[str, ...], words: Words) -> ReadLine:
        if measure is None:
            return line if line.percent is not None else line.doubting("no amount is given")
        unclear = plain(line.name) in words.lists["unclear"]
        if unclear and measure.unit.name in ("tsp", "tbsp"):
            line = replace(line, ingredient=measures().spooned.get(line.ingredient or "", line.ingredient))
        ingredient = self.names.catalogue.get(line.ingredient) if line.ingredient else None
        forms = (*forms, UNCLEAR) if unclear else forms
        chosen = _chosen(measure)
        assert chosen is not None
        weighed = weigh(chosen, ingredient, forms, words, self.system)
        for other in (measure, *measure.others):
            if other is chosen:
                continue
            weighed = _compared(weighed, other, chosen, weigh(other, ingredient, forms, words, self.system))
        if weighed.means is not None and weighed.means != line.ingredient:
            line = replace(line, ingredient=weighed.means)
        line = replace(line, grams=weighed.grams).doubting(*weighed.doubts)
        if weighed.grams is None and not line.doubts:
            line = line.doubting("its weight cannot be told")
        return line.doubting(*_unclear(line, measure, words))


def tidied(text: str) -> str:
    """A line without its bullet, with plain fractions and hyphens and single spaces."""
    return " ".join(plain_fractions(_BULLET.sub("", clean(text, LONGEST_LINE))).split())


def _tidy(number: float) -> float:
    return round(number, 6)


def _chosen(measure: Measure | None) -> Measure | None:
    """The measure that is told: a printed metric weight wins, even in brackets."""
    if measure is None or measure.unit.container or measure.unit.weighs:
        return measure
    for other in measure.others:
        if other.unit.weighs and "each" not in other.sizes:
            return other
    return measure


def _compared(weighed: Weighed, other: Measure, chosen: Measure, otherwise: Weighed) -> Weighed:
    """What the same amount in other words adds: a weight where there was none, or a disagreement."""
    grams = otherwise.grams
    count = chosen.middle
    if grams is not None and count is not None and ("each" in other.sizes or chosen.unit.container):
        grams *= count
        if chosen.unit.container and count != 1 and "each" not in other.sizes:
            return Weighed(grams, (*weighed.doubts, "whether each or all weigh that is not said"), weighed.means)
        meant = tuple(doubt for doubt in weighed.doubts if "is meant" in doubt)
        return Weighed(grams, (*meant, *otherwise.doubts), weighed.means)
    if grams is None:
        return weighed
    if weighed.grams is None or (other.unit.size and not chosen.unit.size and not chosen.unit.container):
        return Weighed(grams, otherwise.doubts, weighed.means)
    if abs(weighed.grams - grams) > UNSURE_SHARE * weighed.grams:
        said = f"the two amounts disagree: {weighed.grams:.0f} g and {grams:.0f} g"
        return Weighed(weighed.grams, (*weighed.doubts, said), weighed.means)
    return weighed


def _split(text: str, words: Words, names: NameFinder) -> list[str]:
    """ "300g wholemeal flour and 200g white flour" as two; otherwise the line as it is."""
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
        if not one.name or not other.name or _stays_out(other, "", text[second[1] :], words):
            continue
        counted = second[0].unit is COUNT
        if one.notes or (counted and names.find(other.name, words).ingredient is None):
            continue
        return [before, *_split(text[begin:], words, names)]
    return [text]


def _after_lead(text: str, words: Words) -> tuple[str, int]:
    """ "Juice of", "grated zest of" before an amount or a name, and where that begins."""
    found = words.lead.match(text)
    if found is None:
        return "", 0
    after = Reader(text, words).measure(found.end())
    if found["of"] is None and after is None:
        return "", 0
    if after is not None and after[0].unit is not COUNT:
        return "", 0
    return found[0].strip(), found.end()


def _one_of(text: str, lead: str, start: int, words: Words) -> tuple[Measure, int] | None:
    """ "Juice of a lemon" is that of one."""
    article = words.pattern("articles").match(text, start) if lead else None
    return None if article is None or len(article[0].split()) > 1 else (Measure(1.0, 1.0, COUNT), article.end())


def _juice_names(name: str, lead: str, words: Words) -> list[str]:
    """What the juice, zest or yolks of something may be called: "lemon juice", "Zitronensaft", "jus de citron"."""
    part = words.lead.match(lead + " ")
    if part is None:
        return [name]
    word = part["part"].casefold()
    word = {"rind": "zest", "rinds": "zest", "zested": "zest", "peel": "zest"}.get(word, word)
    single = name[:-1] if name.endswith("s") and not name.endswith("ss") else name
    return [f"{single} {word}", f"{single}{word}", f"{single}n{word}", f"{word} de {single}", f"{name} {word}"]


def _trailing_measure(text: str, words: Words) -> tuple[Measure, str] | None:
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
        if not re.search(r"[^\W\d_]{2}", before):
            continue
        return read[0], f"{before} {rest}" if rest.startswith(("(", ",", "[")) else before
    return None


def _alone(text: str, start: int, end: int) -> bool:
    """ "eggs 2", "Eggs: 3": a count behind a name and nothing after it."""
    return not text[end:].strip() and bool(re.search(r"[:\s]\s*$", text[:start])) and "type" not in text[:start].lower()


def _with_bracketed(measure: Measure | None, said: Worded, words: Words) -> tuple[Measure | None, Worded]:
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


def _unit_behind(measure: Measure | None, said: Worded, words: Words) -> tuple[Measure | None, Worded]:
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


def _taken_percent(text: str, words: Words, names: NameFinder) -> tuple[float | None, str]:
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


def _alternatives(name: str, said: Worded, words: Words, names: NameFinder) -> list[str]:
    """The ingredients that a name offers or joins, and those of a note that begins with "or"."""
    joins = words.pattern("either", "both")
    parts = [part.strip(" ,") for part in re.split(r",\s+", name) for part in joins.split(part)]
    parts = [part for part in parts if part]
    if len(parts) > 1:
        head = parts[-1].split()[-1]
        parts = [whole if names.knows(whole := f"{part} {head}") else part for part in parts[:-1]] + parts[-1:]
    for note in said.notes:
        either = words.pattern("either").match(note)
        if either is None or words.pattern("to_taste", "more").match(note):
            continue
        rest = note[either.end() :].strip()
        read = first_measure(rest, words)
        other = worded(rest[read[1] :] if read else rest, words).name
        if other and not words.pattern("to_taste", "more", "note_words").match(other):
            parts.append(other)
    return parts if len(parts) > 1 else []


def _stays_out(said: Worded, lead: str, text: str, words: Words) -> bool:
    """Whether the whole line is for dusting, greasing or washing and puts no weight into the dough."""
    if said.name and words.pattern("wash").fullmatch(said.name.strip()):
        return True
    for note in said.notes:
        out = words.pattern("no_weight").search(note)
        if out is None:
            continue
        more = words.pattern("more", "either", "plus").search(note[: out.start()])
        if more is None:
            return True
    return False


def _written(measure: Measure) -> str:
    return f"{measure.middle:g} {measure.unit.name}" if measure.middle is not None else measure.unit.name


def _unclear(line: ReadLine, measure: Measure, words: Words) -> list[str]:
    """A name that may mean several things is asked about: "yeast" may be fresh or dried."""
    if plain(line.name) not in words.lists["unclear"] or measure.unit.word in (
        "würfel",
        "cube",
        "cubes",
        "cake",
        "cakes",
    ):
        return []
    return [f"which kind of {line.name} is meant is not said: {line.ingredient} is taken"]


def _coarse(name: str, words: Words) -> list[str]:
    return [found[0].casefold() for found in words.pattern("coarse").finditer(name)]


def _letter_sizes(said: Worded) -> list[str]:
    """ "(Größe M)", "size L" of eggs."""
    return [found[1].casefold() for note in (said.name, *said.notes) for found in _EGG_SIZE.finditer(note)]


def _temperature(notes: tuple[str, ...]) -> float | None:
    for note in notes:
        found = _TEMPERATURE.search(note)
        if found:
            degrees = float(found[1])
            celsius = degrees if found[2] == "C" else round((degrees - 32) / 1.8, 1)
            return celsius if 0 <= celsius <= 100 else None
    return None


def _hydration(ingredient: str | None, notes: tuple[str, ...], names: NameFinder) -> float | None:
    if ingredient is None or names.catalogue.get(ingredient).preferment is None:
        return None
    for note in notes:
        found = _HYDRATION.search(note)
        if found:
            percent = float(found[1].replace(",", "."))
            return percent if 10 <= percent <= 1000 else None
    return None


def _shown_notes(said: Worded, notes: list[str]) -> list[str]:
    kept = [note for note in notes if note]
    behind = " ".join(kept).casefold()
    return [*(form for form in dict.fromkeys(said.forms) if form not in behind), *kept]
