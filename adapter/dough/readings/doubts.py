"""What is not known for sure of a formula, and how much of it is left in the difference of two.

Each figure of an ingredient moves the totals by so much for one half-width. Two formulas of one list share nearly all
of their lines: what those make unsure of a difference is a square form in the change of the slopes, worked out once for
all that is set against the same formula; only the figures of lines that differ are gone through one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from adapter.dough.readings.linear import Parts
from adapter.dough.readings.stage_uses import Pooled, Uses, differing
from adapter.dough.readings.totals import Composer, Direction
from adapter.formula.model import Line

Figure = tuple[str, str]
"""(ingredient, figure)."""
Row = dict[int, float]
ByTotal = dict[int, list[tuple[Figure, float]]]
Effects = dict[Figure, float]

FEW = 0.5
"""Where lines that differ touch more than this part of the figures, all are gone through: it is no slower then."""


class Doubts:
    """By how much one half-width of each figure of a formula moves its totals."""

    def __init__(self, composer: Composer, lines: Pooled, uses: Uses) -> None:
        self.composer, self.lines, self._uses = composer, lines, uses

    def directions(self, line: Line) -> Sequence[Direction]:
        return self.composer.directions(line, self._uses)

    @cached_property
    def rows(self) -> dict[Figure, Row]:
        """For each figure what it moves, over all lines."""
        found: dict[Figure, Row] = {}
        for line, grams in self.lines.values():
            _add_line(found, self.directions(line), grams)
        return found

    @cached_property
    def by_total(self) -> ByTotal:
        """For each total what moves it."""
        return _by_total(self.rows)

    def add_effects(self, effects: Effects, slopes: Sequence[float], sign: float = 1.0) -> None:
        """Add what one half-width of each figure changes, by the slopes along the totals."""
        _add(effects, self.by_total, [(place, sign * slope) for place, slope in enumerate(slopes) if slope])

    def squares(self, slopes: Mapping[int, float]) -> float:
        """The sum over all figures of the square of what a half-width changes."""
        total = 0.0
        for place, slope in slopes.items():
            total += slope * sum([part * slopes.get(other, 0.0) for other, part in self._products[place].items()])
        return total

    @cached_property
    def _products(self) -> list[Row]:
        """For each two totals the sum over the figures of how far it moves the one times how far it moves the other."""
        found: list[Row] = [{} for _ in self.composer.layout.keys]
        for row in self.rows.values():
            for place, amount in row.items():
                products = found[place]
                for other, more in row.items():
                    products[other] = products.get(other, 0.0) + amount * more
        return found


class DoubtsBetween:
    """What is unsure of the differences between two formulas by the figures."""

    def __init__(self, before: Doubts, after: Doubts) -> None:
        self.before = before
        others = differing(before.lines, after.lines)
        touched = {figure for _, line, _ in others for figure, _ in before.directions(line)}
        self._sharing = before.composer is after.composer and len(touched) <= FEW * len(before.rows)
        if self._sharing:
            was = {figure: before.rows[figure] for figure in touched if figure in before.rows}
            now = {figure: dict(row) for figure, row in was.items()}
            for _, line, more in others:
                _add_line(now, before.directions(line), more)
            self._was, self._now = _by_total(was), _by_total(now)
        else:
            self._was, self._now = before.by_total, after.by_total

    def squares(self, was: Parts, now: Parts) -> float:
        """The squares of what a half-width of each figure changes in a difference, summed, by the slopes of both."""
        effects: Effects = {}
        _add(effects, self._now, now)
        _add(effects, self._was, [(place, -slope) for place, slope in was])
        total = _squared(effects)
        return total + self._shared_squares(was, now) if self._sharing else total

    def _shared_squares(self, was: Parts, now: Parts) -> float:
        """Of the figures of lines that stand in both alike: all figures of the one before, less those of the others."""
        moved = dict(now)
        for place, slope in was:
            moved[place] = moved.get(place, 0.0) - slope
        others: Effects = {}
        _add(others, self._was, moved.items())
        return max(self.before.squares(moved) - _squared(others), 0.0)


def _add_line(rows: dict[Figure, Row], directions: Iterable[Direction], grams: float) -> None:
    for figure, parts in directions:
        row = rows.setdefault(figure, {})
        for place, delta in parts:
            row[place] = row.get(place, 0.0) + grams * delta


def _by_total(rows: Mapping[Figure, Row]) -> ByTotal:
    found: ByTotal = {}
    for figure, row in rows.items():
        for place, amount in row.items():
            found.setdefault(place, []).append((figure, amount))
    return found


def _add(effects: Effects, amounts: ByTotal, slopes: Iterable[tuple[int, float]]) -> None:
    for place, slope in slopes:
        for figure, amount in amounts.get(place, ()):
            effects[figure] = effects.get(figure, 0.0) + slope * amount


def _squared(effects: Effects) -> float:
    return sum([effect * effect for effect in effects.values()])
