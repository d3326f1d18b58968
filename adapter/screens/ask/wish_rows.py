"""What is wished of the loaf, as rows: the store, what is left out, aims, holds, swaps refused or pinned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from re import sub
from typing import TYPE_CHECKING

from adapter.screens.parts.columns import Cell, Column
from adapter.screens.parts.rows import Row, RowList, heading

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.formula.pantry import Pantry
    from adapter.work.asking import Asked

STORE, WITHOUT, AIM, HOLD, REFUSED, PINNED, WAYS, MOST, ADD = range(9)
ON, OFF = "[x]", "[ ]"


@dataclass(frozen=True, slots=True)
class Wish:
    """One row: what kind of wish it is, and the word, aim, hold or swap."""

    kind: int
    text: str = ""


class WishRows(RowList):
    """The wishes under their headings."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("what must be so", (Column("", least=16), Column("now", right=True, drop=1)), id=id)
        self.wishes: tuple[Wish | None, ...] = ()

    @property
    def wish(self) -> Wish | None:
        """The highlighted one."""
        return None if self.index is None or not self.wishes else self.wishes[self.index]

    def show_wishes(self, asked: Asked, holds: Sequence[str], now: Measured, pantry: Pantry | None) -> None:
        from adapter.swaps.request import LINE_HOLD

        rows: list[Row] = []
        wishes: list[Wish | None] = []

        def part(head: str, items: Sequence[tuple[Wish, Cell, Cell]]) -> None:
            if items:
                rows.append(heading(head))
                wishes.append(None)
            for wish, text, beside in items:
                rows.append(Row((text, beside)))
                wishes.append(wish)

        name = "none: p opens it" if pantry is None else pantry.name
        ticked = ON if asked.from_store and pantry is not None else OFF
        part("from the store", [(Wish(STORE), f"{ticked} {name}", "")])
        part("without, hidden or not", [(Wish(WITHOUT, word), word, "") for word in asked.without])
        part("aims", [(Wish(AIM, text), *_aim_cells(text, now)) for text in asked.aims])
        held = [(hold, hold.removeprefix(LINE_HOLD) if hold.startswith(LINE_HOLD) else _label(hold)) for hold in holds]
        part("held", [(Wish(HOLD, hold), text, "") for hold, text in held])
        part("swaps refused", [(Wish(REFUSED, swap), shown_swap(swap), "") for swap in sorted(asked.refused)])
        part("swaps that must be", [(Wish(PINNED, swap), shown_swap(swap), "") for swap in sorted(asked.pinned)])
        most = "any number" if asked.most_swaps is None else str(asked.most_swaps)
        part("answers, ← → changes", [(Wish(WAYS), "ways", str(asked.ways)), (Wish(MOST), "swaps at most", most)])
        part("more", [(Wish(ADD), "a: without milk, salt=1.6 …", "")])
        self.wishes = tuple(wishes)
        self.show(rows)


def _aim_cells(text: str, now: Measured) -> tuple[Cell, Cell]:
    from adapter.words.text_report import figure_text

    key, _, value = text.partition("=")
    if key == "price":
        return f"price {value}", ""
    return f"{_label(key)} {value}", ((f"{figure_text(key, now.value(key))}", "faint"),)


def _label(key: str) -> str:
    from adapter.dough.readings.registry import label

    return label(key)


def shown_swap(name: str) -> str:
    """The name of a swap as a person reads it, without its stages."""
    return " ".join(sub(r"@[^+>]*", " ", name).replace(">", "→").split())
