"""Fields to be typed over, one a row: Enter types, Shift+↑↓ moves what can be moved, Esc is done with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.dialog import ListDialog
from adapter.screens.parts.dialogs import STYLE, AskDialog
from adapter.screens.parts.hint import Hint
from adapter.screens.parts.rows import Row, RowList
from adapter.work.formula_fields import Field

HINT = "↑↓ choose · Enter types over it · Esc done"


class FormDialog(ListDialog[None]):
    """Shows fields and hands what is typed on; every change is taken at once."""

    CSS_PATH = STYLE
    BINDINGS = [
        Binding("escape,q", "dismiss(None)", "done"),
        Binding("enter", "type", "type over it"),
        Binding("shift+up", "shift(-1)", show=False),
        Binding("shift+down", "shift(1)", show=False),
    ]

    def __init__(
        self,
        title: str,
        fields: Callable[[], Sequence[Field]],
        put: Callable[[Field, str], None],
        check: Callable[[Field, str], object],
        move: Callable[[Field, int], None] | None = None,
    ) -> None:
        super().__init__()
        self._title = title
        self._fields = fields
        self._put = put
        self._check = check
        self._move = move

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(harmless(self._title)), id="question")
            said = Column("how it is typed", least=49, drop=1)
            yield RowList("field", (Column("", least=10, most=30), Column("stands", least=30), said))
            yield Hint(HINT)

    def on_mount(self) -> None:
        self.query_one(RowList).focus()
        self._show(0)
        self._say()

    def _show(self, index: int | None = None) -> None:
        rows = [Row((each.label, ((each.value or "·", "strong"),), ((each.hint, "faint"),))) for each in self._fields()]
        self.query_one(RowList).show(rows, index)

    @property
    def _field(self) -> Field | None:
        index = self.query_one(RowList).index
        return None if index is None else self._fields()[index]

    @on(RowList.Highlighted)
    def _highlighted(self) -> None:
        self._say()

    def _say(self, problem: InputProblem | None = None) -> None:
        """What is wrong, or what may be typed, also where there is no room for it beside each field."""
        field = self._field
        said = HINT if field is None else f"{HINT} · {field.label.strip()}: {field.hint}"
        self.query_one(Hint).tell(said if problem is None else str(problem), problem is not None)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        event.stop()
        self.action_type()

    def action_type(self) -> None:
        field = self._field
        if field is None:
            return

        def check(text: str) -> str | None:
            self._check(field, text)
            return None

        def take(text: str | None) -> None:
            if text is not None:
                self._do(lambda: self._put(field, text))

        hint = f"{field.hint} · Enter takes it · Esc leaves it"
        self.app.push_screen(AskDialog(field.label.strip(), field.value, check=check, hint=hint), take)

    def action_shift(self, by: int) -> None:
        field, move = self._field, self._move
        if field is None or field.stage is None or move is None:
            return
        stage, key = field.stage, field.key
        self._do(lambda: move(field, by))
        places = [place for place, each in enumerate(self._fields()) if each.stage == stage and each.key == key]
        self._show(places[0] if places else None)

    def _do(self, work: Callable[[], None]) -> None:
        wrong = None
        try:
            work()
        except InputProblem as problem:
            wrong = problem
        self._show()
        self._say(wrong)
