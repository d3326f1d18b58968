"""Unsaved work as entries of the list of formulas."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from adapter.work.formula_list import UNSAVED, Entry

if TYPE_CHECKING:
    from adapter.swaps.bench import Bench
    from adapter.work.drafts import Draft
    from adapter.work.pieces import Piece


def unsaved_entries(pieces: Iterable[Piece], drafts: Iterable[Draft]) -> list[Entry]:
    """What is not saved, newest first: pieces of this run, and drafts that earlier runs left behind."""
    dated = [(piece.when, _of_piece(piece)) for piece in pieces if piece.needs_draft]
    dated += [(draft.when, _of_draft(draft)) for draft in drafts]
    return [entry for _, entry in sorted(dated, key=lambda item: item[0], reverse=True)]


def title_of(bench: Bench) -> str:
    """The shown variant's name, and whose variant it is where the name does not say it."""
    name, book = bench.formula.name, bench.book.name
    return name if book.casefold() in name.casefold() else f"{name} ({book})"


def _of_piece(piece: Piece) -> Entry:
    about = _changed(piece.when, len(piece.bench.work.variants))
    return Entry(UNSAVED, title_of(piece.bench), about, piece=piece.key)


def _of_draft(draft: Draft) -> Entry:
    variants = draft.content.get("variants")
    count = len(variants) if isinstance(variants, list) else 1
    return Entry(UNSAVED, draft.title, _changed(draft.when, count), draft=draft)


def _changed(moment: datetime, variants: int) -> str:
    """How many variants a piece has, and when it was last changed."""
    count = "1 variant" if variants == 1 else f"{variants} variants"
    return f"{count} · {moment:%d %b, %H:%M}"
