"""Some of many: Space puts a mark or takes it away, Enter takes what is marked."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from adapter.screens.parts.columns import Column, harmless
from adapter.screens.parts.dialog import ListDialog
from adapter.screens.parts.hint import Hint
from adapter.screens.parts.rows import Row, RowList

ON, OFF = "[x]", "[ ]"


class PickDialog(ListDialog[list[int] | None]):
    """Gives the places of the names that are marked, at least one and at most `most`; None when left by Esc."""

    BINDINGS = [
        Binding("escape,q", "dismiss(None)", "leave it"),
        Binding("space", "mark", "mark"),
        Binding("enter", "take", "take"),
    ]

    def __init__(self, question: str, names: Sequence[str], picked: Collection[int], most: int) -> None:
        super().__init__()
        self._question = question
        self._names = tuple(names)
        self._picked = set(picked)
        self._most = most

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(harmless(self._question)), id="question")
            yield RowList("", (Column("", room=3), Column("", least=20)))
            yield Hint(f"Space marks, at most {self._most} · Enter takes them · Esc leaves it")

    def on_mount(self) -> None:
        self.query_one(RowList).focus()
        self._show()

    def _show(self) -> None:
        rows = [Row((ON if place in self._picked else OFF, name)) for place, name in enumerate(self._names)]
        self.query_one(RowList).show(rows, title=f"{len(self._picked)} of {len(self._names)}")

    def _hint(self, text: str) -> None:
        self.query_one(Hint).tell(text)

    @on(RowList.Chosen)
    def action_mark(self) -> None:
        place = self.query_one(RowList).index
        if place is None:
            return
        if place in self._picked:
            self._picked.remove(place)
        elif len(self._picked) < self._most:
            self._picked.add(place)
        else:
            self._hint(f"! {self._most} fit side by side: Space on one of them takes its mark away first")
            return
        self._show()

    def action_take(self) -> None:
        if self._picked:
            self.dismiss(sorted(self._picked))
        else:
            self._hint("! mark at least one")
