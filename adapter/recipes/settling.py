"""What only the whole recipe settles: references to stages, percentages of the flour, amounts without a unit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from adapter.formula.catalogue import Catalogue
from adapter.recipes.lines import LineReader, kind_not_said
from adapter.recipes.nights import with_led_stages, with_nights
from adapter.recipes.read_line import ReadLine, percent_note
from adapter.recipes.read_recipe import ReadRecipe
from adapter.recipes.sections import referred
from adapter.recipes.weighing import UNSURE_SHARE, measures
from adapter.recipes.words import vocabulary

ASSUMED_FLOUR_G = 1000.0
LEAST_PERCENTAGES = 3
FLOUR_OFF = 0.5
"""Flours printed in percent with one decimal need not make 100 to the digit."""


def settled(recipe: ReadRecipe, reader: LineReader) -> ReadRecipe:
    """The recipe with references known for what they are, percentages weighed and unitless amounts told."""
    referred_to = _with_bare_percentages(_with_references(recipe), reader.names.catalogue)
    told = _with_percentages(_with_bare_numbers(referred_to), reader)
    return with_nights(with_led_stages(_with_kinds_by_flour(told, reader)))


def _with_kinds_by_flour(recipe: ReadRecipe, reader: LineReader) -> ReadRecipe:
    """A sourdough of which it is not said is of the flour that the recipe has most of; it is asked all the same."""
    lines = []
    for line in recipe.lines:
        rule = measures().by_flour.get(line.ingredient or "")
        said = kind_not_said(line)
        if rule is None or said not in line.doubts or _mostly(rule[0], line.stage, recipe, reader.names.catalogue):
            lines.append(line)
            continue
        meant = replace(line, ingredient=rule[1])
        doubts = tuple(kind_not_said(meant) if doubt == said else doubt for doubt in line.doubts)
        lines.append(replace(meant, doubts=doubts))
    return replace(recipe, lines=tuple(lines))


def _mostly(kind: str, stage: str, recipe: ReadRecipe, catalogue: Catalogue) -> bool:
    """Whether most flour of a stage is of a kind; of the whole recipe where the stage has none."""
    weighed = [line for line in recipe.lines if line.ingredient and (line.grams or line.percent) and line.in_dough]
    flours = [line for line in weighed if "flour" in catalogue.get(line.ingredient or "").kinds]
    flours = [line for line in flours if line.stage == stage] or flours
    whole = sum(line.grams or line.percent or 0.0 for line in flours)
    of_kind = sum(line.grams or line.percent or 0.0 for line in flours if _is_of(line, kind, catalogue))
    return not whole or of_kind >= whole / 2


def _is_of(line: ReadLine, kind: str, catalogue: Catalogue) -> bool:
    return kind in catalogue.get(line.ingredient or "").kinds


def _with_references(recipe: ReadRecipe) -> ReadRecipe:
    words = vocabulary().languages[recipe.language]
    stages = {line.stage for line in recipe.lines}
    lines = []
    for line in recipe.lines:
        stage, all_of_it = referred(line.name, words)
        if line.reference or stage is None:
            lines.append(line)
            continue
        same = [known for known in stages if known == stage or known.startswith(f"{stage} ")]
        elsewhere = [known for known in same if known != line.stage]
        if elsewhere and line.stage not in same[:1] and (line.stage != stage):
            lines.append(_reference(line, elsewhere, recipe, all_of_it))
        elif all_of_it and not elsewhere and line.grams is None and line.stage != stage:
            lines.append(_as_reference(line).doubting("the stage that it refers to is not in the text"))
        else:
            lines.append(line)
    return replace(recipe, lines=tuple(lines))


def _reference(line: ReadLine, stages: list[str], recipe: ReadRecipe, all_of_it: bool) -> ReadLine:
    made = sum(other.grams or 0.0 for other in recipe.lines if other.stage in stages and not other.reference)
    used = line.grams if line.unit not in ("", "%") else None
    told = _as_reference(line)
    if used and made and abs(used - made) > UNSURE_SHARE * made and not all_of_it:
        return told.doubting(f"{stages[-1]} makes {made:.0f} g, and {used:.0f} g of it are used")
    return told


def _as_reference(line: ReadLine) -> ReadLine:
    return replace(line, reference=True, grams=None, ingredient=None, doubts=(), candidates=()).noting("made above")


def _with_bare_percentages(recipe: ReadRecipe, catalogue: Catalogue) -> ReadRecipe:
    """ "Flour 80, rye 20, water 66" without a unit: where the flours make 100, each number is a percentage."""
    bare = [line for line in recipe.lines if _number_alone(line)]
    flours = [line for line in bare if line.ingredient and _is_of(line, "flour", catalogue)]
    whole = sum(_middle(line) or 0.0 for line in flours)
    if len(bare) < LEAST_PERCENTAGES or abs(whole - 100.0) > FLOUR_OFF or any(line.grams for line in recipe.lines):
        return recipe
    lines = tuple(
        replace(line, percent=_middle(line), amount_low=None, amount_high=None, doubts=()).doubting(
            "no unit is written: a percentage of the flour is taken"
        )
        if line in bare
        else line
        for line in recipe.lines
    )
    return replace(recipe, lines=lines)


def _number_alone(line: ReadLine) -> bool:
    """Whether a line has a number and nothing that says of what; no one counts eggs by halves or by the dozen."""
    return line.percent is None and line.in_dough and not line.reference and not line.unit and _middle(line) is not None


def _with_bare_numbers(recipe: ReadRecipe) -> ReadRecipe:
    """ "flour 500" among lines in grams: grams are taken, and it is asked."""
    lines = tuple(
        replace(line, grams=_middle(line), doubts=()).doubting("no unit is written: grams are taken")
        if _bare(line)
        else line
        for line in recipe.lines
    )
    return replace(recipe, lines=lines)


def _bare(line: ReadLine) -> bool:
    number = _middle(line)
    return (
        line.grams is None
        and not line.reference
        and line.in_dough
        and not line.unit
        and line.ingredient is not None
        and number is not None
        and number >= 3
    )


def _middle(line: ReadLine) -> float | None:
    if line.amount_low is None or line.amount_high is None:
        return None
    return (line.amount_low + line.amount_high) / 2


def _with_percentages(recipe: ReadRecipe, reader: LineReader) -> ReadRecipe:
    """Lines told in % of the flour: by the flour's weight where it is printed, else of 1000 g, and that is asked."""
    open_lines = [
        line for line in recipe.lines if line.percent is not None and line.grams is None and not line.reference
    ]
    if not open_lines:
        return _compared(recipe)
    flour_g = flour_of_weighed(recipe.lines) or _flour_of_totals(recipe)
    assumed = flour_g is None
    base = ASSUMED_FLOUR_G if flour_g is None else flour_g
    lines = []
    for line in recipe.lines:
        if line not in open_lines or line.percent is None:
            lines.append(line)
            continue
        low = replace(line, grams=base * line.percent / 100 if line.ingredient else None)
        if line.amount_low is None:
            low = replace(low, amount_low=line.percent, amount_high=line.percent, unit="")
        if "%" in line.note:
            low = low.doubting("other percentages stand beside it")
        if assumed:
            low = low.doubting(f"only a percentage is printed: {ASSUMED_FLOUR_G:.0f} g of flour are taken")
        lines.append(low.noting(percent_note(line.percent)))
    doubts = (f"the recipe is in percentages only: {ASSUMED_FLOUR_G:.0f} g of flour are taken",) if assumed else ()
    return replace(recipe, lines=tuple(lines), doubts=(*recipe.doubts, *doubts))


def flour_of_weighed(lines: Iterable[ReadLine]) -> float | None:
    """Grams that 100 % stand for, by the lines that have both."""
    both = [line for line in lines if line.percent and line.grams]
    if not both:
        return None
    largest = max(both, key=lambda line: line.percent or 0.0)
    return (largest.grams or 0.0) * 100 / (largest.percent or 100.0)


def _flour_of_totals(recipe: ReadRecipe) -> float | None:
    """Grams of flour by a total that is printed: "Total flour 1000 g", or "Total 1750 g" of everything."""
    shares = sum(line.percent or 0.0 for line in recipe.lines if not line.reference)
    for text in (*(line.text for line in recipe.lines if line.reference), *recipe.notes):
        found = _WHOLE.search(text)
        if found is None:
            continue
        grams = float(found["number"].replace(",", ".")) * (1000.0 if found["unit"].casefold() == "kg" else 1.0)
        if found["flour"]:
            return grams
        if shares >= 100:
            return grams * 100 / shares
    return None


_WHOLE = re.compile(
    r"(?:total|gesamt|summe|insgesamt|totalt|i alt)\w*\s*(?P<flour>flour|mehl|farine|mjöl|mel)?[^\d]{0,20}"
    r"(?P<number>\d{2,6}(?:[.,]\d{1,2})?)\s?(?P<unit>g|kg)\b",
    re.IGNORECASE,
)


def _compared(recipe: ReadRecipe) -> ReadRecipe:
    """Printed weights that disagree with the printed percentages are asked about."""
    both = [line for line in recipe.lines if line.percent and line.grams and not line.reference]
    if len(both) < 3:
        return recipe
    ratios = sorted((line.grams or 0.0) / (line.percent or 1.0) for line in both)
    usual = ratios[len(ratios) // 2]
    lines = []
    for line in recipe.lines:
        if line in both and abs((line.grams or 0.0) / (line.percent or 1.0) - usual) > UNSURE_SHARE * usual:
            line = line.doubting(f"{line.percent:g} % would be {usual * (line.percent or 0):.0f} g")
        lines.append(line)
    return replace(recipe, lines=tuple(lines))
