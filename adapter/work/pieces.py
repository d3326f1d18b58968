"""A piece of work: an open bench with where it came from, what of it is saved, and its draft."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from adapter.formula.problems import InputProblem
from adapter.work.work_data import Home, KeptWork, stands_somewhere

if TYPE_CHECKING:
    from adapter.formula.model import Formula
    from adapter.swaps.bench import Bench, Work
    from adapter.work.asking import Asked


@dataclass
class Piece:
    """One bench. `homes` goes with the bench's variants, one each: None for a variant that has no file yet.

    `opened` is the formula as it was opened, `key` the name of the draft. `log_form` is what was typed into the form
    of the bake log and is not written down yet, `day` what is set for its next bake. `written` is what stands in the
    draft. `compared` are the signs of the columns that were compared last, `asked` what was asked of the loaf.
    """

    key: str
    bench: Bench
    opened: Formula
    opened_from: Path | None
    homes: list[Home | None]
    when: datetime
    log_form: dict[str, str] = field(default_factory=dict)
    written: KeptWork | None = None
    day: dict[str, Any] = field(default_factory=dict)
    compared: tuple[str, ...] = ()
    asked: Asked | None = None

    def kept(self, work: Work | None = None) -> KeptWork:
        work = work or self.bench.work
        homes = tuple(self.homes)[: len(work.variants)]
        form = tuple((key, text) for key, text in self.log_form.items() if text)
        return KeptWork(work, self.opened, self.opened_from, homes, form, self.day, self.asked)

    def is_saved(self, number: int) -> bool:
        """Whether a variant stands in a file as it is, or is the formula as it was opened."""
        return stands_somewhere(self.bench.work.variants[number].formula, self.homes[number], self.opened)

    @property
    def is_new(self) -> bool:
        """Whether it was begun here, written or read from a recipe, and no variant of it was ever saved."""
        return not self.opened.lines and not any(self.homes)

    @property
    def is_variant_of_its_file(self) -> bool:
        """Whether the shown variant was adapted from the book formula that stands in its file."""
        home = self.home
        return home is not None and home.formula.adapted is None and self.bench.formula.adapted is not None

    @property
    def would_lose_its_book(self) -> bool:
        """Whether its file holds a book formula with other lines, which was not written here."""
        home = self.home
        opened_book = home is not None and home.formula.adapted is None and bool(self.opened.lines)
        return opened_book and home is not None and home.formula.lines != self.bench.formula.lines

    @property
    def name_to_save_by(self) -> str:
        """The shown variant's name; one that is still called like its book is told from it by its letter."""
        bench = self.bench
        if bench.formula.adapted is None or bench.formula.name != bench.book.name:
            return bench.formula.name
        return f"{bench.formula.name} variant {bench.letter(bench.work.shown)}"

    @property
    def is_of_sample(self) -> bool:
        """Whether it is a sample that ships with the program, not saved as a formula of one's own."""
        return self.opened_from is None and bool(self.opened.lines) and self.home is None

    def check_has_flour(self) -> None:
        """Raises InputProblem while there is no flour: there is nothing to save yet, and nothing to vary."""
        if not self.bench.has_flour:
            raise InputProblem("the formula has no flour yet", right="a puts in a line, such as 500 g bread flour")

    @property
    def is_all_saved(self) -> bool:
        return all(self.is_saved(number) for number in range(len(self.bench.work.variants)))

    @property
    def needs_draft(self) -> bool:
        """Whether something would be lost without a draft."""
        return not self.is_all_saved or any(self.log_form.values()) or bool(self.day) or self.is_asked

    @property
    def is_asked(self) -> bool:
        """Whether wishes were made of the loaf."""
        return self.asked is not None and self.asked.is_begun

    def new_variant(self) -> bool:
        """A further variant; whether there was room for it."""
        # The home comes first: a draft may be written at any moment, and every variant needs one.
        before = len(self.bench.work.variants)
        self.homes.append(None)
        self.bench.new_variant()
        if len(self.bench.work.variants) > before:
            return True
        self.homes.pop()
        return False

    def drop_variant(self) -> bool:
        """Drop the shown variant; not the last one."""
        shown = self.bench.work.shown
        if not self.bench.drop_variant():
            return False
        del self.homes[shown]
        return True

    @property
    def home(self) -> Home | None:
        """Where the shown variant stands on disk."""
        return self.homes[self.bench.work.shown]

    def path_to_offer(self) -> Path:
        """Where the shown variant would be saved: its own file, else a new one beside it or among the baker's own.

        A variant of a book formula has a name of its own, so that the book formula stays.
        """
        from adapter.files.places import own_formulas_path
        from adapter.work.paths import file_name_for, free_path, is_among_samples

        home = self.home
        if home is not None and str(home.path).isprintable() and not self.is_variant_of_its_file:
            return home.path
        origin = home.path if home is not None else self.opened_from
        folder = origin.parent if origin is not None else own_formulas_path()
        if is_among_samples(folder) or not str(folder).isprintable():
            folder = own_formulas_path()
        return free_path(folder / file_name_for(self.name_to_save_by))

    def is_its_own(self, path: Path) -> bool:
        """Whether a path is the file that the shown variant came from or was saved to."""
        return self.home is not None and self.home.path == path

    def is_over_its_book(self, path: Path) -> bool:
        """Whether a path is the file of a book formula, which other lines would take the place of."""
        return self.is_its_own(path) and self.would_lose_its_book

    def save(self, path: Path) -> None:
        """Write the shown variant. Raises InputProblem: not over a sample, not over what somebody changed since."""
        from adapter.files.formula_saving import write_formula
        from adapter.files.places import make_folder
        from adapter.files.stamp import stamp_of
        from adapter.files.toml.source import exists
        from adapter.work.paths import check_no_sample

        check_no_sample(path)
        bench = self.bench
        stamp = self.home.stamp if self.home is not None and self.is_its_own(path) else None
        if stamp is None and exists(path):
            stamp = stamp_of(path)
        make_folder(path.parent)
        stamp = write_formula(bench.formula, path, stamp, bench.kitchen.catalogue)
        self.homes[bench.work.shown] = Home(path, stamp, bench.formula)
