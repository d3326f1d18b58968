"""What the screens share: the tables once they are read, the pantry, the open bench and where it came from.

Nothing heavy is imported at the top: the first screen is painted before the core is loaded.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem

if TYPE_CHECKING:
    from adapter.dough.kitchen import Kitchen
    from adapter.dough.readings import Measured
    from adapter.files.atomic import Stamp
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.screens.library import Entry
    from adapter.swaps.bench import Bench
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import Rule


@dataclass(frozen=True)
class Tables:
    """Everything read from the tables; reading takes a tenth of a second, so it happens after the first paint.

    `shipped` is the kitchen without figures off the baker's own packets; `kitchen` has them.
    """

    shipped: Kitchen
    kitchen: Kitchen
    rules: tuple[Rule, ...]
    solver: Solver


@dataclass(frozen=True)
class Home:
    """Where a variant stands on disk, and the formula as it stands there."""

    path: Path
    stamp: Stamp
    formula: Formula


@dataclass
class Session:
    """State that outlives a screen. `tables` is None until they are read in the background.

    `homes` goes with the bench's variants, one each: None for a variant that has no file yet. `opened` is the
    formula as it was opened. `solving` guards the one solver, which a background worker and the keys share.
    """

    files: Sequence[Path] = ()
    tables: Tables | None = None
    pantry: Pantry | None = None
    pantry_path: Path | None = None
    pantry_stamp: Stamp | None = None
    pantry_is_sample: bool = False
    bench: Bench | None = None
    opened: Formula | None = None
    opened_from: Path | None = None
    homes: list[Home | None] = field(default_factory=list)
    solving: threading.Lock = field(default_factory=threading.Lock)

    # ------------------------------------------------------------------ tables and pantry

    def load(self) -> Tables:
        """Read every table and the pantry. Raises InputProblem for a fault in a baker's own."""
        from adapter.dough.kitchen import load_kitchen
        from adapter.files.places import own_table_folders
        from adapter.swaps.programme import Solver
        from adapter.swaps.rules import load_rules

        folders = own_table_folders()
        kitchen = load_kitchen(folders)
        rules = load_rules(kitchen.catalogue, (*kitchen.quantities, "ph"), folders)
        self.tables = Tables(kitchen, kitchen, rules, Solver())
        self.load_pantry()
        return self.tables

    def load_pantry(self) -> None:
        """The baker's own pantry; else the sample one, whose stock is shown but whose packets change no figures."""
        from adapter.files.pantry_file import read_pantry_and_stamp, read_sample_pantry
        from adapter.files.places import own_pantry_path, sample_pantry

        assert self.tables is not None
        catalogue = self.tables.shipped.catalogue
        self.pantry_path = own_pantry_path()
        if self.pantry_path.is_file():
            pantry, self.pantry_stamp = read_pantry_and_stamp(self.pantry_path, catalogue)
            self.use_pantry(pantry)
            return
        sample = sample_pantry()
        if sample is not None:
            self.pantry, self.pantry_is_sample = read_sample_pantry(sample, catalogue), True

    def use_pantry(self, pantry: Pantry) -> None:
        """Take a pantry as the baker's own: its packets' figures go over the tables', the open bench follows."""
        from adapter.dough.own_figures import with_own_figures

        assert self.tables is not None
        self.pantry, self.pantry_is_sample = pantry, False
        shipped = self.tables.shipped
        kitchen = replace(shipped, catalogue=with_own_figures(shipped.catalogue, pantry))
        self.tables = replace(self.tables, kitchen=kitchen)
        if self.bench is not None:
            self.bench = self._bench(self.bench.work.variant.formula, self.bench)

    # ------------------------------------------------------------------ opening

    def read(self, entry: Entry) -> tuple[Formula, Stamp | None]:
        """The formula of an entry; the stamp of its file, None for what has none."""
        from adapter.files.formula_file import read_formula_and_stamp, read_sample

        assert self.tables is not None
        catalogue = self.tables.kitchen.catalogue
        if entry.draft is not None:
            return entry.draft.work.variant.formula, None
        if entry.path is not None:
            return read_formula_and_stamp(entry.path, catalogue)
        assert entry.place is not None
        return read_sample(entry.place, catalogue), None

    def open(self, entry: Entry) -> Bench:
        """Put an entry on the bench. Raises InputProblem for a file that cannot be used."""
        formula, stamp = self.read(entry)
        bench = self._bench(formula)
        measured = bench.now
        measured.values["hydration"]
        self.bench, self.opened, self.opened_from = bench, formula, entry.path
        self.homes = [Home(entry.path, stamp, formula) if entry.path is not None and stamp is not None else None]
        return bench

    def measured(self, formula: Formula) -> Measured:
        """A formula read by the present tables. Raises InputProblem for one without flour."""
        from adapter.dough.readings import measure

        assert self.tables is not None
        return measure(self.tables.kitchen, formula)

    def _bench(self, formula: Formula, before: Bench | None = None) -> Bench:
        from adapter.swaps.bench import Bench

        assert self.tables is not None
        bench = Bench.open(self.tables.kitchen, self.tables.rules, self.tables.solver, formula)
        if before is not None:
            bench.work = before.work
        return bench

    # ------------------------------------------------------------------ variants and saving

    @property
    def open_bench(self) -> Bench:
        """The bench; only asked for by screens that stand on it."""
        assert self.bench is not None
        return self.bench

    def new_variant(self) -> bool:
        """A further variant; whether there was room for it."""
        bench = self.open_bench
        before = len(bench.work.variants)
        bench.new_variant()
        if len(bench.work.variants) == before:
            return False
        self.homes.append(None)
        return True

    def drop_variant(self) -> bool:
        """Drop the shown variant; not the last one."""
        bench = self.open_bench
        shown = bench.work.shown
        if not bench.drop_variant():
            return False
        del self.homes[shown]
        return True

    def is_saved(self, number: int) -> bool:
        """Whether a variant stands in a file as it is, or is the formula as it was opened."""
        formula = self.open_bench.work.variants[number].formula
        home = self.homes[number]
        if home is not None:
            return home.formula == formula
        return formula == self.opened

    @property
    def is_all_saved(self) -> bool:
        return self.bench is None or all(self.is_saved(number) for number in range(len(self.bench.work.variants)))

    def path_to_offer(self) -> Path:
        """Where the shown variant would be saved: its own file, else a new one among the baker's own formulas."""
        from adapter.files.places import own_formulas_path

        home = self.homes[self.open_bench.work.shown]
        if home is not None:
            return home.path
        folder = self.opened_from.parent if self.opened_from is not None else own_formulas_path()
        return folder / file_name_for(self.open_bench.formula.name)

    def is_its_own(self, path: Path) -> bool:
        """Whether a path is the file that the shown variant came from or was saved to."""
        home = self.homes[self.open_bench.work.shown]
        return home is not None and home.path == path

    def save(self, path: Path) -> None:
        """Write the shown variant. Raises InputProblem: not over a sample, not over what somebody changed since."""
        from adapter.files.atomic import stamp_of
        from adapter.files.formula_file import write_formula

        check_no_sample(path)
        bench = self.open_bench
        home = self.homes[bench.work.shown]
        stamp = home.stamp if home is not None and home.path == path else stamp_of(path) if path.exists() else None
        make_folder(path.parent)
        stamp = write_formula(bench.formula, path, stamp, bench.kitchen.catalogue)
        self.homes[bench.work.shown] = Home(path, stamp, bench.formula)

    def throw_away(self) -> None:
        """Back to the formula as it was opened or last saved; the draft goes too."""
        bench = self.open_bench
        home = self.homes[bench.work.shown]
        formula = home.formula if home is not None else self.opened
        assert formula is not None
        self.bench = self._bench(formula)
        self.opened, self.homes = formula, [home]
        self.keep_draft()

    # ------------------------------------------------------------------ drafts

    def draft_entries(self) -> list[Entry]:
        """Unsaved work of earlier times, newest first."""
        return []

    def keep_draft(self) -> None:
        """Put what is not saved where the next start finds it; nothing is kept of what is saved."""

    def discard(self, entry: Entry) -> None:
        """Throw unsaved work away."""


def file_name_for(name: str) -> str:
    """A file's name for a formula's: letters and digits kept, the rest underscores."""
    kept = "".join(character if character.isalnum() else " " for character in name.casefold())
    return ("_".join(kept.split())[:80].strip("_") or "formula") + ".toml"


def path_typed(text: str, suffix: str = ".toml") -> Path:
    """The path that a person typed: ~ understood, the suffix added where there is none. Raises InputProblem."""
    written = text.strip()
    if not written or "\0" in written:
        raise InputProblem("no file is named", right="a path such as my_loaf.toml")
    try:
        path = Path(written).expanduser().absolute()
    except RuntimeError:
        raise InputProblem(f"{written[:60]} cannot be followed", right="a path without ~") from None
    if not path.name or written.endswith(("/", "\\")):
        raise InputProblem("names a folder", right="the name of a file in it")
    return path if path.suffix else path.with_name(path.name + suffix)


def check_no_sample(path: Path) -> None:
    """Raises InputProblem for a path among the samples that ship with the program."""
    from importlib.resources import files

    samples = Path(str(files("sample_formulas")))
    if path.resolve().is_relative_to(samples.resolve()):
        raise InputProblem("the samples that ship with the program stay as they are", right="another folder")


def make_folder(folder: Path) -> None:
    """Make a folder where there is none. Raises InputProblem when that is not allowed."""
    from adapter.files.atomic import os_problem

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise os_problem(error, folder, "made") from None
