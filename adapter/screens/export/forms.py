"""The forms in which a formula, or a comparison of variants, can be written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.exports.form import FormulaForm, ForReaders
from adapter.exports.forms import export_file
from adapter.files.atomic import write_whole
from adapter.files.places import make_folder, own_formulas_path
from adapter.files.stamp import MISSING, Stamp, stamp_of
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem, os_problem
from adapter.work.paths import check_no_sample, file_name_for, path_typed

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.words.timetable import TimetableRow
    from adapter.words.units import Units
    from adapter.work.session import Session


def write_text(path: Path, text: str, stamp: Stamp) -> None:
    """Write the text that was shown, its lines ended as they are. Raises InputProblem for a file of another stamp."""
    write_whole(path, text.encode("utf-8"), stamp)


@dataclass(frozen=True, slots=True)
class Form:
    """One form. `text` makes it, given the sentences that are chosen for readers; `has_options` says if it uses them.

    `write` puts it into a file that was found as its stamp says.
    """

    suffix: str
    about: str
    text: Callable[[Sequence[str]], str]
    has_options: bool = False
    write: Callable[[Path, str, Stamp], None] = write_text


@dataclass(frozen=True, slots=True)
class Subject:
    """What is exported: its name, its forms, and the file that is offered, without a suffix."""

    name: str
    forms: tuple[Form, ...]
    folder: Path
    stem: str

    def path_for(self, form: Form) -> Path:
        return self.folder / (self.stem + form.suffix)


def formula_forms(session: Session, units: Units) -> Subject:
    """The shown variant of the bench, in every form that an export has."""
    from adapter.exports import forms

    measured = session.open_bench.now
    reasons = _reasons(session)

    def shown_form(form: FormulaForm) -> Form:
        def text(options: Sequence[str]) -> str:
            return form.text(
                measured, ForReaders(options, reasons, cups=units.is_wide, timetable=_timetable(session, form))
            )

        if form.write_over is not None:
            return Form(
                form.suffix, form.title, text, write=lambda path, _, stamp: _save(session, measured, path, stamp)
            )
        return Form(form.suffix, form.title, text, form.for_readers)

    offered = session.open_piece.path_to_offer()
    return Subject(measured.formula.name, tuple(map(shown_form, forms.formula_forms())), _folder(offered), offered.stem)


def _timetable(session: Session, form: FormulaForm) -> Sequence[TimetableRow]:
    """The times of the day as they are planned, for a form that tells them."""
    if not form.for_calendars:
        return ()
    from adapter.work.day_timetable import day_timetable

    return day_timetable(session, datetime.now())


def _reasons(session: Session) -> dict[str, str]:
    from adapter.words.reader_options import reasons_of

    return {} if session.tables is None else reasons_of(session.tables.rules)


def _save(session: Session, measured: Measured, path: Path, stamp: Stamp) -> None:
    """A formula over a formula file keeps the comments of that file; over its own it is saved, as on the bench."""
    if session.open_piece.is_its_own(path):
        session.open_piece.save(path)
        session.keep_draft()
    else:
        export_file(measured, path, stamp=stamp)


def _folder(offered: Path) -> Path:
    """Where a formula would be saved, but for the samples' own folder, which nothing is written into."""
    try:
        check_no_sample(offered)
    except InputProblem:
        return own_formulas_path()
    return offered.parent


def comparison_forms(session: Session, variants: Sequence[Measured]) -> Subject:
    """A comparison of variants, in every form that it has."""
    from adapter.exports import forms
    from adapter.exports.form import ComparisonForm

    pantry = session.pantry

    def shown_form(form: ComparisonForm) -> Form:
        return Form(form.suffix, form.title, lambda _: form.text(variants, pantry))

    folder = _folder(session.open_piece.path_to_offer())
    stem = file_name_for(f"{session.open_bench.book.name} compared").removesuffix(".toml")
    name = f"{len(variants)} variants compared"
    return Subject(name, tuple(map(shown_form, forms.comparison_forms())), folder, stem)


def path_of(text: str, form: Form) -> Path:
    """The path that was typed for a form. Raises InputProblem: another form's suffix, a sample, a folder."""
    path = path_typed(text, form.suffix)
    if path.suffix.lower() != form.suffix:
        fault = f"{shown(path.name)} does not end in {form.suffix}"
        raise InputProblem(fault, right=f"a {form.about} is a {form.suffix} file")
    check_no_sample(path)
    try:
        folder = path.is_dir()
    except OSError as error:
        raise os_problem(error, path, "written") from None
    if folder:
        raise InputProblem(f"{shown(path.name)} is a folder", right="the name of a file in it")
    return path


def stamp_at(path: Path) -> Stamp:
    """What stands at a path now, so that the writer notices if it changes while the baker is asked."""
    return stamp_of(path)


def exists(stamp: Stamp) -> bool:
    return stamp != MISSING


def write_form(form: Form, path: Path, text: str, stamp: Stamp) -> None:
    """Write what was shown, in a folder that is made where there is none. Raises InputProblem."""
    make_folder(path.parent)
    form.write(path, text, stamp)
