"""Inputs that are typed over where they stand: what is typed shows at once, Enter takes it, Esc leaves it."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import NamedTuple

from textual import events
from textual.binding import Binding
from textual.message import Message
from textual.strip import Strip

from adapter.screens.parts.columns import Column, cut, harmless
from adapter.screens.parts.rows import Row, RowList
from adapter.words.text_report import NOTHING

CARET = "▏"
LONGEST = 30
NUMBER_SIGNS = "0123456789.,-+"
COLUMNS = (
    Column("", least=12, most=16),
    Column("", right=True, room=9, gap=1),
    Column("", room=2, gap=1),
    Column("", gap=1, drop=1),
)


class FieldRow(NamedTuple):
    """One input as it stands. `typed` are the signs it may be typed with ("" for any); `fault` stands under it.

    `edited` is what typing takes up where that is more than is shown; `fixed` inputs are only stepped.
    """

    key: str
    label: str
    value: str
    unit: str
    note: str = ""
    strong: bool = False
    fault: str = ""
    typed: str = NUMBER_SIGNS
    fixed: bool = False
    edited: str = ""


class Fields(RowList):
    """A list of inputs. While one is typed over, every sign goes into it."""

    BINDINGS = [
        Binding("left", "step(-1)", show=False),
        Binding("right", "step(1)", show=False),
        Binding("space", "step(1)", show=False),
        Binding("backspace,delete", "usual", show=False),
    ]

    class Event(Message):
        """Something happened at an input; `text` is what stands in it."""

        def __init__(self, fields: Fields, key: str, text: str) -> None:
            super().__init__()
            self.fields = fields
            self.key = key
            self.text = text

        @property
        def control(self) -> Fields:
            return self.fields

    class Typed(Event):
        """A sign was typed or taken back."""

    class Taken(Event):
        """Enter, or the input was left for another one."""

    class Left(Event):
        """Esc: it is to stay as it was."""

    class Stepped(Event):
        """← or →; the text is "-1" or "1"."""

    def __init__(self, title: str, *, id: str | None = None) -> None:
        super().__init__(title, COLUMNS, id=id)
        self.fields: tuple[FieldRow, ...] = ()
        self.typing: str | None = None
        self._fresh = False
        self._places: list[str | None] = []

    # ------------------------------------------------------------------ what it shows

    def show_fields(self, fields: Sequence[FieldRow]) -> None:
        """Show the inputs; the highlight stays with its input, and what is being typed stays."""
        here = self.key
        self.fields = tuple(fields)
        rows: list[Row] = []
        self._places = []
        for each in self.fields:
            rows.append(self._row_of(each, each.key == here))
            self._places.append(each.key)
            for line in self._wrapped(each.fault):
                rows.append(Row((line,), "warn", True))
                self._places.append(None)
        self.show_again(rows, self.place_of(here) if here else None)

    def _row_of(self, each: FieldRow, here: bool) -> Row:
        typing = self.typing is not None and here
        value = f"{self.typing}{CARET}" if typing else each.value
        style = "accent" if typing else "warn" if each.fault else "strong" if each.strong else ""
        return Row((each.label, ((value, style),), ((each.unit, "faint"),), ((each.note, "faint"),)))

    def _wrapped(self, fault: str) -> list[str]:
        return wrap(f"! {harmless(fault)}", max(20, self.size.width - 4)) if fault else []

    def place_of(self, key: str) -> int | None:
        return self._places.index(key) if key in self._places else None

    @property
    def key(self) -> str | None:
        """The input that is highlighted."""
        return None if self.index is None or self.index >= len(self._places) else self._places[self.index]

    @property
    def field(self) -> FieldRow | None:
        return next((each for each in self.fields if each.key == self.key), None)

    def go_to(self, key: str) -> None:
        place = self.place_of(key)
        if place is not None:
            self.highlight(place)

    def _row(self, place: int, width: int) -> Strip:
        row = self.rows[place]
        if row.heading and row.style == "warn":
            return self._strip([(cut("   " + str(row.cells[0]), width), "")], "warn", width)
        return super()._row(place, width)

    # ------------------------------------------------------------------ typing

    def begin(self, text: str | None = None) -> None:
        """Type over the highlighted input; without a text what stands in it is taken up, until a sign is typed."""
        field = self.field
        if field is None:
            return
        if field.fixed:
            self.action_step(1)
            return
        stands = "" if field.value == NOTHING else field.edited or field.value
        self.typing = stands if text is None else text
        self._fresh = text is None
        self._tell()

    def end(self) -> None:
        """Stop typing, without a word to anybody."""
        self.typing = None
        self.show_fields(self.fields)

    def _tell(self) -> None:
        self.show_fields(self.fields)
        if self.key is not None and self.typing is not None:
            self.post_message(self.Typed(self, self.key, self.typing))

    def take(self) -> None:
        """Take what is typed, if anything is; what stood there and was not touched stays what it is."""
        key, text, field = self.key, self.typing, self.field
        if key is None or text is None or field is None:
            return
        untouched = self._fresh and not field.fault
        self.end()
        self.post_message((self.Left if untouched else self.Taken)(self, key, text))

    def on_key(self, event: events.Key) -> None:
        field = self.field
        if field is None:
            return
        if self.typing is None:
            sign = event.character or ""
            if sign.isdecimal() and not field.fixed:
                event.stop()
                event.prevent_default()
                self.begin(sign)
            return
        if self._edit(event, field):
            event.stop()
            event.prevent_default()

    def _edit(self, event: events.Key, field: FieldRow) -> bool:
        """One key while typing; whether it is used up here."""
        assert self.typing is not None
        if event.key == "enter":
            self.take()
        elif event.key == "escape":
            key, text = str(self.key), self.typing
            self.end()
            self.post_message(self.Left(self, key, text))
        elif event.key in ("backspace", "delete", "ctrl+h"):
            self.typing, self._fresh = self.typing[:-1], False
            self._tell()
        elif event.key == "ctrl+u":
            self.typing, self._fresh = "", False
            self._tell()
        elif event.key in ("up", "down", "tab", "shift+tab", "pageup", "pagedown"):
            self.take()
            return False
        elif event.is_printable and event.character:
            if not field.typed or event.character in field.typed:
                self.typing = (("" if self._fresh else self.typing) + event.character)[:LONGEST]
                self._fresh = False
                self._tell()
        elif event.key not in ("left", "right", "home", "end"):
            return False
        return True

    def on_paste(self, event: events.Paste) -> None:
        field = self.field
        if field is None or field.fixed:
            return
        event.stop()
        text = harmless(event.text.splitlines()[0] if event.text else "")
        signs = "".join(sign for sign in text if not field.typed or sign in field.typed)
        self.typing = (("" if self._fresh else self.typing or "") + signs)[:LONGEST]
        self._fresh = False
        self._tell()

    def on_blur(self) -> None:
        if self.takes_on_leaving:
            self.take()

    # ------------------------------------------------------------------ keys and mouse

    def action_step(self, by: int) -> None:
        if self.key is not None:
            self.post_message(self.Stepped(self, self.key, str(by)))

    def action_usual(self) -> None:
        """Back to what the formula says."""
        if self.key is not None:
            self.post_message(self.Taken(self, self.key, ""))

    # The handlers of RowList for the same events run after these by themselves.

    def on_click(self, event: events.Click) -> None:
        self.take()

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        self.take()

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        self.take()

    def on_resize(self, event: events.Resize) -> None:
        self.show_fields(self.fields)
