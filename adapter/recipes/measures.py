"""Amounts at a place of a line: "3 1/2 to 4 cups", "1 (7 g) packet", "7g/¼oz", "1 cup plus 2 tablespoons"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from adapter.recipes.numbers import WordReader, past
from adapter.recipes.words import Unit, Words

LARGEST = 1_000_000.0
COUNT = Unit("")
LEAST_DEGREES = 20
"""From this number on "C" stands for degrees and not for cups."""

_SPACES = re.compile(r"\s*")
_DASH = re.compile(r"\s*-\s*(?=[\d.])")
_HYPHEN = re.compile(r"\s*-?\s*")
_HYPHENS = re.compile(r"[\s-]*")
_SPACE = re.compile(r" ?")
_TILDE = re.compile(r"[~≈]")
_PLUS = re.compile(r"[+&]")
_TIMES = re.compile(r"\s*[x×*]\s*(?=\d)")
_OPENING = re.compile(r"\s*[(\[]\s*")
_CLOSING = re.compile(r"\s*[)\]]")
_SLASH = re.compile(r"\s*(?:/|=|\||\(|\[)\s*")
_DIMENSION = re.compile(
    r"\s+\(?(?:(?:\d[\d/ ]{0,5}|one|two|three|four|half|six)[- ](?:inch|inches|cm|mm)"
    r"(?:[- ](?:long|thick|wide|square|by)\b)*[- ]*)+(?:\)\s*)?(?<=[ a-z])(?=[ a-z])",
    re.IGNORECASE,
)
_COUNTED = re.compile(r"(\d+) \d/\d-(?:inch|cm|mm)\b", re.IGNORECASE)
_POINT = re.compile(r"\.?\s*")
_DEGREES = re.compile(r"\d\s?C\.?$")
_COMMA = re.compile(r"\s*,?\s*")


@dataclass(frozen=True, slots=True)
class Measure:
    """An amount of a unit; `each` is the size of one, as in "1 (7 g) packet"; `other` the same in other words."""

    low: float | None
    high: float | None
    unit: Unit
    each: Measure | None = None
    others: tuple[Measure, ...] = ()
    plus: tuple[Measure, ...] = ()
    vague: bool = False
    sizes: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def middle(self) -> float | None:
        return None if self.low is None or self.high is None else (self.low + self.high) / 2

    def times(self, factor: float) -> Measure:
        if self.low is None or self.high is None:
            return self
        return replace(self, low=self.low * factor, high=self.high * factor)


class Reader(WordReader):
    """Reads amounts out of one line."""

    def measure(self, start: int) -> tuple[Measure, int] | None:
        """The whole amount that begins at `start`, with what is added to it and what says it in other units."""
        found = self._single(start)
        if found is None:
            return None
        first, at = found
        others: list[Measure] = []
        while True:
            added = self._added(first, at)
            if added is not None:
                # What was said of the part before does not hold for the sum.
                (first, at), others = added, []
                continue
            other = self._other(first, at)
            if other is None:
                break
            others.append(other[0])
            at = other[1]
        return replace(first, others=tuple(others)), at

    def _single(self, start: int) -> tuple[Measure, int] | None:
        vague, at = self._qualifiers(start)
        numbered = self.number(at)
        article = self.words.pattern("articles").match(self.text, at)
        if article is not None and numbered is not None:  # "un peu de farine" is no count of one
            numbered, article = (None, article) if article.end() > numbered[1] else (numbered, None)
        if article is not None and self.text[article.end() + 1 : article.end() + 2].isdigit():
            numbered = self.number(article.end() + 1)
        if numbered is None:
            return self._without_number(at, vague)
        low, end, fault = _pieces_of_size(self.text, at, numbered)
        if self.text[end : end + 2].lstrip().startswith("%"):
            return None
        faults = [] if fault is None else [fault]
        high = low
        spread = self._range_end(end)
        if spread is not None:
            high, end = spread
            if high < low:
                faults.append("runs downwards")
                low, high = high, low
        if high > LARGEST:
            return None
        if high == 0:
            faults.append("is nothing")
        made = self._unit_after(Measure(low, high, COUNT, vague=vague, faults=tuple(faults)), end)
        if made[0].unit.name == "cup" and low >= LEAST_DEGREES and _DEGREES.search(self.text, 0, made[1]):
            return None
        return self._later_range(*made)

    def _range_end(self, end: int) -> tuple[float, int] | None:
        joined = _DASH.match(self.text, end)
        if joined is None:
            spaces = past(_SPACES, self.text, end)
            word = self.words.pattern("between").match(self.text, spaces)
            if word is None or spaces == end:
                return None
            begin = past(_SPACES, self.text, word.end())
        else:
            begin = joined.end()
        second = self.number(begin)
        worded = self.text[begin : begin + 1].isdigit() or joined is not None or self._worded(begin)
        if second is None or not worded:
            return None
        value, after, fault = second
        if fault is not None:
            return None
        if re.match(r"\s*-?\s*(?:inch|in\b|cm|mm|\")", self.text[after : after + 10]):
            return None
        return value, after

    def _worded(self, at: int) -> bool:
        return self.words.number_words.match(self.text, at) is not None

    def _later_range(self, first: Measure, end: int) -> tuple[Measure, int]:
        """ "1 cup to 1 1/2 cups", "500 g - 600 g"."""
        if first.unit is COUNT or first.low is None:
            return first, end
        spaces = past(_SPACES, self.text, end)
        joined = _DASH.match(self.text, end) or self.words.pattern("between").match(self.text, spaces)
        if joined is None:
            return first, end
        numbered = self.number(past(_SPACES, self.text, joined.end()))
        if numbered is None or numbered[2] is not None:
            return first, end
        unit = self.unit(past(_SPACES, self.text, numbered[1]))
        if unit is None or unit[0].name != first.unit.name or numbered[0] <= (first.low or 0):
            return first, end
        return replace(first, high=numbered[0]), unit[1]

    def _unit_after(self, bare: Measure, end: int) -> tuple[Measure, int]:
        """The unit behind a number; between them may stand the size of one ("1 14-ounce can", "2 (8 oz) packages")."""
        at = end
        boxed = self._boxed(at)
        if boxed is not None:
            each, after, unit, sizes = boxed
            loose = unit is COUNT and not re.search(r"[-x×*(]", self.text[at:after])
            faults = (
                (*bare.faults, "stands before a weight: whether it is a part of it is not said")
                if loose
                else bare.faults
            )
            return replace(bare, unit=unit, each=each, sizes=sizes, faults=faults), after
        dimension = _DIMENSION.match(self.text, at)
        at = dimension.end() if dimension else at
        hyphen = _HYPHEN.match(self.text, at)
        at = hyphen.end() if hyphen else at
        vague, after_words = self._qualifiers(at)
        sizes, after_sizes = self._sizes(after_words)
        for place in (after_sizes, after_words, at):
            found = self.unit(place)
            if found is None:
                continue
            unit, after = found
            container = self._container(after) if unit.size and not unit.asks else None
            split = self._count_and_size(bare, unit, end, container)
            if split is not None:
                return split
            if container is not None and bare.low == bare.high:
                each = Measure(bare.low, bare.high, unit)
                return replace(bare, low=1.0, high=1.0, unit=container[0], each=each), container[1]
            kept = sizes if place == after_sizes else ()
            heaped = self.words.pattern("vague").match(self.text, past(_SPACES, self.text, after))
            if heaped is not None and unit.size and not unit.asks and self.words.language == "french":
                vague, after = True, heaped.end()
            return replace(bare, unit=unit, vague=bare.vague or vague, sizes=kept), after
        return bare, dimension.end() if dimension else end

    def _count_and_size(
        self, bare: Measure, unit: Unit, end: int, container: tuple[Unit, int] | None
    ) -> tuple[Measure, int] | None:
        """ "1 1/4-ounce package" of yeast is one package of a quarter of an ounce."""
        if container is None or unit.name != "oz" or bare.low is None or bare.low != bare.high:
            return None
        whole, part = divmod(bare.low, 1)
        if not whole or not 0 < part < 0.4 or (" 1/" not in self.text[:end] and "-1/" not in self.text[:end]):
            return None
        each = Measure(part, part, unit)
        return replace(bare, low=whole, high=whole, unit=container[0], each=each), container[1]

    def _boxed(self, at: int) -> tuple[Measure, int, Unit, tuple[str, ...]] | None:
        """The size of one before its container: "(7 g) packet", "14-ounce can", "x 400 g tins"."""
        times = _TIMES.match(self.text, at)
        opening = None if times else _OPENING.match(self.text, at)
        begin = times.end() if times else opening.end() if opening else past(_SPACES, self.text, at)
        sizes, begin = self._sizes(begin)
        if not self.text[begin : begin + 1].isdigit() and opening is None:
            return None
        inner = self._plain_measure(begin)
        if inner is None or inner[0].unit is COUNT:
            return None
        each, end = inner
        other = self._other(each, end) if opening else None
        if other is not None:
            each, end = _metric_first(each, other[0]), other[1]
        if opening:
            closing = _CLOSING.match(self.text, end)
            if closing is None:
                return None
            end = closing.end()
        container = self._container(end)
        if container is None:
            return (each, end, COUNT, sizes) if times or (not opening and self.text[at : at + 1] == " ") else None
        return each, container[1], container[0], sizes

    def _plain_measure(self, at: int) -> tuple[Measure, int] | None:
        """Number and unit alone, a hyphen between them allowed."""
        _, at = self._qualifiers(at)
        numbered = self.number(at)
        if numbered is None:
            return None
        low, end, fault = numbered
        high = low
        range_to = re.compile(r"\s*-?\s*(?:to|or)\s*-?\s*|\s*-\s*(?=\d)").match(self.text, end)
        second = self.number(range_to.end()) if range_to else None
        if second is not None and second[0] > low:
            high, end, fault = second
        joined = _HYPHEN.match(self.text, end)
        unit = self.unit(joined.end() if joined else end)
        if unit is None or fault is not None:
            return None
        return Measure(low, high, unit[0]), unit[1]

    def _container(self, at: int) -> tuple[Unit, int] | None:
        found = _HYPHENS.match(self.text, at)
        _, begin = self._sizes(found.end() if found else at)
        unit = self.unit(begin)
        if unit is None or not (unit[0].container or unit[0].before or unit[0].name in ("piece", "slice", "stick")):
            return None
        return unit

    def _without_number(self, at: int, vague: bool) -> tuple[Measure, int] | None:
        """ "Pinch of salt" is one; "sprigs of thyme" are some; "a handful of walnuts" is one."""
        article = self.words.pattern("articles").match(self.text, at)
        begin = past(_SPACES, self.text, article.end()) if article else at
        more_vague, begin = self._qualifiers(begin)
        sizes, begin = self._sizes(begin)
        found = self.unit(begin)
        if found is None:
            return None
        unit, end = found
        spoon = unit.name in ("tsp", "tbsp") and len(unit.word) > 2
        if not article and not unit.asks and not (vague or more_vague) and not spoon:
            return None
        if len(unit.word or unit.name) < 2:
            return None
        one = not _plural(unit.word)
        amount = 1.0 if one else None
        faults = ("has no number: one is taken",) if spoon and not article and not (vague or more_vague) else ()
        return Measure(amount, amount, unit, vague=vague or more_vague, sizes=sizes, faults=faults), end

    def _added(self, first: Measure, at: int) -> tuple[Measure, int] | None:
        """ "1 cup plus 2 tablespoons", "2 lb 4 oz": a smaller measure that follows at once is added."""
        if first.unit is COUNT or first.each is not None or (first.unit.size is None and first.unit.name != "stick"):
            return None
        begin = past(_COMMA, self.text, at)
        minus = self.words.pattern("minus").match(self.text, begin)
        plus = minus or self.words.pattern("plus").match(self.text, begin) or _PLUS.match(self.text, begin)
        begin = past(_SPACES, self.text, plus.end()) if plus else begin
        if begin == at:
            return None
        second = self._single(begin)
        if second is None or second[0].unit is COUNT or second[0].each is not None or second[0].low is None:
            return None
        factor = _in_units_of(first.unit, second[0].unit)
        if not plus and (factor is None or factor >= 1):
            return None
        after = self.text[second[1] :].lstrip(" ,")
        more = self.words.pattern("more").match(after)
        after = after[more.end() :].lstrip() if more else after
        if plus and (self.words.pattern("no_weight").match(after) or (more and not after)):
            return None
        if minus and (factor is None or (second[0].low or 0) * factor >= (first.low or 0)):
            return None
        if factor is None:
            return replace(first, plus=(*first.plus, second[0])), second[1]
        added = second[0].times(-factor if minus else factor)
        assert first.low is not None and first.high is not None and added.low is not None and added.high is not None
        return replace(first, low=first.low + added.low, high=first.high + added.high), second[1]

    def _other(self, first: Measure, at: int) -> tuple[Measure, int] | None:
        """The same amount in other units: "/ 4 cups", "(about 2 sticks)", "or 1 stick", "7g/¼oz", "300 g 2 cups"."""
        mark = _SLASH.match(self.text, at)
        begin = mark.end() if mark else past(_SPACES, self.text, at)
        if not mark:
            word = self.words.pattern("either").match(self.text, begin)
            begin = past(_SPACES, self.text, word.end()) if word else begin
        bracket = mark is not None and mark[0].strip() in "(["
        found = self._single(begin)
        if found is None or found[0].unit is COUNT or found[0].low is None:
            return None
        other, end = found
        added = self._added(other, end)
        if added is not None:
            other, end = added
        if bracket:
            nested = self._other(other, end)
            if nested is not None:
                other, end = _metric_first(other, nested[0]), nested[1]
            each = re.compile(r"\s*(?:each|apiece|je|chacun|chacune|styck|hver)\b", re.IGNORECASE).match(self.text, end)
            total = re.compile(r"\s*(?:in total|total|altogether)\b", re.IGNORECASE).match(self.text, end)
            end = each.end() if each else total.end() if total else end
            closing = _CLOSING.match(self.text, end)
            if closing is None:
                return None
            if each:
                other = replace(other, sizes=("each",))
            return other, closing.end()
        if not mark and (other.unit.name == first.unit.name or other.unit.container):
            return None
        if not mark and not word and not (first.unit.size and other.unit.size):
            return None
        return other, end

    def _qualifiers(self, at: int) -> tuple[bool, int]:
        """Past "about", "level", "heaping": whether what follows is vague, and where it begins."""
        vague = False
        while True:
            at = past(_SPACES, self.text, at)
            found = self.words.pattern("about", "level").match(self.text, at)
            if found is None:
                found = self.words.pattern("vague").match(self.text, at)
                if found is None:
                    mark = _TILDE.match(self.text, at)
                    if mark is None:
                        return vague, at
                    at = mark.end()
                    continue
                after = past(_POINT, self.text, found.end())
                if self.unit(after) is None and self.number(after) is None:
                    return vague, at
                vague = True
            at = found.end()
            if self.text[at : at + 1] == ".":
                at += 1

    def _sizes(self, at: int) -> tuple[tuple[str, ...], int]:
        sizes: list[str] = []
        while True:
            found = self.words.pattern("sizes").match(self.text, at)
            if found is None:
                return tuple(sizes), at
            sizes.append(found[0].casefold())
            at = past(_SPACES, self.text, found.end())


def _pieces_of_size(text: str, start: int, read: tuple[float, int, str | None]) -> tuple[float, int, str | None]:
    """ "4 1/2-inch pieces" are four of half an inch."""
    counted = _COUNTED.match(text, start)
    return read if counted is None else (float(counted[1]), counted.end(1), None)


@lru_cache(maxsize=4000)
def first_measure(text: str, words: Words) -> tuple[Measure, int] | None:
    """The amount that a text begins with; asked several times of each line of a recipe."""
    return Reader(text, words).measure(0)


def _metric_first(one: Measure, other: Measure) -> Measure:
    return other if other.unit.weighs and not one.unit.weighs else one


def _in_units_of(base: Unit, unit: Unit) -> float | None:
    """How many of `base` one of `unit` is; None where they measure different things."""
    from adapter.formula.amounts import unit_size

    sizes = [part.size or ("stick" if part.name == "stick" else None) for part in (base, unit)]
    if sizes == ["stick", "tablespoon"]:
        return 1 / 8
    if sizes[0] is None or sizes[1] is None:
        return None
    (ours, kind), (theirs, other_kind) = unit_size(sizes[0]), unit_size(sizes[1])
    return theirs * unit.times / (ours * base.times) if kind == other_kind else None


def _plural(word: str) -> bool:
    return word.endswith(("s", "es")) and not word.endswith("ss")
