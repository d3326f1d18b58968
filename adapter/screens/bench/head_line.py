"""The first line of the bench: what is open, how full the tin is, how far it is from the book, whether it is saved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from adapter.swaps.comparison import short_names
from adapter.swaps.offer import drift_from
from adapter.words.offer_words import tin_text

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.words.units import Units
    from adapter.work.pieces import Piece


def head_line(piece: Piece, units: Units, preview: Measured | None = None) -> tuple[str, ...]:
    """The name, then how it stands, from the fullest form to the shortest."""
    bench = piece.bench
    measured = preview or (bench.now if bench.has_flour else None)
    tin = tin_text(measured) if measured is not None else "no flour yet"
    mass = measured.amount("mass") if measured is not None else bench.formula.dough_grams()
    dough = f"{units.amount(mass)} dough"
    drift = "–" if measured is None else f"{drift_from(measured.book, measured):.1f}"
    saved = _saved(piece)
    return (
        _name(piece),
        f"{tin} · {dough} · drift since the book {drift} · {saved}",
        f"{tin} · {dough} · drift {drift} · {saved}",
        f"{tin} · drift {drift} · {saved}",
        f"drift {drift} · {saved}",
        saved,
    )


def _name(piece: Piece) -> str:
    """The book formula, which variant is shown, and what that is called where its letter does not say it."""
    bench, work = piece.bench, piece.bench.work
    name, own = bench.book.name, bench.formula.name
    if len(work.variants) == 1 and own == name:
        return name
    letter = bench.letter(work.shown)
    shown = f"{name} · variant {letter} of {len(work.variants)}"
    _, told = short_names([name, own])
    return shown if own == name or told == f"variant {letter}" else f"{shown} · {told}"


def _saved(piece: Piece) -> str:
    if not piece.is_saved(piece.bench.work.shown):
        return "not saved" if piece.is_new else "unsaved"
    return "saved" if piece.is_all_saved else "another variant unsaved"
