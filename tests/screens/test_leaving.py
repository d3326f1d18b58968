"""Leaving, being ended, and faults: work is kept or the baker is asked, and the terminal is put back."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
from baking import to_bake
from driving import burst, press, running, screen_text, typed, written
from terminal import ALTERNATE_SCREEN_LEFT, terminal

from adapter.formula.problems import InputProblem
from adapter.screens.app import ENDING_SIGNALS
from adapter.screens.bake.log_form import BakeLogForm
from adapter.screens.bench.screen import BenchScreen
from adapter.screens.formulas.screen import FormulasScreen
from adapter.screens.parts.dialogs import ConfirmDialog
from adapter.work.drafts import Drafts
from adapter.work.session import Session


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    return written(tmp_path / "breads")


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    def no_room(*_: object) -> Path:
        raise InputProblem("no space left on the disk")

    monkeypatch.setattr(Drafts, "save", no_room)
    return monkeypatch


# ---------------------------------------------------------------------- a full disk


@pytest.mark.parametrize("way_there", [(), ("q",), ("b",), ("b", "l"), ("w",), ("5",), ("c", "question_mark")])
async def test_on_a_full_disk_ctrl_q_asks_wherever_the_keys_are(
    loaf: Path, full_disk: pytest.MonkeyPatch, way_there: tuple[str, ...]
) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "7", "7", "enter", *way_there)
        await burst(app, pilot, "ctrl+q", "ctrl+q")
        assert isinstance(app.screen, ConfirmDialog) and app.is_running
        assert "Leave all the same, and lose it?" in screen_text(app)
        await press(app, pilot, "n")
        assert app.is_running and not isinstance(app.screen, ConfirmDialog)
        await press(app, pilot, "ctrl+q")
        await pilot.press("y")
        await pilot.pause(0.2)
        assert not app.is_running and app.return_code == 0


async def test_on_a_full_disk_leaving_from_the_list_promises_nothing(loaf: Path, full_disk: pytest.MonkeyPatch) -> None:
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "7", "7", "enter", "q", "escape")
        assert isinstance(app.screen, ConfirmDialog)
        text = screen_text(app)
        assert "is kept" not in text and "cannot be kept: no space left" in text and "lose it?" in text
        await press(app, pilot, "enter")
        assert app.is_running and isinstance(app.screen, FormulasScreen)


async def test_work_that_could_not_be_kept_is_kept_once_there_is_room(
    loaf: Path, home: Path, full_disk: pytest.MonkeyPatch
) -> None:
    """The piece that failed is no longer the open one: it is written all the same."""
    async with running([loaf]) as (app, pilot):
        await press(app, pilot, "7", "7", "enter", "q")
        app.session.piece = None
        full_disk.undo()
        app.session.keep_draft()
        (draft,) = (home / "drafts").glob("*.json")
        assert '"grams": 77' in draft.read_text(encoding="utf-8") or "77" in draft.read_text(encoding="utf-8")


# ---------------------------------------------------------------------- the form of the bake log


async def test_what_is_typed_for_the_log_is_in_the_draft_of_its_formula(loaf: Path, home: Path) -> None:
    note = "a note that took a while to write"
    async with running([loaf]) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l", "up")
        await typed(pilot, note)
        await pilot.pause(0.4)
        await press(app, pilot)
        kept = [path.read_text(encoding="utf-8") for path in (home / "drafts").glob("*.json")]
        assert len(kept) == 1 and note in kept[0]
        app.session.close()  # as after a kill: nothing else is written
        async with running() as (later, steps):
            assert isinstance(later.screen, FormulasScreen)
            assert "unsaved work" in screen_text(later)
            await press(later, steps, "enter")
            await to_bake(later, steps)
            await press(later, steps, "l")
            assert isinstance(later.screen, BakeLogForm) and note in later.screen.texts.values()


async def test_what_is_typed_for_the_log_is_taken_up_again_with_its_formula(loaf: Path, home: Path) -> None:
    """Opened by its file, not by the entry of unsaved work."""
    async with running([loaf]) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        await typed(pilot, "26")
        await pilot.pause(0.4)
        await press(app, pilot)
        app.session.close()
        async with running([loaf]) as (later, steps):
            await to_bake(later, steps)
            await press(later, steps, "l")
            assert isinstance(later.screen, BakeLogForm) and later.screen.texts["dough_c"] == "26"
            assert len(list((home / "drafts").glob("*.json"))) == 1


async def test_what_is_typed_for_one_loaf_does_not_stand_in_the_form_of_another(loaf: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        await typed(pilot, "26")
        await press(app, pilot, "escape", "q", "q")
        await typed(pilot, "raisin")
        await press(app, pilot, "enter")
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        assert isinstance(app.screen, BakeLogForm) and not any(app.screen.texts.values())
        await press(app, pilot, "escape", "q", "q", "escape", "enter")
        assert isinstance(app.screen, BenchScreen) and app.session.open_bench.book.name == "Dark trial loaf"
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        assert isinstance(app.screen, BakeLogForm) and app.screen.texts["dough_c"] == "26"


async def test_what_was_written_down_is_no_longer_unsaved(loaf: Path, home: Path) -> None:
    async with running([loaf]) as (app, pilot):
        await to_bake(app, pilot)
        await press(app, pilot, "l")
        await typed(pilot, "26")
        form = app.screen
        assert isinstance(form, BakeLogForm)
        await press(app, pilot, "ctrl+s")
        form.tell_what_is_typed()  # as a timer that fires late
        await press(app, pilot)
        assert not list((home / "drafts").glob("*.json")) and not app.session.open_piece.needs_draft


# ---------------------------------------------------------------------- reading the tables


@pytest.mark.parametrize(
    "fault", [RecursionError("too deep"), OverflowError("int too large"), OSError(40, "Too many links")], ids=str
)
async def test_whatever_stops_the_reading_of_the_tables_is_said(
    home: Path, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def load(self: Session) -> None:
        raise fault

    monkeypatch.setattr(Session, "load", load)
    async with running() as (app, _):
        text = screen_text(app)
        assert "reading the tables" not in text
        assert "! the tables cannot be read" in text and type(fault).__name__ in text
        assert str(fault) in (home / "fault_report.txt").read_text(encoding="utf-8")


# ---------------------------------------------------------------------- ended from outside, and faults


@pytest.mark.parametrize("name", ENDING_SIGNALS)
def test_a_signal_ends_the_program_in_order(loaf: Path, home: Path, name: str) -> None:
    with terminal([str(loaf)], home) as program:
        program.wait_for("swaps for linseed")
        program.send("77\r")
        program.wait_for("77 g")
        program.kill(signal.Signals[name])
        assert program.exit_code() == 128 + signal.Signals[name]
        assert ALTERNATE_SCREEN_LEFT in program.written
    (draft,) = (home / "drafts").glob("*.json")
    assert "77" in draft.read_text(encoding="utf-8")
    assert not list((home / "drafts").glob("*.lock"))


FAULTY = """
import sys
from adapter.command_line import main
from adapter.screens.bench.screen import BenchScreen
def fault(self): raise RuntimeError("trial")
BenchScreen.action_why = fault
sys.exit(main(sys.argv[1:]))
"""


def test_a_fault_on_screen_ends_with_code_1_and_says_where_work_is_kept(loaf: Path, home: Path) -> None:
    with terminal([str(loaf)], home, FAULTY) as program:
        program.wait_for("swaps for linseed")
        program.send("77\r")
        program.wait_for("77 g")
        program.send("w")
        assert program.exit_code() == 1
        after = program.text.split("otherloaf met a fault", 1)[1]
        assert "Traceback" not in program.text
        assert str(home / "drafts") in "".join(after.split("\r\n"))
    assert "RuntimeError: trial" in (home / "fault_report.txt").read_text(encoding="utf-8")
    (draft,) = (home / "drafts").glob("*.json")
    assert "77" in draft.read_text(encoding="utf-8")
