"""What is written of the formula on the bench besides its weights: of the highlighted line, and of the whole."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from adapter.formula.model import Formula
from adapter.screens.bench.form_dialog import FormDialog
from adapter.screens.parts.frame import Frame
from adapter.work.formula_fields import (
    Field,
    formula_fields,
    line_fields,
    moved_line,
    moved_stage,
    with_formula_field,
    with_line_field,
)

if TYPE_CHECKING:
    from adapter.screens.bench.lines import Lines


class Writing(Frame, Protocol):
    """What writing asks of the bench screen."""

    @property
    def lines(self) -> Lines: ...

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it with a line highlighted, and keep it."""
        ...


DEGREES, TIMES = "°C", "time of "
"""What the hint of a field has that asks for a temperature, and what the key of one for a stage's times begins with."""


class FormulaWriting:
    """Stages, notes, temperatures, pieces, tin, proof, oven and steps; lines and stages in another order."""

    def __init__(self, screen: Writing) -> None:
        self._screen = screen

    @property
    def _formula(self) -> Formula:
        return self._screen.session.open_bench.formula

    def _shown(self, fields: Sequence[Field]) -> list[Field]:
        return [each._replace(value=self._told(each)) for each in fields]

    def _told(self, field: Field) -> str:
        units = self._screen.units
        if field.key.startswith(TIMES):
            return units.stages_told(field.value)
        return units.told(field.value) if DEGREES in field.hint else field.value

    def _heard(self, field: Field, text: str, fields: Sequence[Field]) -> str:
        """What was typed with its unit; what stood there and was not touched is as it was."""
        stood = next((each.value for each in fields if (each.key, each.stage) == (field.key, field.stage)), "")
        if text == field.value:
            return stood
        units = self._screen.units
        if field.key.startswith(TIMES):
            return units.stages_heard(text)
        return units.degrees_heard(text) if DEGREES in field.hint else text

    def _take(self, formula: Formula, line: int | None = None) -> None:
        bench = self._screen.session.open_bench
        if formula.name != bench.formula.name:
            bench.rename(formula.name)
        else:
            bench.rewrite(formula)
        self._screen.changed(line)

    # ------------------------------------------------------------------ a line

    def _line_fields(self, place: int) -> Sequence[Field]:
        return line_fields(self._formula, place, self._screen.session.open_bench.kitchen.catalogue)

    def action_line_form(self) -> None:
        screen = self._screen
        if screen.lines.line is None:
            screen.say("there is no line yet: a puts one in")
            return
        at = [screen.lines.line]

        def heard(field: Field, text: str) -> str:
            return self._heard(field, text, self._line_fields(at[0]))

        def put(field: Field, text: str) -> None:
            formula, at[0] = with_line_field(self._formula, at[0], field.key, heard(field, text))
            self._take(formula, at[0])

        screen.ask(
            FormDialog(
                f"{self._formula.lines[at[0]].ingredient}: its stage, note and temperature",
                lambda: self._shown(self._line_fields(at[0])),
                put,
                lambda field, text: with_line_field(self._formula, at[0], field.key, heard(field, text)),
            )
        )

    def action_line_up(self) -> None:
        self._move(-1)

    def action_line_down(self) -> None:
        self._move(1)

    def _move(self, by: int) -> None:
        place = self._screen.lines.line
        if place is None:
            return
        formula, at = moved_line(self._formula, place, by)
        if formula is self._formula:
            self._screen.say("it stands at the edge already")
            return
        self._take(formula, at)
        self._screen.say(f"{formula.lines[at].ingredient}, in {formula.lines[at].stage} · u undoes it")

    # ------------------------------------------------------------------ the whole

    def action_formula_form(self) -> None:
        def heard(field: Field, text: str) -> str:
            return self._heard(field, text, formula_fields(self._formula))

        def put(field: Field, text: str) -> None:
            self._take(with_formula_field(self._formula, field.key, heard(field, text)))

        def move(field: Field, by: int) -> None:
            if field.stage is not None:
                self._take(moved_stage(self._formula, field.stage, by))

        self._screen.ask(
            FormDialog(
                "The whole formula: pieces, tin, proof, oven, steps, stages",
                lambda: self._shown(formula_fields(self._formula)),
                put,
                lambda field, text: with_formula_field(self._formula, field.key, heard(field, text)),
                move,
            )
        )
