"""A recipe that was read, line by line as a person goes through it: accepted, corrected, dropped; then the formula."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem
from adapter.recipes.correcting import correct, reread
from adapter.recipes.lines import LineReader
from adapter.recipes.read_line import ReadLine, accept, can_accept, percent_note
from adapter.recipes.read_recipe import ReadRecipe, formula_of
from adapter.recipes.settling import flour_of_weighed
from adapter.recipes.sources import ALL, read_source
from adapter.work.typed_lines import Amount, PiecesOrGrams, amount_of, amount_typed, understood, written_amount

_PERCENT_ALONE = re.compile(r"\s*\d{1,3}(?:[.,]\d{1,3})?\s*%\s*")
ACCEPTED, SURE, DOUBT, DROPPED = "accepted", "sure", "in doubt", "dropped"


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the recipe. `asked` says that it was in doubt when it was read: such lines stand first."""

    line: ReadLine
    asked: bool
    dropped: bool = False

    @property
    def state(self) -> str:
        if self.dropped:
            return DROPPED
        return DOUBT if not self.line.sure else ACCEPTED if self.asked else SURE


@dataclass(frozen=True)
class Review:
    """The lines in the order of the text, with the recipe around them. Every change gives another review."""

    recipe: ReadRecipe
    items: tuple[Item, ...]
    reader: LineReader

    @classmethod
    def of(cls, recipe: ReadRecipe, reader: LineReader) -> Review:
        return cls(recipe, tuple(Item(line, not line.sure) for line in recipe.lines), reader)

    @property
    def catalogue(self) -> Catalogue:
        return self.reader.names.catalogue

    def order(self) -> list[int]:
        """Places of the items as they are shown: doubts first, else as in the text."""
        return sorted(range(len(self.items)), key=lambda place: (not self.items[place].asked, place))

    def in_doubt(self) -> list[int]:
        """Places of what is in doubt still, as they are shown."""
        return [place for place in self.order() if self.items[place].state == DOUBT]

    def accepted(self, place: int) -> Review:
        """A line taken as it was read. Raises InputProblem where its ingredient or its weight is to be given."""
        item = self.items[place]
        return self._with(place, replace(item, line=accept(item.line), dropped=False))

    def toggled(self, place: int) -> Review:
        """A line dropped, or kept again. What is dropped stays in the note of the formula."""
        item = self.items[place]
        return self._with(place, replace(item, dropped=not item.dropped))

    def corrected(self, place: int, text: str) -> Review:
        """A line with what was typed: an ingredient, an amount, or the line anew. Raises InputProblem."""
        item = self.items[place]
        return self._with(place, replace(item, line=self._said(item.line, text), dropped=False))

    def _said(self, line: ReadLine, text: str) -> ReadLine:
        language = self.recipe.language
        percent = self._percent(line, text)
        if percent is not None:
            return percent
        amount = _alone(text, line, self.catalogue)
        if amount is not None:
            return correct(line, self.reader, grams=amount.grams, language=language)
        said = understood(text, self.catalogue, self.reader)
        if not said.choices:
            raise self.catalogue.not_found(said.name or text)
        ingredient = said.choices[0]
        weight = amount_of(said, ingredient, self.reader)
        if weight is None:
            return correct(line, self.reader, ingredient=ingredient.name, language=language)
        anew = reread(line, text, self.reader, language)
        if len(anew) == 1 and anew[0].ingredient == ingredient.name and anew[0].grams is not None:
            return replace(anew[0], text=line.text)
        named = correct(line, self.reader, ingredient=ingredient.name, language=language)
        return correct(named, self.reader, grams=_likelier(weight).grams, language=language)

    def _percent(self, line: ReadLine, text: str) -> ReadLine | None:
        """What is typed in % of the flour, by the flour that the other lines are of; None for anything else."""
        alone = _PERCENT_ALONE.fullmatch(text) is not None and line.ingredient is not None
        anew = reread(line, f"{text} {line.ingredient}" if alone else text, self.reader, self.recipe.language)
        if len(anew) != 1 or anew[0].percent is None or anew[0].grams is not None:
            return None
        said, percent = anew[0], anew[0].percent
        base = flour_of_weighed(item.line for item in self.items)
        if base is None:
            raise InputProblem(f"{percent:g} % of how much flour is not known", right="a weight, such as 200 g")
        if said.ingredient is None:
            raise self.catalogue.not_found(said.name or text)
        named = correct(
            line, self.reader, ingredient=said.ingredient, grams=base * percent / 100, language=self.recipe.language
        )
        named = replace(named, percent=percent, amount_low=percent, amount_high=percent, unit="")
        return named.noting(percent_note(percent))

    def _with(self, place: int, item: Item) -> Review:
        return replace(self, items=(*self.items[:place], item, *self.items[place + 1 :]))

    def kept(self) -> ReadRecipe:
        """The recipe without the lines that were dropped: they stand in its notes."""
        kept = tuple(item.line for item in self.items if not item.dropped)
        dropped = tuple(item.line.text for item in self.items if item.dropped)
        return replace(self.recipe, lines=kept, notes=(*self.recipe.notes, *dropped))

    def formula(self) -> Formula:
        """The formula of what was kept. Raises InputProblem when no line of flour has a weight."""
        recipe = self.kept()
        formula = formula_of(recipe, self.catalogue)
        weighed = [line for line in recipe.lines if can_accept(line) and line.in_dough and not line.reference]
        amounts = [written_amount(line, self.catalogue.get(line.ingredient or "")) for line in weighed]
        return formula.with_lines(
            replace(line, grams=amount.grams, amount=amount.written) if amount.written else line
            for line, amount in zip(formula.lines, amounts, strict=True)
        )


def _alone(text: str, line: ReadLine, catalogue: Catalogue) -> Amount | None:
    """A typed amount without a name; None for anything else. Raises InputProblem where nothing is typed."""
    if not text.strip():
        raise InputProblem("nothing is typed", right="an ingredient, an amount, or the whole line")
    if line.ingredient is None:
        return None
    try:
        return _likelier(amount_typed(text, catalogue.get(line.ingredient)))
    except InputProblem:
        return None


def _likelier(amount: Amount | PiecesOrGrams) -> Amount:
    """A few of what is counted are pieces; the line then shows what they weigh."""
    if isinstance(amount, Amount):
        return amount
    return amount.pieces if amount.grams.grams <= 12 else amount.grams


def read_recipes(text: str, reader: LineReader) -> list[Review]:
    """The recipes in a text. Raises InputProblem with one line for what is none."""
    return [Review.of(recipe, reader) for recipe in read_source(text, reader, chosen=ALL)]


def said_of(line: ReadLine) -> str:
    """What was understood, in words: the ingredient, or what the line is instead."""
    if line.reference:
        return "made above: no weight of its own"
    if not line.in_dough:
        return f"{line.ingredient or line.name}, not in the dough"
    return line.ingredient or f"{shown(line.name) or 'nothing'} ?"
