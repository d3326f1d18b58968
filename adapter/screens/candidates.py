"""What can be compared: the bench's variants, their book formula, and formulas that were fetched besides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.files.bake_log import Bake, log_path, read_log
from adapter.files.work_data import Home
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import MOST_VARIANTS
from adapter.swaps.comparison import short_names
from adapter.swaps.variant import Variant

if TYPE_CHECKING:
    from adapter.files.atomic import Stamp
    from adapter.formula.model import Formula
    from adapter.screens.pieces import Piece
    from adapter.screens.session import Session

MOST_COLUMNS = 4
BOOK = "book"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A formula that can be a column. `sign` is short and its own; `variant` is its place on the bench.

    `path` is its file, beside which its bakes are kept; `stamp` that of a formula fetched from a file.
    """

    sign: str
    formula: Formula
    variant: int | None = None
    path: Path | None = None
    stamp: Stamp | None = None


def on_bench(piece: Piece) -> list[Candidate]:
    """The variants of the bench, and the book formula where none of them is it."""
    bench = piece.bench
    found = [
        Candidate(bench.letter(number), variant.formula, number, _path(piece, number))
        for number, variant in enumerate(bench.work.variants)
    ]
    book = bench.book
    if all(candidate.formula.lines != book.lines for candidate in found):
        found.append(Candidate(BOOK, book))
    return found


def _path(piece: Piece, number: int) -> Path | None:
    home = piece.homes[number]
    return home.path if home is not None else piece.opened_from


def first_choice(candidates: Sequence[Candidate], shown: int) -> list[Candidate]:
    """What is compared at first: up to four variants with the shown one among them; a single one with its book."""
    variants = [candidate for candidate in candidates if candidate.variant is not None]
    if len(variants) == 1:
        return [*(candidate for candidate in candidates if candidate.sign == BOOK), *variants]
    chosen = variants[:MOST_COLUMNS]
    if all(candidate.variant != shown for candidate in chosen):
        chosen[-1] = variants[shown]
    return chosen


def names_of(candidates: Sequence[Candidate]) -> list[str]:
    """A name for each column: its sign, and what tells its formula from the others."""
    short = short_names([candidate.formula.name for candidate in candidates])
    return [f"{candidate.sign} {name}" for candidate, name in zip(candidates, short, strict=True)]


def go_on_with(session: Session, candidate: Candidate) -> str:
    """Put a candidate on the bench: shown where it is a variant, else as a further one. What was done, in words."""
    piece = session.open_piece
    bench = piece.bench
    if candidate.variant is not None:
        bench.show(candidate.variant)
        return f"variant {candidate.sign}: {candidate.formula.name}"
    if len(bench.work.variants) >= MOST_VARIANTS:
        raise InputProblem("there are as many variants as there are letters", right="drop one on the bench")
    number = len(bench.work.variants)
    variants = (*bench.work.variants, Variant.of(candidate.formula))
    bench.work = replace(bench.work, variants=variants, shown=number)
    home = None
    if candidate.path is not None and candidate.stamp is not None:
        home = Home(candidate.path, candidate.stamp, candidate.formula)
    piece.homes.append(home)
    return f"variant {bench.letter(number)}: {candidate.formula.name}"


def bakes_of(candidate: Candidate, others: Sequence[Candidate]) -> tuple[Bake, ...]:
    """The logged bakes of a candidate, oldest first: those of its file that no other column's name is written to.

    Raises InputProblem for a log that cannot be read.
    """
    if candidate.path is None:
        return ()
    name = candidate.formula.name
    taken = {other.formula.name for other in others} - {name}
    own = {other.formula.name for other in others if other.path == candidate.path}
    return tuple(
        bake
        for bake in read_log(log_path(candidate.path))
        if bake.formula == name or (bake.formula not in taken and len(own) == 1)
    )
