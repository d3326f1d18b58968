"""A session driven at random: edits, swaps, undo, variants, saves, kills, restarts, two programs over one home.

What must hold all the time: a file on disk is the last one that was saved, whole; a start after a kill brings back what
was kept last; undo goes to the book and redo comes back; readings are those of the formula read afresh; nothing is
left lying. Short by itself; longer: pytest --hypothesis-profile=search tests/work/test_session_machine.py
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from adapter.dough.readings.measured import measure
from adapter.files.formula_file import read_formula
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.work.formula_list import SAMPLE, file_entries
from adapter.work.session import Session, Tables
from adapter.work.work_data import KeptWork

READINGS = ("hydration", "ph", "tta", "salt", "rise_time")
SHORT = settings.default is None or settings.default.max_examples <= 100


@dataclass
class Program:
    """One running program, and what of its work was kept last: by the key of the piece."""

    session: Session
    kept: dict[str, KeptWork] = field(default_factory=dict)

    def killed(self) -> None:
        """As by SIGKILL: the system lets go of the lock, nothing else is put in order."""
        drafts = self.session._drafts
        if drafts is not None and drafts._lock is not None:
            os.close(drafts._lock)
            drafts._lock = None


class SessionMachine(RuleBasedStateMachine):
    tables: Tables | None = None

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="otherloaf-machine-"))
        self.before = os.environ.get("OTHERLOAF_HOME")
        os.environ["OTHERLOAF_HOME"] = str(self.folder)
        self.programs = [self.started(), self.started()]
        self.on_disk: dict[Path, Formula] = {}
        self.left_behind: list[KeptWork] = []

    def teardown(self) -> None:
        for program in self.programs:
            program.session.close()
        if self.before is None:
            del os.environ["OTHERLOAF_HOME"]
        else:
            os.environ["OTHERLOAF_HOME"] = self.before
        shutil.rmtree(self.folder)

    def started(self) -> Program:
        session = Session()
        if SessionMachine.tables is None:
            SessionMachine.tables = session.load()
        session.tables = SessionMachine.tables
        return Program(session)

    def keep(self, program: Program) -> None:
        """What a screen does a moment after each change."""
        program.session.keep_draft()
        program.kept = {key: piece.kept() for key, piece in program.session.pieces.items() if piece.needs_draft}

    # ------------------------------------------------------------------ what a baker does

    @initialize(number=st.integers(0, 9))
    def begin(self, number: int) -> None:
        for program in self.programs:
            self.open_sample(program, number)

    def open_sample(self, program: Program, number: int) -> None:
        samples = [entry for entry in file_entries(()) if entry.group == SAMPLE]
        program.session.open(samples[number % len(samples)])

    @rule(who=st.integers(0, 1), number=st.integers(0, 9))
    def opens_a_sample(self, who: int, number: int) -> None:
        self.keep(self.programs[who])
        self.open_sample(self.programs[who], number)

    @rule(who=st.integers(0, 1), number=st.integers(0, 5))
    def opens_unsaved_work_or_an_own_file(self, who: int, number: int) -> None:
        program = self.programs[who]
        self.keep(program)
        entries = [
            *(entry for entry in program.session.draft_entries() if entry.piece is not None),
            *(entry for entry in file_entries(()) if entry.group != SAMPLE),
        ]
        if entries:
            program.session.open(entries[number % len(entries)])

    @rule(who=st.integers(0, 1), line=st.integers(0, 30), grams=st.sampled_from([0.5, 7.0, 33.3, 120.0, 500.0]))
    def types_an_amount(self, who: int, line: int, grams: float) -> None:
        bench = self.programs[who].session.open_bench
        with contextlib.suppress(InputProblem):
            bench.type_amount(line % len(bench.formula.lines), grams)

    @rule(who=st.integers(0, 1), line=st.integers(0, 30))
    def strikes_a_line(self, who: int, line: int) -> None:
        bench = self.programs[who].session.open_bench
        with contextlib.suppress(InputProblem):
            bench.strike(line % len(bench.formula.lines))

    @rule(who=st.integers(0, 1), line=st.integers(0, 30), number=st.integers(0, 3))
    def takes_an_offer(self, who: int, line: int, number: int) -> None:
        bench = self.programs[who].session.open_bench
        offers = bench.offers(line % len(bench.formula.lines))
        if offers:
            bench.apply(offers[number % len(offers)])

    @rule(who=st.integers(0, 1), times=st.integers(1, 3))
    def undoes(self, who: int, times: int) -> None:
        for _ in range(times):
            self.programs[who].session.open_bench.undo()

    @rule(who=st.integers(0, 1))
    def redoes(self, who: int) -> None:
        self.programs[who].session.open_bench.redo()

    @rule(who=st.integers(0, 1), what=st.sampled_from(["new", "show", "drop", "rename", "hold"]))
    def works_with_variants(self, who: int, what: str) -> None:
        piece = self.programs[who].session.open_piece
        if what == "new":
            piece.new_variant()
        elif what == "drop":
            piece.drop_variant()
        elif what == "show":
            piece.bench.show(piece.bench.work.shown + 1)
        elif what == "rename":
            piece.bench.rename(f"{piece.bench.formula.name[:40]} again")
        else:
            piece.bench.toggle_hold("ph")

    @rule(who=st.integers(0, 1), text=st.sampled_from(["", "26", "a little close"]))
    def types_into_the_log_form(self, who: int, text: str) -> None:
        self.programs[who].session.open_piece.log_form["notes"] = text

    @rule(who=st.integers(0, 1), name=st.sampled_from(["", "one", "two"]))
    def saves(self, who: int, name: str) -> None:
        session = self.programs[who].session
        path = session.open_piece.path_to_offer() if not name else self.folder / "formulas" / f"{name}.toml"
        home = session.open_piece.home
        overtaken = session.open_piece.is_its_own(path) and home is not None and self.on_disk.get(path) != home.formula
        try:
            session.open_piece.save(path)
        except InputProblem as problem:
            assert overtaken, problem
            return
        assert not overtaken, "what another program saved was written over"
        self.on_disk[path] = session.open_bench.formula
        self.keep(self.programs[who])

    @rule(who=st.integers(0, 1), grams=st.sampled_from([41.0, 83.0, 167.0]))
    def both_work_on_one_file(self, who: int, grams: float) -> None:
        """Who saves last is told that the other one saved meanwhile."""
        path = self.folder / "formulas" / "shared.toml"
        if not path.exists():
            self.programs[who].session.open_piece.save(path)
            self.on_disk[path] = self.programs[who].session.open_bench.formula
        entry = next(entry for entry in file_entries(()) if entry.path == path)
        for program in self.programs:
            self.keep(program)
            program.session.open(entry)
        first, second = (self.programs[number].session for number in (who, 1 - who))
        for session, weight in ((first, grams), (second, grams + 1.0)):
            session.open_bench.add(Line("honey", weight), 0)
        first.open_piece.save(path)
        self.on_disk[path] = first.open_bench.formula
        with pytest.raises(InputProblem, match="changed by another program"):
            second.open_piece.save(path)
        self.keep(self.programs[who])
        self.keep(self.programs[1 - who])

    @rule(who=st.integers(0, 1))
    def keeps(self, who: int) -> None:
        self.keep(self.programs[who])

    # ------------------------------------------------------------------ endings

    @rule(who=st.integers(0, 1), kill=st.booleans(), number=st.integers(0, 9))
    def ends_and_starts_again(self, who: int, kill: bool, number: int) -> None:
        program = self.programs[who]
        if kill:
            program.killed()
        else:
            self.keep(program)
            program.session.close()
        expected = [*self.left_behind, *program.kept.values()]
        again = self.programs[who] = self.started()
        entries = [entry for entry in again.session.draft_entries() if entry.draft is not None]
        found = [again.session._kept(entry) for entry in entries]
        for kept in expected:
            assert kept in found, "work that was kept is gone"
        assert len(found) == len(expected), "more work is listed than was kept"
        assert again.session.notes == []
        self.left_behind = found
        self.open_sample(again, number)

    @precondition(lambda self: self.left_behind)
    @rule(who=st.integers(0, 1), number=st.integers(0, 9))
    def takes_up_what_was_left_behind(self, who: int, number: int) -> None:
        program = self.programs[who]
        self.keep(program)
        entries = [entry for entry in program.session.draft_entries() if entry.draft is not None]
        assert len(entries) == len(self.left_behind)
        entry = entries[number % len(entries)]
        kept = program.session._kept(entry)
        program.session.open(entry)
        assert program.session.open_piece.kept() == kept
        self.left_behind.remove(kept)
        self.keep(program)

    # ------------------------------------------------------------------ what holds

    @invariant()
    def files_are_whole_and_the_last_that_were_saved(self) -> None:
        assert self.tables is not None
        for path, formula in self.on_disk.items():
            assert read_formula(path, self.tables.shipped.catalogue) == formula
        lying = [path.name for path in self.folder.rglob("*") if path.name.endswith((".part", ".unreadable"))]
        assert lying == []

    @invariant()
    def readings_are_those_of_the_formula_read_afresh(self) -> None:
        for program in self.programs:
            if program.session.piece is not None:
                bench = program.session.open_bench
                afresh = measure(bench.kitchen, bench.formula)
                for key in READINGS:
                    assert bench.now.value(key) == pytest.approx(afresh.value(key), rel=1e-12, nan_ok=True)

    @invariant()
    def undo_goes_to_the_book_and_redo_comes_back(self) -> None:
        for program in self.programs:
            if program.session.piece is None:
                continue
            bench = program.session.open_bench
            now, steps = bench.work, 0
            while bench.undo():
                steps += 1
            first = bench.formula
            assert first == now.variant.formulas[0]
            assert first.lines == first.book().lines or first.adapted is not None
            for _ in range(steps):
                assert bench.redo()
            assert bench.work == now
            bench.work = now


TestSession = SessionMachine.TestCase
TestSession.settings = settings(
    max_examples=12 if SHORT else settings.default.max_examples // 10, stateful_step_count=25, deadline=None
)
