"""The words behind the amount of a line: the ingredient's own, and apart from them size, preparation and notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from adapter.recipes.words import Words, last_match, plain

_BRACKET = re.compile(r"\s*[(\[]([^()\[\]]*)[)\]]?")
_DASH = re.compile(r":\s+|\s+-{1,2}\s+|\s*;\s*|\s+\*+\s*|\s*\*+$")
_WARMTH = re.compile(r"\s(?:(?:at|à|bei|på|ved|i)\s)?\d{1,3}\s?°")
_DOUGH_YIELD = re.compile(r"\s(TA\s?\d{3})\b")
_LEADING = re.compile(r"^[\s,.:;*·•\-]+")
_TRAILING = re.compile(r"[\s,.:;*·\-–]+$")
_ENDS_AS_PREPARED = re.compile(
    r"(?:(?<!se)ed|removed|optional|more|taste|needed|pieces|well|aside|only)$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Worded:
    """`name` without preparation and size, `forms` both of those, `notes` the rest in its own words.

    `whole` is the name with what was taken from its front and end: some ingredients are called by it.
    """

    name: str
    forms: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    whole: str = ""


def worded(text: str, words: Words) -> Worded:
    """The words of a line behind its amount, sorted."""
    notes: list[str] = []
    text = _BRACKET.sub(lambda found: _noted(found[1], notes), text)
    text = _DOUGH_YIELD.sub(lambda found: _noted(found[1], notes), text)
    text = _LEADING.sub("", " ".join(text.split()))
    first_words = words.pattern("to_taste").match(text)
    if first_words is not None and first_words.end() < len(text):
        notes.append(first_words[0])
        text = _LEADING.sub("", text[first_words.end() :])
    text = _without_of(text, words)
    first, *others = _DASH.split(text, maxsplit=1)
    notes += [other for other in others if other.strip()]
    name, forms, rest = _own_words(first, words)
    whole = _TRAILING.sub("", _cut_at_note(first.partition(",")[0], words)[0])
    notes = [note.strip(" ,;") for note in (*rest, *notes)]
    return Worded(name, tuple(forms), tuple(filter(None, notes)), whole)


def _noted(inside: str, notes: list[str]) -> str:
    notes.append(inside.strip())
    return " "


def _without_of(text: str, words: Words) -> str:
    """ "of salt", "de la farine", "d'huile" without the small word."""
    for of in sorted(words.lists["of"], key=len, reverse=True):
        low = text.casefold().replace("’", "'")
        if low.startswith(plain(of)) and (of.endswith(("'", "’")) or low[len(of) : len(of) + 1] == " "):
            return text[len(of) :].lstrip()
    return text


def _own_words(text: str, words: Words) -> tuple[str, list[str], list[str]]:
    segments = [segment.strip() for segment in re.split(r",(?!\d)\s*|,\s+", text)]
    forms: list[str] = []
    notes: list[str] = []
    while segments:
        name = _stripped(segments.pop(0), words, forms)
        if not name:
            continue
        name, segments = _with_adjective(name, segments, words, forms)
        name, segments = _with_listed(name, segments, words)
        name, after = _cut_at_note(name, words)
        if not name:
            notes.append(after)
            continue
        name = _trailing_stripped(name, words, forms)
        notes += [after, *segments]
        for segment in segments:
            forms += _forms_of(segment, words)
        forms += _forms_of(after, words)
        break
    else:
        name = ""
    return _TRAILING.sub("", name), list(dict.fromkeys(forms)), notes


def _stripped(text: str, words: Words, forms: list[str]) -> str:
    """The text without the words of size and preparation it begins with."""
    while True:
        text = _LEADING.sub("", text)
        if words.pattern("whole_names").match(text):
            return text
        found = words.pattern("sizes", "preparations").match(text)
        if found is None:
            found = _adverb_before_preparation(text, words)
        if found is None:
            joined = re.match(r"(?:and|&|und|et|och|og|or)\s+", text, re.IGNORECASE)
            if joined and forms:
                text = text[joined.end() :]
                continue
            return text
        rest = text[found.end() :]
        if rest[:1] == "-":
            return text
        forms += [plain(found[0]), *_last_word(found[0])]
        text = _without_of(rest.lstrip(), words)


def _last_word(text: str) -> list[str]:
    last = plain(text).split()[-1:]
    return last if last != [plain(text)] else []


def _begins_prepared(text: str, words: Words) -> bool:
    return bool(words.pattern("sizes", "preparations").match(text) or _adverb_before_preparation(text, words))


def _adverb_before_preparation(text: str, words: Words) -> re.Match[str] | None:
    adverb = words.pattern("adverbs").match(text)
    while adverb is not None:
        begin = adverb.end()
        gap = re.compile(r"\s+").match(text, begin)
        if gap is None:
            return None
        prepared = words.pattern("preparations").match(text, gap.end())
        if prepared is not None:
            return re.compile(re.escape(text[: prepared.end()])).match(text)
        following = words.pattern("adverbs").match(text, gap.end())
        if following is None:
            return None
        adverb = following
    return None


def _trailing_stripped(text: str, words: Words, forms: list[str]) -> str:
    """The text without words of preparation behind the name: "beurre fondu", "eggs separated"."""
    pattern = words.pattern("preparations", "sizes_behind")
    while True:
        text = _TRAILING.sub("", text)
        last = last_match(pattern, text)
        tail = text[last.end() :] if last is not None else ""
        if last is None or tail not in ("", " well") or last.start() == 0:
            return _without_hanging(text, words)
        forms.append(plain(last[0]))
        text = text[: last.start()].rstrip()
        adverb = re.search(r"\s(\S+)$", text)
        if adverb and words.pattern("adverbs").fullmatch(adverb[1]):
            text = text[: adverb.start()]


def _without_hanging(text: str, words: Words) -> str:
    hanging = re.search(r"\s(?:and|or|und|oder|et|ou|och|eller|og|but)$", text, re.IGNORECASE)
    text = text[: hanging.start()] if hanging else text
    about = last_match(words.pattern("about"), text)
    return text[: about.start()].rstrip() if about is not None and about.start() and about.end() == len(text) else text


def _with_adjective(name: str, segments: list[str], words: Words, forms: list[str]) -> tuple[str, list[str]]:
    """ "all-purpose, unbleached flour" is one name, and so is "butter, unsalted" the other way round."""
    adjectives = words.pattern("adjectives")
    while segments and segments[0] and not segments[0][0].isdigit() and adjectives.fullmatch(name.split(", ")[-1]):
        rest = _stripped(segments[0], words, forms)
        name = f"{name}, {rest}" if rest == segments[0] else f"{name} {rest}"
        segments = segments[1:]
    if segments and adjectives.fullmatch(segments[0]) and len(name.split()) < 3:
        return f"{segments[0]} {name}", segments[1:]
    return name, segments


def _with_listed(name: str, segments: list[str], words: Words) -> tuple[str, list[str]]:
    """A list of alternatives stays whole: "peanut, vegetable or corn oil", "salt, white pepper and cayenne pepper"."""
    if len(name.split()) > 3 or not segments:
        return name, segments
    joins = words.pattern("either", "both")
    for count, segment in enumerate(segments[:4]):
        cut = _cut_at_note(segment, words)[0]
        plain_preparation = _begins_prepared(segment, words) and not _adverb_kept(segment)
        if not cut or cut[0].isdigit() or plain_preparation or len(cut.split()) > 6:
            return name, segments
        if words.pattern("note_words", "more", "to_taste", "no_weight").match(segment):
            return name, segments
        either = words.pattern("either", "both").match(segment)
        if either and (not count or segment[either.end() :].lstrip()[:1].isdigit()):
            return name, segments
        if not joins.search(cut) and _ENDS_AS_PREPARED.search(cut):
            return name, segments
        if joins.search(cut) and not _ENDS_AS_PREPARED.search(cut):
            rest = segments[count + 1 :]
            listed = [name, *segments[: count + 1]]
            if rest and words.pattern("either").match(rest[0]) and not words.pattern("to_taste", "more").match(rest[0]):
                listed.append(rest[0])
                rest = rest[1:]
            return ", ".join(listed), rest
    return name, segments


def _adverb_kept(segment: str) -> bool:
    return segment.casefold().startswith("freshly ground")


def _cut_at_note(text: str, words: Words) -> tuple[str, str]:
    """Name and what is said of it from the first word on that begins a note: "for dusting", "cut into cubes"."""
    earliest = len(text)
    for keys in (("note_words",), ("to_taste",), ("no_weight",), ("more",)):
        for found in words.pattern(*keys).finditer(text):
            if found.start() > 0 and text[found.start() - 1] in " ," and not _hyphened(text, found.end()):
                earliest = min(earliest, found.start())
                break
    warmth = _WARMTH.search(text)
    earliest = min(earliest, warmth.start()) if warmth else earliest
    for prepared in words.pattern("preparations").finditer(text):
        following = text[prepared.end() :]
        behind = re.match(r"\s+(?:and|in|into|or|with|until|to|under|from|for)\s", following)
        if prepared.start() > 0 and prepared.start() < earliest and behind and text[prepared.start() - 1] == " ":
            earliest = prepared.start()
            break
    for joined in re.finditer(words.pattern("either", "plus").pattern + r"|[+&]", text, re.IGNORECASE):
        if joined.start() > 0 and re.match(r"\s+(?:an?\s+)?\d", text[joined.end() :]):
            earliest = min(earliest, joined.start())
    adverb_cut = _adverb_cut(text[:earliest], words)
    earliest = min(earliest, adverb_cut)
    return text[:earliest].strip(" ,"), text[earliest:].strip(" ,")


def _adverb_cut(text: str, words: Words) -> int:
    for found in words.pattern("adverbs").finditer(text):
        if found.start() > 0 and _adverb_before_preparation(text[found.start() :], words):
            rest = _adverb_before_preparation(text[found.start() :], words)
            if rest is not None and found.start() + rest.end() >= len(text.rstrip()):
                return found.start()
    return len(text)


def _hyphened(text: str, end: int) -> bool:
    return text[end : end + 1] == "-"


def _forms_of(text: str, words: Words) -> list[str]:
    """What is said of size and packing behind the name. What is done to it after it was measured changes no weight."""
    found = [plain(form[0]) for form in words.pattern("preparations").finditer(text)]
    size = words.pattern("sizes").match(text)
    return [form for form in found if "packed" in form] + ([plain(size[0])] if size else [])
