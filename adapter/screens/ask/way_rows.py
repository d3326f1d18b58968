"""The answers as rows: each way with drift, price and how sure it is, and its swaps with why under it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from textwrap import wrap
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Column, Items, listed
from adapter.screens.parts.rows import Row, RowList
from adapter.screens.parts.swap_rows import sure_text, swap_rows, warning_rows

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.adapt import Answer
    from adapter.swaps.way import Way
    from adapter.words.units import Units

FREE, MUST = "[ ]", "[x]"
COLUMNS = (Column("", least=20),)


@dataclass(frozen=True, slots=True)
class Place:
    """What a row is of: a way, and one of its swaps or None."""

    way: int
    swap: int | None = None


class WayRows(RowList):
    """Ways and their swaps."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("ways", COLUMNS, id=id)
        self.places: tuple[Place | None, ...] = ()
        self.answer: Answer | None = None

    @property
    def place(self) -> Place | None:
        return None if self.index is None or not self.places else self.places[self.index]

    @property
    def way(self) -> Way | None:
        """The way of the highlighted row."""
        place = self.place
        return None if place is None or self.answer is None else self.answer.ways[place.way]

    def looking_anew(self) -> None:
        """What is shown still answers what was wished before."""
        self.title = "by the wishes before · looking anew …"
        self.refresh()

    def show_ways(self, answer: Answer | None, pantry: Pantry | None, units: Units, took_s: float, empty: str) -> None:
        from adapter.words.adapt_report import adapt_report, conflict_lines

        self.answer = answer
        self.empty = empty
        rows: list[Row] = []
        places: list[Place | None] = []
        width = (self.size.width or self.screen.size.width) - 5
        if answer is not None:
            report = adapt_report(answer)
            for text in conflict_lines(report):
                told = warning_rows(text, width)
                rows += told
                places += [None] * len(told)
            for number, way in enumerate(answer.ways):
                found = _way_rows(number, way, answer.wishes.pinned, pantry, width, units)
                rows += [row for row, _ in found]
                places += [place for _, place in found]
            rows += [Row((text,), "faint", True) for text in wrap(report["fewer"] or "", width)]
            places += [None] * (len(rows) - len(places))
        self.places = tuple(places)
        count = 0 if answer is None else len(answer.ways)
        title = "no way" if answer is not None and not count else "one way" if count == 1 else f"{count} ways"
        self.show(rows, title="ways" if answer is None else f"{title} · {took_s:.1f} s")


def _way_rows(
    number: int, way: Way, pinned: Collection[str], pantry: Pantry | None, width: int, units: Units
) -> list[tuple[Row, Place | None]]:
    from adapter.words.adapt_report import missed_lines, moved_parts, way_report
    from adapter.words.text_report import LEFT_OUT, amounts_text

    report = way_report(way)
    rows: list[tuple[Row, Place | None]] = [(Row((_head(number, way, pantry, units),)), Place(number))]
    for place, swap in enumerate(report["swaps"]):
        sign = MUST if swap["name"] in pinned else FREE
        into = amounts_text(swap["into"], units.amount) or LEFT_OUT
        out = f"  {sign} {amounts_text(swap['out'], units.amount)}"
        told = swap_rows(out, into, [units.told(text) for text in swap["why"][:1]], width)
        rows += [(row, Place(number, place)) for row in told]
    if report["moved"]:
        moved = moved_parts(report["moved"], units)
        parts = tuple(("      with " if not at else ", ") + text for at, text in enumerate(moved))
        rows.append((Row((Items(parts, style="faint"),)), Place(number)))
    arriving = dict.fromkeys(item["ingredient"] for swap in report["swaps"] for item in swap["into"])
    for line in [*missed_lines(report), *_dated(arriving, pantry)]:
        rows.append((Row((listed("      " + line, style="warn"),)), Place(number)))
    return rows


def _dated(names: Iterable[str], pantry: Pantry | None) -> list[str]:
    """What of them is past its date in the pantry, or soon will be."""
    from adapter.words.freshness import first_date, freshness_sentence

    if pantry is None:
        return []
    told = {name: freshness_sentence(first_date(pantry, name), date.today()) for name in names}
    return [f"{name}: {sentence}" for name, sentence in told.items() if sentence]


def _head(number: int, way: Way, pantry: Pantry | None, units: Units) -> Items:
    count = len(way.swaps)
    price = price_text(way, pantry)
    parts = [
        "no swap" if not count else "1 swap" if count == 1 else f"{count} swaps",
        f"drift {way.drift:.1f}",
        *([f"price {price}"] if price else []),
    ]
    if way.missed:
        parts.append(f"{len(way.missed)} wish{'' if len(way.missed) == 1 else 'es'} missed")
    if way.short:
        parts.append(
            "short of "
            + ", ".join(f"{units.amount(item.grams, item.ingredient)} {item.ingredient}" for item in way.short)
        )
    if way.allergens_added:
        parts.append("brings in " + ", ".join(way.allergens_added))
    parts.append(sure_text(way.proven, way.gap))
    told = (parts[0], *(f" · {part}" for part in parts[1:]))
    return Items(told, before=((f"{number + 1}  ", "accent"),), style="warn" if way.missed or way.short else "strong")


def price_text(way: Way, pantry: Pantry | None) -> str:
    """What the loaf costs, or what it costs at least where prices are missing."""
    from adapter.swaps.comparison import priced

    if pantry is None:
        return ""
    total, without = priced(way.after.formula, pantry)
    return "" if not total else f"≥ {total:.2f}" if without else f"{total:.2f}"
