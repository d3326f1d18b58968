"""What can be compared: the bench's variants, their book formula, and formulas that were fetched besides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.files.log_file import Bake, log_path, read_log
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import MOST_VARIANTS
from adapter.swaps.comparison import short_names
from adapter.swaps.variant import Variant
from adapter.work.formula_list import path_of_sample
from adapter.work.work_data import Home

if TYPE_CHECKING:
    from adapter.files.stamp import Stamp
    from adapter.formula.model import Formula
    from adapter.work.formula_list import Entry
    from adapter.work.pieces import Piece
    from adapter.work.session import Session

MOST_COLUMNS = 4
BOOK = "book"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A formula that can be a column. `sign` is short and its own; `variant` is its place on the bench.

    `kept_by` are the files beside which its bakes are logged; `path` and `stamp` are of one fetched from a file.
    """

    sign: str
    formula: Formula
    variant: int | None = None
    kept_by: tuple[Path, ...] = ()
    path: Path | None = None
    stamp: Stamp | None = None


def on_bench(piece: Piece) -> list[Candidate]:
    """The variants of the bench, and the book formula where none of them is it."""
    bench = piece.bench
    book = bench.book
    origin = piece.opened_from or path_of_sample(book.name)
    found = []
    for number, variant in enumerate(bench.work.variants):
        home = piece.homes[number]
        kept_by = dict.fromkeys((*([home.path] if home is not None else []), origin))
        found.append(Candidate(bench.letter(number), variant.formula, number, tuple(kept_by)))
    if all(candidate.formula.lines != book.lines for candidate in found):
        found.append(Candidate(BOOK, book, kept_by=(origin,)))
    return found


def fetched(session: Session, entry: Entry, sign: str) -> Candidate:
    """A formula from a file or the samples. Raises InputProblem for one that cannot be read."""
    from adapter.files.places import own_formulas_path

    formula, stamp = session.read(entry)
    kept_by = () if entry.place is None else (entry.path or own_formulas_path() / entry.place.name,)
    return Candidate(sign, formula, None, kept_by, entry.path, stamp)


def first_choice(candidates: Sequence[Candidate], shown: int) -> list[Candidate]:
    """What is compared at first: the book formula, unless a variant is it, and variants with the shown one among them.

    All changes are told against the first, so that the book always leads.
    """
    variants = [candidate for candidate in candidates if candidate.variant is not None]
    book = [candidate for candidate in candidates if candidate.sign == BOOK]
    chosen = [*book, *variants][:MOST_COLUMNS]
    if all(candidate.variant != shown for candidate in chosen):
        chosen[-1] = variants[shown]
    if not book:
        lines = variants[0].formula.book().lines
        chosen.sort(key=lambda candidate: candidate.formula.lines != lines)
    return chosen


def names_of(candidates: Sequence[Candidate]) -> list[str]:
    """A name for each column: its sign, what tells its formula from the others, and which is the book formula.

    A name that several bear tells nothing: their signs do.
    """
    short = short_names([candidate.formula.name for candidate in candidates])
    names = [f" {name}" if short.count(name) == 1 else "" for name in short]
    return [f"{each.sign}{name}{_as_book(each)}" for each, name in zip(candidates, names, strict=True)]


def _as_book(candidate: Candidate) -> str:
    is_book = candidate.variant is not None and candidate.formula.lines == candidate.formula.book().lines
    return ", as in the book" if is_book else ""


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


def bakes_of(candidate: Candidate, columns: Sequence[Candidate]) -> tuple[Bake, ...]:
    """The logged bakes of a column, oldest first; of a log that columns share, those under the column's own name.

    Raises InputProblem for a log that cannot be read.
    """
    name = candidate.formula.name
    bakes: list[Bake] = []
    for path in candidate.kept_by:
        shared = {each.formula.name for each in columns if path in each.kept_by} != {name}
        bakes += [bake for bake in read_log(log_path(path)) if bake.formula == name or not shared]
    return tuple(sorted(bakes, key=lambda bake: bake.at.replace(tzinfo=None)))
