"""A further line, typed whole ("2 cups bread flour") or by its ingredient alone, with the ingredients it may mean."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.formula.ingredient import Ingredient
from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.dialogs import ChooseDialog, fault_in
from adapter.screens.parts.hint import Hint
from adapter.screens.parts.line_input import LineInput
from adapter.screens.parts.rows import Row, RowList
from adapter.words.units import Units
from adapter.work.typed_lines import Amount, PiecesOrGrams, Understood

HINT = "a line (2 cups rye flour, sifted), with a new stage (soaker: 50 g oats), or a name · ↑↓ Enter · Esc leaves it"


class TypedLine(NamedTuple):
    """The ingredient that was chosen, how much of it the line says (None: nothing), and all that it says."""

    ingredient: Ingredient
    amount: Amount | PiecesOrGrams | None
    said: Understood


class LineDialog(ChooseDialog):
    """Gives the name of the chosen ingredient; what else the line says is in `taken`."""

    def __init__(
        self,
        question: str,
        understand: Callable[[str], Understood],
        amount: Callable[[Understood, Ingredient], Amount | PiecesOrGrams | None],
        not_found: Callable[[str], InputProblem],
        units: Units,
        value: str = "",
    ) -> None:
        super().__init__(question, lambda words: [], value)
        self._understand = understand
        self._amount = amount
        self._not_found = not_found
        self._units = units
        self._line = Understood("", "", ())
        self.taken: TypedLine | None = None

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog", classes="-tall"):
            yield Static(Content(harmless(self._question)), id="question")
            yield LineInput(self._value, select_on_focus=False, id="answer")
            rows = RowList("ingredient", (Column("", least=12), Column("also called", least=8, drop=1)))
            rows.can_focus = False
            yield rows
            yield Hint(HINT)

    def _show(self, words: str) -> None:
        self._line = self._understand(words)
        choices = self._line.choices
        self._names = [item.name for item in choices]
        rows = self.query_one(RowList)
        rows.empty = "" if choices else self._nothing()
        rows.show([Row((item.name, ", ".join(item.aliases))) for item in choices], 0)
        self._show_hint()

    def _nothing(self) -> str:
        """Why there is nothing to choose."""
        line = self._line
        return str(self._not_found(line.name)) if line.name else f"{line.amount} of what? Type its name behind it"

    def action_move(self, by: int) -> None:
        super().action_move(by)
        self._show_hint()

    @property
    def _chosen_ingredient(self) -> Ingredient | None:
        index = self.query_one(RowList).index
        return None if index is None else self._line.choices[index]

    def _show_hint(self, fault: str = "") -> None:
        """What Enter would take, and what is not sure about it."""
        ingredient = self._chosen_ingredient
        said = HINT
        if ingredient is not None and (self._line.amount or self._line.read is not None):
            try:
                amount = self._amount(self._line, ingredient)
                if amount is not None:
                    said = f"{_shown(self._line, ingredient, amount, self._units)} · {HINT}"
            except InputProblem as problem:
                fault = fault or str(problem)
        unsure = [doubt for doubt in self._line.doubts if ingredient is not None and doubt != "no amount is given"]
        if not fault and unsure:
            said = f"? {unsure[0]} · {said}"
        self.query_one(Hint).tell(fault or said, bool(fault))

    def take(self, index: int | None) -> None:
        ingredient = self._chosen_ingredient
        if ingredient is None:
            self._show_hint(self._nothing())
            return

        def check(text: str) -> str | None:
            self.taken = TypedLine(ingredient, self._amount(self._line, ingredient), self._line)
            return None

        fault = fault_in("", check)
        if fault is None:
            self.dismiss(ingredient.name)
        else:
            self._show_hint(fault)


def _shown(line: Understood, ingredient: Ingredient, amount: Amount | PiecesOrGrams, units: Units) -> str:
    """The line as it would stand in the formula."""
    stage = f"{line.stage}: " if line.stage else ""
    if isinstance(amount, PiecesOrGrams):
        return f"{stage}{ingredient.name} {amount.number.strip()}, {units.weight} or pieces?"
    told = units.amount(amount.grams, ingredient.name)
    written = f" ({amount.written})" if amount.written and amount.written != told else ""
    note = line.as_line(ingredient, amount).note
    return f"{stage}{ingredient.name} {told}{written}" + (f", {note}" if note else "")
