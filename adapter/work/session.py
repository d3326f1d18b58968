"""What the screens share: the tables once they are read, the pantry, and the pieces of work, one of them open.

Nothing heavy is imported at the top: the first screen is painted before the core is loaded.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem
from adapter.work.formula_list import UNSAVED, Entry

if TYPE_CHECKING:
    from adapter.dough.readings.kitchen import Kitchen
    from adapter.dough.readings.measured import Measured
    from adapter.files.stamp import Stamp
    from adapter.formula.model import Formula
    from adapter.formula.pantry import Pantry
    from adapter.recipes.lines import LineReader
    from adapter.swaps.bench import Bench
    from adapter.swaps.programme import Solver
    from adapter.swaps.rules import Rule
    from adapter.swaps.swapper import Swapper
    from adapter.work.bake_day import BakeDay
    from adapter.work.drafts import Drafts
    from adapter.work.pieces import Piece
    from adapter.work.recipe_review import Review
    from adapter.work.several import Several
    from adapter.work.work_data import KeptWork


@dataclass(frozen=True, eq=False, repr=False)
class Tables:
    """Everything read from the tables; reading takes a tenth of a second, so it happens after the first paint.

    `shipped` is the kitchen without figures off the baker's own packets; `kitchen` has them. `searcher` is for the plan
    of several bakes, which takes long: no swap waits for it.
    """

    shipped: Kitchen
    kitchen: Kitchen
    rules: tuple[Rule, ...]
    solver: Solver
    searcher: Solver


@dataclass(eq=False, repr=False)
class Session:
    """State that outlives a screen. `tables` is None until they are read in the background.

    `pieces` are the pieces of work of this run, by the key of their drafts; `piece` is the open one. With `solving`
    what is worked out in the background takes turns; no key waits for it.
    """

    files: Sequence[Path] = ()
    tables: Tables | None = None
    own_pantry: Pantry | None = None
    sample_store: Pantry | None = None
    pantry_path: Path | None = None
    pantry_stamp: Stamp | None = None
    piece: Piece | None = None
    pieces: dict[str, Piece] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    solving: threading.Lock = field(default_factory=threading.Lock)
    _writing: threading.Lock = field(default_factory=threading.Lock, repr=False)
    _drafts: Drafts | None = field(default=None, repr=False)
    review: Review | None = None
    """The recipe that was read and is gone through."""
    several: Several | None = None
    """The formulas that are marked to be baked together."""
    _bake_day: BakeDay | None = field(default=None, repr=False)
    _reader: LineReader | None = field(default=None, repr=False)

    # ------------------------------------------------------------------ tables and pantry

    def load(self) -> Tables:
        """Read every table and the pantry. Raises InputProblem for a fault in a baker's own."""
        from adapter.dough.readings.kitchen import load_kitchen
        from adapter.files.places import own_table_folders
        from adapter.swaps.programme import Solver
        from adapter.swaps.rules import load_rules

        folders = own_table_folders()
        kitchen = load_kitchen(folders)
        rules = load_rules(kitchen.catalogue, kitchen.keepable, folders)
        self.tables = Tables(kitchen, kitchen, rules, Solver(), Solver())
        self.notes += self.calibrate()
        self.load_pantry()
        return self.tables

    def calibrate(self, *paths: Path | None) -> tuple[str, ...]:
        """Make the kitchen what the logs say that lie among the baker's own formulas and beside some files.

        Open benches follow. A note for each log that could not be read.
        """
        from adapter.files.places import holds_logs, own_formulas_path

        assert self.tables is not None
        beside = (path.parent for path in paths if path is not None)
        folders = [folder for folder in dict.fromkeys((own_formulas_path(), *beside)) if holds_logs(folder)]
        if not folders:
            return ()
        from adapter.files.log_file import calibrated_kitchen

        kitchen, notes = calibrated_kitchen(self.tables.kitchen, folders)
        if kitchen is not self.tables.kitchen:
            shipped = replace(self.tables.shipped, calibration=kitchen.calibration)
            self.tables = replace(self.tables, shipped=shipped, kitchen=kitchen)
            self._follow()
        return notes

    def _follow(self) -> None:
        """Every bench anew, with its work, by the present tables."""
        for piece in {id(piece): piece for piece in (*self.pieces.values(), self.piece) if piece}.values():
            work = piece.bench.work
            piece.bench = self._bench(piece.bench.formula)
            piece.bench.work = work

    def load_pantry(self) -> None:
        """The baker's own pantry, and the store of the samples, whose packets change no figures."""
        from adapter.files.pantry_file import read_pantry_and_stamp, read_sample_pantry
        from adapter.files.places import own_pantry_path, sample_pantry
        from adapter.formula.toml_text import is_there

        assert self.tables is not None
        catalogue = self.tables.shipped.catalogue
        self.pantry_path = own_pantry_path()
        sample = sample_pantry()
        if sample is not None:
            self.sample_store = read_sample_pantry(sample, catalogue)
        if is_there(self.pantry_path):
            pantry, self.pantry_stamp = read_pantry_and_stamp(self.pantry_path, catalogue)
            self.use_pantry(pantry)

    @property
    def is_on_sample(self) -> bool:
        """Whether the open formula is a sample that ships with the program: its stock is the store of the samples."""
        return self.piece is not None and self.piece.is_of_sample

    @property
    def pantry(self) -> Pantry | None:
        """What the open formula is baked from: a sample from the sample store, a baker's own from their own pantry.

        An own pantry with nothing in it yet is none: nothing is short of it.
        """
        if self.is_on_sample:
            return self.sample_store
        return self.own_pantry if self.own_pantry is not None and self.own_pantry.stock else None

    def store_for(self, several: Several) -> Pantry | None:
        """What several bakes share: the sample store for samples alone, else the baker's own."""
        if several.of_samples:
            return self.sample_store
        return self.own_pantry if self.own_pantry is not None and self.own_pantry.stock else None

    def swapper_of(self, entry: Entry) -> Swapper:
        """What finds the swaps of an entry's formula, without opening it. Raises InputProblem."""
        from adapter.swaps.swapper import Swapper

        assert self.tables is not None
        return Swapper(self.tables.kitchen, self.tables.rules, self.read(entry)[0], self.tables.searcher)

    @property
    def kept_pantry(self) -> Pantry | None:
        """The pantry to be looked at and kept: the baker's own; beside a sample the sample store until there is one."""
        return self.sample_store if self.pantry_is_sample else self.own_pantry

    @property
    def pantry_is_sample(self) -> bool:
        """Whether the pantry that is looked at is the sample store."""
        return self.own_pantry is None and self.is_on_sample and self.sample_store is not None

    def use_pantry(self, pantry: Pantry) -> None:
        """Take a pantry as the baker's own: its packets' figures go over the tables', open benches follow."""
        from adapter.dough.own_figures import with_own_figures

        assert self.tables is not None
        shipped = self.tables.shipped
        kitchen = replace(shipped, catalogue=with_own_figures(shipped.catalogue, pantry))
        self.own_pantry = pantry
        self.tables = replace(self.tables, kitchen=kitchen)
        self._follow()

    def measured(self, formula: Formula) -> Measured:
        """A formula read by the present tables. Raises InputProblem for one without flour."""
        from adapter.dough.readings.measured import measure

        assert self.tables is not None
        return measure(self.tables.kitchen, formula)

    def has_flour(self, formula: Formula) -> bool:
        """Whether a formula can be read: one that is being written cannot before it has flour."""
        from adapter.dough.readings.measured import holds_flour

        assert self.tables is not None
        return holds_flour(self.tables.kitchen, formula)

    @property
    def bake_day(self) -> BakeDay:
        """What was set for the day: it stays, whichever screen is shown."""
        from adapter.work.bake_day import BakeDay

        if self._bake_day is None:
            self._bake_day = BakeDay()
        return self._bake_day

    def line_reader(self) -> LineReader:
        """What reads lines of recipes by the present tables. The first line takes a moment, as words are loaded."""
        from adapter.recipes.sources import line_reader

        assert self.tables is not None
        catalogue = self.tables.kitchen.catalogue
        if self._reader is None or self._reader.names.catalogue is not catalogue:
            self._reader = line_reader(catalogue)
        return self._reader

    # ------------------------------------------------------------------ opening

    @property
    def bench(self) -> Bench | None:
        """The open bench."""
        return None if self.piece is None else self.piece.bench

    @property
    def open_bench(self) -> Bench:
        """The open bench, for screens that stand on it."""
        return self.open_piece.bench

    @property
    def open_piece(self) -> Piece:
        assert self.piece is not None
        return self.piece

    def read(self, entry: Entry) -> tuple[Formula, Stamp | None]:
        """The formula of an entry; the stamp of its file, None for what has none. Raises InputProblem."""
        from adapter.files.formula_file import read_formula_and_stamp, read_sample

        assert self.tables is not None
        catalogue = self.tables.kitchen.catalogue
        if entry.group == UNSAVED:
            return self._kept(entry).work.variant.formula, None
        if entry.path is not None:
            return read_formula_and_stamp(entry.path, catalogue)
        assert entry.place is not None
        return read_sample(entry.place, catalogue), None

    def _kept(self, entry: Entry) -> KeptWork:
        from adapter.work.work_data import work_from_data

        assert self.tables is not None
        if entry.piece is not None:
            return self.pieces[entry.piece].kept()
        assert entry.draft is not None
        return work_from_data(entry.draft.content, self.tables.kitchen.catalogue)

    def open(self, entry: Entry) -> Bench:
        """Put an entry on the bench. Raises InputProblem for a file or a draft that cannot be used."""
        from adapter.swaps.bench import Work
        from adapter.swaps.variant import Variant
        from adapter.work.drafts import discard_draft
        from adapter.work.work_data import Home, KeptWork

        if entry.piece is not None:
            self.piece = self.pieces[entry.piece]
            return self.piece.bench
        if entry.draft is not None:
            kept = self._kept(entry)
        else:
            formula, stamp = self.read(entry)
            home = Home(entry.path, stamp, formula) if entry.path is not None and stamp is not None else None
            kept = KeptWork(Work((Variant.of(formula),)), formula, entry.path, (home,))
            left = self._day_left_for(kept)
            if left is not None:
                kept = replace(kept, log_form=left[0].log_form, day=left[0].day, asked=left[0].asked)
                entry = left[1]
        self.piece = self._new_piece(kept)
        if entry.draft is not None:
            self.keep_draft()
            discard_draft(entry.draft)
        elif entry.piece is not None:
            self.keep_draft()
            self.discard(entry)
        return self.piece.bench

    def _day_left_for(self, kept: KeptWork) -> tuple[KeptWork, Entry] | None:
        """What was set for the bake of a formula, typed for its log or asked of it, where nothing else is unsaved."""
        origin = kept.opened_from and kept.opened_from.absolute()
        for entry in self.draft_entries():
            if entry.draft is not None and not any(
                entry.draft.content.get(key) for key in ("log_form", "day", "asked")
            ):
                continue
            with suppress(InputProblem):
                other = self._kept(entry)
                where = other.opened_from and other.opened_from.absolute()
                if (
                    (other.log_form or other.day or other.asked)
                    and other.is_saved
                    and (where, other.opened.name) == (origin, kept.opened.name)
                ):
                    return other, entry
        return None

    def open_new(self, name: str) -> Bench:
        """Put a new formula on the bench: it has a name and nothing else, and is not saved."""
        from adapter.formula.model import Formula

        return self._open_written(Formula(name, ()))

    def open_read(self, formula: Formula) -> Bench:
        """Put a formula that was read from a recipe on the bench; it is being written still, and is not saved."""
        return self._open_written(replace(formula, lines=()), formula)

    def _open_written(self, *formulas: Formula) -> Bench:
        from adapter.swaps.bench import Work
        from adapter.swaps.variant import Variant
        from adapter.work.work_data import KeptWork

        variant = Variant(formulas, len(formulas) - 1)
        self.piece = self._new_piece(KeptWork(Work((variant,)), formulas[0], None, (None,)))
        return self.piece.bench

    def _new_piece(self, kept: KeptWork) -> Piece:
        from adapter.work.pieces import Piece

        self.notes += self.calibrate(kept.opened_from)
        bench = self._bench(kept.work.variant.formula)
        bench.work = kept.work
        if bench.has_flour:
            bench.now.value("hydration")
        self.pieces = {key: piece for key, piece in self.pieces.items() if piece.needs_draft}
        number = 1 + max((int(key) for key in self.pieces), default=0)
        piece = Piece(
            str(number),
            bench,
            kept.opened,
            kept.opened_from,
            list(kept.homes),
            datetime.now(),
            dict(kept.log_form),
            day=dict(kept.day),
            asked=kept.asked,
        )
        self.pieces[piece.key] = piece
        return piece

    def _bench(self, formula: Formula) -> Bench:
        from adapter.swaps.bench import Bench

        assert self.tables is not None
        return Bench.open(self.tables.kitchen, self.tables.rules, self.tables.solver, formula)

    # ------------------------------------------------------------------ throwing away

    def throw_away(self) -> None:
        """The open bench back to the formula as it was opened, or as the shown variant was last saved."""
        piece = self.open_piece
        home = piece.home
        formula = home.formula if home is not None else piece.opened
        piece.bench, piece.opened, piece.homes = self._bench(formula), formula, [home]
        self.keep_draft()

    def throw_piece_away(self) -> None:
        """The open piece is thrown away, with its draft."""
        piece = self.open_piece
        self.discard(Entry(UNSAVED, piece.bench.formula.name, piece=piece.key))

    # ------------------------------------------------------------------ drafts

    def draft_entries(self) -> list[Entry]:
        """Unsaved work, newest first: that of this run, and what earlier runs left behind."""
        from adapter.work.unsaved import unsaved_entries

        drafts, notes = self._open_drafts().left_behind()
        self.notes += notes
        return unsaved_entries(self.pieces.values(), drafts)

    def keep_draft(self) -> None:
        """Put what is not saved where the next start finds it; of what is saved nothing is kept.

        May be called from a thread: the work is frozen, and the last state is what is written. The open piece goes
        first, then any other that could not be written before.
        """
        first = [self.piece] if self.piece is not None else []
        problem: InputProblem | None = None
        with self._writing:
            for piece in [*first, *(each for each in list(self.pieces.values()) if each is not self.piece)]:
                try:
                    self._keep(piece)
                except InputProblem as fault:
                    problem = problem or fault
        if problem is not None:
            raise problem

    def _keep(self, piece: Piece) -> None:
        from adapter.work.unsaved import title_of
        from adapter.work.work_data import work_to_data

        kept = piece.kept()
        if kept == piece.written:
            return
        drafts = self._open_drafts()
        if piece.needs_draft:
            piece.when = datetime.now()
            drafts.save(piece.key, title_of(piece.bench), work_to_data(kept))
        else:
            drafts.discard(piece.key)
        piece.written = kept

    def discard(self, entry: Entry) -> None:
        """Throw unsaved work away."""
        from adapter.work.drafts import discard_draft

        if entry.draft is not None:
            discard_draft(entry.draft)
        elif entry.piece is not None:
            self._open_drafts().discard(entry.piece)
            piece = self.pieces.pop(entry.piece, None)
            if piece is self.piece:
                self.piece = None

    def close(self) -> None:
        """At the end: the last state is written, the drafts are left for the next start."""
        if self._drafts is not None:
            self._drafts.close()

    def _open_drafts(self) -> Drafts:
        from adapter.files.places import drafts_path
        from adapter.work.drafts import Drafts

        if self._drafts is None:
            self._drafts = Drafts(drafts_path())
        return self._drafts
