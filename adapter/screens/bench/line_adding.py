"""Lines put into the formula on the bench, and struck out of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Line
from adapter.formula.problems import InputProblem
from adapter.screens.bench.line_dialog import LineDialog, TypedLine
from adapter.screens.bench.pieces_dialog import ask_which
from adapter.screens.parts.dialogs import AskDialog
from adapter.screens.parts.frame import Frame
from adapter.work.formula_fields import further_line
from adapter.work.typed_lines import Amount, PiecesOrGrams, Understood, amount_of, amount_typed, understood

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines


class Adding(Frame, Protocol):
    """What putting lines in asks of the bench screen."""

    @property
    def lines(self) -> Lines: ...

    @property
    def at_lines(self) -> bool: ...

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it with a line highlighted, and keep it."""
        ...


class LineAdding:
    """Asks for a line, and for its amount where it has none; puts it in after the highlighted one."""

    def __init__(self, screen: Adding) -> None:
        self._screen = screen

    def action_strike(self) -> None:
        screen = self._screen
        place = screen.lines.line
        if not screen.at_lines or place is None:
            screen.say("x strikes a line of the formula: Tab goes there")
            return
        bench = screen.session.open_bench
        name = bench.formula.lines[place].ingredient
        if screen.attempt(lambda: bench.strike(place)):
            screen.changed(place)
            screen.say(f"{name} struck out · u undoes it")

    def action_add(self) -> None:
        self.ask_line("")

    def ask_line(self, begun: str) -> None:
        """Ask for a further line, begun with what was typed."""
        screen = self._screen
        catalogue = screen.session.open_bench.kitchen.catalogue
        reader = screen.session.line_reader()
        screen.in_background(lambda: _warm(reader.read), "words")

        def understand(text: str) -> Understood:
            return understood(text, catalogue, reader)

        units = screen.units

        def amount(line: Understood, ingredient: Ingredient) -> Amount | PiecesOrGrams | None:
            return amount_of(line, ingredient, reader, units.bare(ingredient))

        def not_found(words: str) -> InputProblem:
            return catalogue.not_found(words)

        dialog = LineDialog("Put in which line?", understand, amount, not_found, units, begun)

        def take(name: str | None) -> None:
            if name is not None and dialog.taken is not None:
                self._take(dialog.taken)

        screen.ask(dialog, take)

    def _take(self, line: TypedLine) -> None:
        name = line.ingredient.name
        units = self._screen.units
        bare = units.bare(line.ingredient)

        def put(amount: Amount) -> None:
            self._put(line.said.as_line(line.ingredient, amount), line.said.stage)

        if line.amount is not None:
            ask_which(self._screen, name, line.amount, put)
            return

        def take(text: str | None) -> None:
            if text is not None:
                typed = amount_typed(text, line.ingredient, bare_unit=bare)
                ask_which(self._screen, name, typed, put)

        def check(text: str) -> str | None:
            amount_typed(text, line.ingredient, bare_unit=bare)
            return None

        pieces = "pieces, " if line.ingredient.property("each_g") else ""
        hint = f"{units.hint(bare)}, {pieces}cups, tbsp … · Enter · Esc"
        self._screen.ask(AskDialog(f"How much {name}?", "", check=check, hint=hint), take)

    def _put(self, typed: Line, stage: str) -> None:
        screen = self._screen
        bench = screen.session.open_bench
        line, at = further_line(bench.formula, typed, screen.lines.line, stage)
        if screen.attempt(lambda: bench.add(line, at)):
            screen.changed(at)
            written = f" ({line.amount})" if line.amount else ""
            told = screen.units.amount(line.grams, line.ingredient)
            where = f"{line.stage}: " if stage else ""
            screen.say(f"{where}{line.ingredient} {told}{written} put in · a puts in more · u undoes it")


def _warm(read: object) -> None:
    if callable(read):
        read("1 cup flour", "")
