"""Export: choose a form, read the file before it is written, say where, write it whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Input, Static

from adapter.formula.problems import InputProblem
from adapter.screens.export.forms import Form, Subject, exists, formula_forms, path_of, stamp_at, write_form
from adapter.screens.parts.columns import Column
from adapter.screens.parts.dialogs import ConfirmDialog
from adapter.screens.parts.line_input import LONGEST_PATH, LineInput
from adapter.screens.parts.rows import Row, RowList
from adapter.screens.parts.shell import OtherloafScreen
from adapter.screens.parts.text_view import TextView
from adapter.work.paths import path_told

if TYPE_CHECKING:
    from adapter.files.stamp import Stamp

FORM_COLUMNS = (Column("", room=6), Column("", least=10))
OPTION_COLUMNS = (Column("", room=3), Column("", least=10))
NARROW, ROOMY = 100, 160
ON, OFF = "[x]", "[ ]"


class ExportScreen(OtherloafScreen):
    """One subject in several forms. Without one it is the variant that the bench shows."""

    NAME = "export"
    HELP_NOTES = ("What is shown is what is written.",)
    CSS_PATH = "export.tcss"
    AUTO_FOCUS = "#forms"

    def __init__(self, subject: Subject | None = None) -> None:
        super().__init__()
        self._given = subject
        self.subject = subject
        self.text = ""
        self.options: list[str] = []
        self.left_out: set[str] = set()
        self._options_known = False

    def body(self) -> ComposeResult:
        self._suit(self.app.size)
        with Horizontal(id="parts"):
            with Vertical(id="choices"):
                yield RowList("forms", FORM_COLUMNS, id="forms")
                yield RowList("swaps for readers", OPTION_COLUMNS, empty="…", id="options")
            yield TextView(id="text")
        with Horizontal(id="target"):
            yield Static(Content("to "), id="to")
            yield LineInput(id="path", most=LONGEST_PATH)

    @property
    def forms(self) -> RowList:
        return self.query_one("#forms", RowList)

    @property
    def option_rows(self) -> RowList:
        return self.query_one("#options", RowList)

    @property
    def path_field(self) -> Input:
        return self.query_one("#path", Input)

    @property
    def form(self) -> Form:
        """The highlighted form."""
        assert self.subject is not None
        return self.subject.forms[self.forms.index or 0]

    def on_mount(self) -> None:
        subject = self.subject = self.subject or formula_forms(self.session, self.units)
        self.forms.show([Row((form.suffix, form.about)) for form in subject.forms], 0)
        self.path_field.value = path_told(subject.path_for(self.form))
        self.top(f"export · {subject.name}")
        self.show_form()

    def on_resize(self, event: events.Resize) -> None:
        self._suit(event.size)

    def _suit(self, size: Size) -> None:
        self.wear({"-narrow": size.width < NARROW, "-roomy": size.width >= ROOMY})

    def on_descendant_focus(self) -> None:
        self.show_keys("sentences" if self.focused is self.option_rows else "")

    # ------------------------------------------------------------------ what is shown

    def show_form(self) -> None:
        """The text of the highlighted form, as it would be written."""
        form = self.form
        self.set_class(form.has_options, "-options")
        if form.has_options and not self._options_known:
            self._ask_for_options()
        chosen = [sentence for sentence in self.options if sentence not in self.left_out]

        def make() -> None:
            self.text = form.text(chosen)

        self.text = ""
        self.attempt(make)
        self.query_one("#text", TextView).show_text(self.text, f"{form.about}, as it will be written")

    @on(RowList.Highlighted, "#forms")
    def _form_highlighted(self) -> None:
        self._suit_path()
        self.say("")
        self.show_form()

    def show_units(self) -> None:
        """The card for readers has cups where amounts are shown in them; other forms are as they are written."""
        if self._given is None and self.subject is not None:
            self.subject = formula_forms(self.session, self.units)
            self.show_form()

    def _suit_path(self) -> None:
        """The suffix of the form, where the path has that of another form."""
        assert self.subject is not None
        typed = Path(self.path_field.value)
        if typed.suffix.lower() in {form.suffix for form in self.subject.forms}:
            self.path_field.value = str(typed.with_suffix(self.form.suffix))

    # ------------------------------------------------------------------ what readers may take instead

    def _ask_for_options(self) -> None:
        self._options_known = True
        self.option_rows.empty = "working them out …"
        swapper = self.session.open_bench.swapper()

        def work_out() -> None:
            from adapter.words.reader_options import reader_options

            with self.session.solving:
                try:
                    options = [option.sentence for option in reader_options(swapper)]
                except (InputProblem, ArithmeticError):
                    options = []
            self.back_on_screen(self._take_options, options)

        self.in_background(work_out, "options")

    def _take_options(self, options: list[str]) -> None:
        self.options = options
        self.option_rows.empty = "nothing that would do well enough"
        self._show_options()
        if self.form.has_options:
            self.show_form()

    def _show_options(self) -> None:
        rows = [Row((OFF if text in self.left_out else ON, text)) for text in self.options]
        self.option_rows.show(rows)

    def action_next_part(self) -> None:
        self.focus_next()

    def action_mark(self) -> None:
        """Leave the highlighted sentence out of the card, or take it in again."""
        place = self.option_rows.index
        if place is None or not self.form.has_options:
            self.say("the card for readers has sentences to mark: Tab goes there")
            return
        self.left_out ^= {self.options[place]}
        self._show_options()
        self.show_form()

    @on(RowList.Highlighted, "#options")
    def _option_highlighted(self, event: RowList.Highlighted) -> None:
        if event.index is not None:
            self.say(self.options[event.index])

    @on(RowList.Chosen, "#options")
    def _option_chosen(self) -> None:
        self.action_mark()

    # ------------------------------------------------------------------ writing

    @on(Input.Submitted, "#path")
    def _submitted(self, event: Input.Submitted) -> None:
        """The name is taken; it is not written before it is told so."""
        event.stop()
        self.forms.focus()
        self.say("s or Enter writes it")

    def text_to_copy(self) -> str:
        return self.text

    def action_save(self) -> None:
        self.action_write()

    def action_rename(self) -> None:
        self.path_field.focus()

    def action_back(self) -> None:
        """Out of the path first, then off the screen."""
        if self.focused is self.path_field:
            self.forms.focus()
        else:
            super().action_back()

    def action_write(self) -> None:
        if self.focused is self.option_rows:
            self.action_mark()
            return
        self.attempt(self._ask_and_write)

    def _ask_and_write(self) -> None:
        if not self.text:
            raise InputProblem("there is nothing to write")
        path = path_of(self.path_field.value, self.form)
        stamp = stamp_at(path)
        if not exists(stamp) or self._is_own(path):
            self._write(path, stamp)
            return
        question = f"{path.name} is there already. Write over it?"
        if self.form.suffix == ".toml":
            question += " Its comments stay, its formula goes."

        def take(sure: bool | None) -> None:
            if sure:
                self.attempt(lambda: self._write(path, stamp))
            else:
                self.say(f"nothing written: {path.name} is as it was")

        self.ask(ConfirmDialog(question, "write over it", "leave it"), take)

    def _is_own(self, path: Path) -> bool:
        """Whether it is the formula's own file, which saving is meant for."""
        return self._given is None and self.form.suffix == ".toml" and self.session.open_piece.is_its_own(path)

    def _write(self, path: Path, stamp: Stamp) -> None:
        write_form(self.form, path, self.text, stamp)
        self.say(f"written: {path_told(path)}")
