"""The rows of a comparison: lines, readings, allergens, what must be bought, logged bakes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite

from adapter.dough.readings.levels import MORE, Level
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.registry import READING_KEYS
from adapter.exports.line_names import line_name
from adapter.files.log_file import Bake
from adapter.formula.pantry import Pantry
from adapter.screens.compare.variant_table import VariantCell, VariantRow
from adapter.screens.parts.shared_tracks import differs_clearly
from adapter.swaps.comparison import AlignedLine, Allergen, Need, price_change, priced
from adapter.swaps.offer import drift_from
from adapter.words.comparison_words import CLEAR_SIGN, change_sign, change_word
from adapter.words.text_report import NOTHING, figure_text
from adapter.words.units import Units

LINE, READING, ALLERGEN, NEED, BAKE = "line", "reading", "allergen", "need", "bake"
DRIFT, COST, BUY, BRINGS = "drift", "cost", "buy", "brings"
GLANCE = (DRIFT, COST, BUY, BRINGS)
SAME = VariantCell(NOTHING)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything worked out for the columns that are compared."""

    variants: tuple[Measured, ...]
    lines: tuple[AlignedLine, ...]
    levels: tuple[tuple[Level, ...], ...]
    allergens: tuple[Allergen, ...]
    needs: tuple[Need, ...]
    bakes: tuple[tuple[Bake, ...], ...]
    pantry: Pantry | None


def rows_of(comparison: Comparison, first: str, only_differing: bool, units: Units) -> list[VariantRow]:
    """The whole table, or only the rows in which the columns clearly differ, under their headings."""
    rows: list[VariantRow] = []
    for head, part in (
        (f"at a glance, against {first}", _glance(comparison, units)),
        *_lines(comparison, units),
        (f"readings, change against {first}", _readings(comparison)),
        ("allergens, by the tables", _allergens(comparison)),
        _purchases(comparison, units),
        ("bakes in the log, the last one", _bakes(comparison, units)),
    ):
        rows_here = [row for row in part if row.differs or not only_differing]
        if rows_here:
            rows += [VariantRow("", "", head), *rows_here]
    return rows


def _glance(comparison: Comparison, units: Units) -> list[VariantRow]:
    """Drift, price, what must be bought, allergens: what a person asks first."""
    if len(comparison.variants) < 2:
        return []
    first = comparison.variants[0]
    drifts = [drift_from(first, variant) for variant in comparison.variants]
    cells = [SAME, *(VariantCell(f"{drift:.1f}") for drift in drifts[1:])]
    rows = [VariantRow(DRIFT, "", "drift", tuple(cells), any(drift >= 0.05 for drift in drifts))]
    if comparison.pantry is not None:
        rows += [_prices(comparison, comparison.pantry), _bought(comparison, units)]
    brought = [
        [each.group for each in comparison.allergens if each.contained[column] and not each.contained[0]]
        for column in range(len(comparison.variants))
    ]
    cells = [VariantCell(str(len(groups)), word="new", warns=True) if groups else SAME for groups in brought]
    return [*rows, VariantRow(BRINGS, "", "allergens brought in", tuple(cells), any(brought))]


def _prices(comparison: Comparison, pantry: Pantry) -> VariantRow:
    """What the ingredients cost; where some have no price, what the others cost at least."""
    first = comparison.variants[0].formula
    found = [priced(variant.formula, pantry) for variant in comparison.variants]
    cells = []
    for variant, (total, without) in zip(comparison.variants, found, strict=True):
        change = price_change(first, variant.formula, pantry)
        second = "" if change is None or abs(change) < 0.005 else f"{change:+.2f}".replace("-", "−")
        word = f"{len(without)} unpriced" if without else ""
        cells.append(VariantCell(f"≥ {total:.2f}" if without else f"{total:.2f}", second, word=word) if total else SAME)
    return VariantRow(COST, "", "price of ingredients", tuple(cells), len({f"{total:.2f}" for total, _ in found}) > 1)


def _bought(comparison: Comparison, units: Units) -> VariantRow:
    """How many things must be bought, and how much of them in all."""
    columns = range(len(comparison.variants))
    missing = [[need.missing[column] for need in comparison.needs if need.missing[column]] for column in columns]
    cells = tuple(
        VariantCell(units.weight_cell(sum(each)), word=f"in {len(each)}", sign=CLEAR_SIGN) if each else VariantCell("0")
        for each in missing
    )
    return VariantRow(BUY, "", f"to buy, {units.weight}", cells, len({tuple(each) for each in missing}) > 1)


def _lines(comparison: Comparison, units: Units) -> list[tuple[str, list[VariantRow]]]:
    stages: dict[str, list[VariantRow]] = {}
    for place, line in enumerate(comparison.lines):
        rows = stages.setdefault(line.stage, [])
        cells = tuple(_line_cell(line, column, units) for column in range(len(line.grams)))
        rows.append(VariantRow(LINE, str(place), line_name(line), cells, line.differs))
    return [(f"{stage}: {units.amounts}, % of flour", rows) for stage, rows in stages.items()]


def _line_cell(line: AlignedLine, column: int, units: Units) -> VariantCell:
    grams, percent, before = line.grams[column], line.percent[column], line.grams[0]
    if grams is None or percent is None:
        return VariantCell(NOTHING, sign="" if before is None else "−", word="" if before is None else "left out")
    value, second = units.cell(grams, line.ingredient), f"{percent:.1f}"
    if before is None:
        return VariantCell(value, second, sign="+", word="new")
    if grams == before:
        return VariantCell(value, second)
    word = units.amount(grams - before, line.ingredient, signed=True)
    return VariantCell(value, second, sign=word[0], word=word)


def _readings(comparison: Comparison) -> list[VariantRow]:
    rows = []
    for place, key in enumerate(READING_KEYS):
        levels = [column[place] for column in comparison.levels]
        unit = f", {levels[0].unit}" if levels[0].unit else ""
        cells = tuple(map(_reading_cell, levels))
        rows.append(VariantRow(READING, key, levels[0].label + unit, cells, any(map(differs_clearly, levels))))
    return rows


def _reading_cell(level: Level) -> VariantCell:
    value = figure_text(level.key, level.now if isfinite(level.now) else None)
    if not level.change:
        return VariantCell(value)
    known = isfinite(level.change)
    return VariantCell(
        value,
        figure_text(level.key, level.change if known else None, True),
        f"± {figure_text(level.key, level.spread)}" if known and isfinite(level.spread) else "",
        change_sign(level),
        change_word(level),
        level.clear and abs(level.steps) > MORE,
    )


def _allergens(comparison: Comparison) -> list[VariantRow]:
    rows = []
    for row in comparison.allergens:
        cells = tuple(_allergen_cell(here, row.contained[0]) for here in row.contained)
        rows.append(VariantRow(ALLERGEN, row.group, row.group, cells, row.differs))
    return rows


def _allergen_cell(here: bool, first: bool) -> VariantCell:
    value = "yes" if here else "no"
    if here == first:
        return VariantCell(value)
    return VariantCell(value, sign=CLEAR_SIGN, word="brought in" if here else "taken out", warns=here)


def _purchases(comparison: Comparison, units: Units) -> tuple[str, list[VariantRow]]:
    if comparison.pantry is None:
        return "", []
    rows = []
    for need in comparison.needs:
        pairs = zip(need.need, need.missing, strict=True)
        cells = tuple(_need_cell(taken, missing, need.ingredient, units) for taken, missing in pairs)
        rows.append(VariantRow(NEED, need.ingredient, need.ingredient, cells, len(set(need.missing)) > 1))
    return f"to buy: {units.amounts} that the pantry lacks" if comparison.needs else "to buy: nothing", rows


def _need_cell(need: float, missing: float, name: str, units: Units) -> VariantCell:
    if not need:
        return SAME
    if not missing:
        return VariantCell("ok")
    return VariantCell(units.cell(missing, name), sign=CLEAR_SIGN, word="to buy", warns=True)


def _bakes(comparison: Comparison, units: Units) -> list[VariantRow]:
    if not any(comparison.bakes):
        return []

    def row(key: str, label: str, text: Callable[[Sequence[Bake]], str], wide: bool = False) -> VariantRow:
        texts = [text(bakes) if bakes else "" for bakes in comparison.bakes]
        cells = tuple(SAME if not each else VariantCell(text=each) if wide else VariantCell(each) for each in texts)
        return VariantRow(BAKE, key, label, cells)

    rows = [
        row("count", "bakes logged", lambda bakes: str(len(bakes))),
        row("at", "last baked", lambda bakes: f"{bakes[-1].at:%Y-%m-%d}"),
        row("mark", "mark of five", lambda bakes: _number(bakes[-1].mark)),
        row("dough_c", f"dough, {units.degrees}", lambda bakes: _degrees(bakes[-1].dough_c, units)),
        row("rise_h", "rise, h", lambda bakes: _number(bakes[-1].rise_h)),
        row("bake_min", "in the oven, min", lambda bakes: _number(bakes[-1].bake_min)),
        row("core_c", f"core, {units.degrees}", lambda bakes: _degrees(bakes[-1].core_c, units)),
        row("crumb", "crumb", lambda bakes: bakes[-1].crumb, True),
    ]
    return [each for each in rows if any(cell is not SAME for cell in each.cells)]


def _degrees(celsius: float | None, units: Units) -> str:
    return "" if celsius is None else units.degree_text(celsius)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
