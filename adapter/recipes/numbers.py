"""Numbers and words of units at a place of a line, in digits or words, as one language writes them."""

from __future__ import annotations

import re

from adapter.recipes.words import Unit, Words

MOST_SPACED = 50_000
_PLAIN_NUMBER = r"\d{1,7}(?:[.,]\d{1,4})*|[.,]\d{1,4}"
_BARE_NUMBER = re.compile(_PLAIN_NUMBER)
_FRACTION = r"\d{1,4}\s?/\s?\d{1,4}"
_NUMBER = re.compile(
    rf"(?P<whole>\d{{1,4}})(?:\s{{1,2}}|-|\s(?:and|und|et|och|og|&)\s)(?P<part>{_FRACTION})(?!\d)"
    rf"|(?P<fraction>{_FRACTION})(?!\d)"
    rf"|(?P<spaced>[1-9]\d{{0,2}}(?:[ '’]\d{{3}})+)(?!\d)(?!\s?/)"
    rf"|(?P<plain>{_PLAIN_NUMBER})"
)
_DOZENS = re.compile(r"(\d{1,2})\s+(?:dozen|Dutzend|douzaines?\s+de|dussin)\b", re.IGNORECASE)
_SPACES = re.compile(r"\s*")
_SPACE = re.compile(r" ?")
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*\.?")


class WordReader:
    """One line in one language. The line has plain fractions and hyphens already."""

    def __init__(self, text: str, words: Words) -> None:
        self.text = text
        self.words = words

    def number(self, start: int) -> tuple[float, int, str | None] | None:
        """A number in digits or words, where it ends, and what is wrong with it."""
        found = _NUMBER.match(self.text, start)
        dozens = _DOZENS.match(self.text, start)
        if dozens is not None:
            return 12.0 * float(dozens[1]), dozens.end(), None
        if found is None:
            word = self.words.number_words.match(self.text, start)
            if word is None:
                return None
            key = " ".join(word[0].casefold().replace(".", " ").split())
            return self.words.numbers[key], word.end(), None
        if found["spaced"] is not None and not self._spaced_thousands(found["spaced"]):
            found = _BARE_NUMBER.match(self.text, start)
            assert found is not None
            return self._digits(found[0], found.end())
        if found["part"] is not None:
            value = _fraction(found["part"])
            whole = float(found["whole"])
            return (whole, found.end(), "divides by zero") if value is None else (whole + value, found.end(), None)
        if found["fraction"] is not None:
            value = _fraction(found["fraction"])
            return (0.0, found.end(), "divides by zero") if value is None else (value, found.end(), None)
        if found["spaced"] is not None:
            return float(re.sub(r"\D", "", found["spaced"])), found.end(), None
        return self._digits(found["plain"], found.end())

    def _spaced_thousands(self, digits: str) -> bool:
        """Whether "1 000" is one number here; "Type 550 400 g" holds two."""
        return self.words.decimal_comma and float(re.sub(r"\D", "", digits)) <= MOST_SPACED

    def _digits(self, digits: str, end: int) -> tuple[float, int, str | None]:
        """Points and commas by what the language means by them; "1.250" and "1,250" by what they stand before."""
        marks = re.findall(r"[.,]", digits)
        if not marks:
            return float(digits), end, None
        if len(marks) > 1:
            if re.fullmatch(r"[1-9]\d{0,2}(?:[.,]\d{3})+", digits) and len(set(marks)) == 1:
                return float(re.sub(r"[.,]", "", digits)), end, None
            last = max(digits.rfind("."), digits.rfind(","))
            whole = re.sub(r"[.,]", "", digits[:last]) or "0"
            fault = None if len(set(marks)) == 2 else "can be read in two ways"
            return float(f"{whole}.{digits[last + 1 :]}"), end, fault
        if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", digits):
            return self._three_places(digits, end)
        return float(digits.replace(",", ".")), end, None

    def _three_places(self, digits: str, end: int) -> tuple[float, int, str | None]:
        following = self.unit(past(_SPACES, self.text, end))
        small = following is not None and following[0].name in ("g", "mg", "ml") and following[0].times == 1
        thousands = "." if self.words.decimal_comma else ","
        as_thousands, as_decimal = float(re.sub(r"[.,]", "", digits)), float(digits.replace(",", "."))
        if small:
            fault = None if thousands in digits else "can be read in two ways"
            return as_thousands, end, fault
        if thousands in digits:
            return as_thousands, end, "can be read in two ways"
        return as_decimal, end, None

    def unit(self, at: int) -> tuple[Unit, int] | None:
        """The unit that begins here, in as many words as the longest that fits."""
        ends: list[int] = []
        place = at
        while len(ends) < self.words.longest_unit:
            word = _WORD.match(self.text, place)
            if word is None:
                break
            ends.append(word.end())
            place = word.end()
            gap = _SPACE.match(self.text, place)
            place = gap.end() if gap else place
        for end in reversed(ends):
            written = self.text[at:end]
            unit = self.words.unit(written)
            if unit is None or self.text[end : end + 1].isdigit():
                continue
            following = self.text[end : end + 30].casefold().replace("-", " ").split()
            if not unit.before or (following[:1] and following[0].strip(",.") in unit.before):
                return unit, end
        return None


def _fraction(text: str) -> float | None:
    above, _, below = text.partition("/")
    return float(above) / float(below) if float(below) else None


def past(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def written_number(text: str) -> float:
    """ "1 1/2", "2,5", "3/4" as a number."""
    whole, _, part = text.strip().rpartition(" ")
    if "/" in part:
        above, _, below = part.partition("/")
        return (float(whole) if whole else 0.0) + float(above) / (float(below) or 1.0)
    return float(part.replace(",", "."))
