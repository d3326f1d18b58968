"""Unsaved work is there at the next start, exact to the last digit, after any kind of ending."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from folders import names_in
from formula_strategies import CATALOGUE, formulas, steps
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.files.stamp import Stamp
from adapter.formula.model import Formula, Line, Step
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Work
from adapter.swaps.variant import Variant
from adapter.work.asking import Asked
from adapter.work.drafts import Drafts, discard_draft, read_draft
from adapter.work.formula_data import Pool, Restored
from adapter.work.work_data import Home, KeptWork, work_from_data, work_to_data

LOAF = Formula("loaf", (Line("wholemeal rye flour", 480.1 + 1e-13), Line("water", 400.0)))
steady = settings(deadline=None, max_examples=30)

RUN = """
import sys, time
from pathlib import Path
from adapter.work.drafts import Drafts
drafts = Drafts(Path(sys.argv[1]))
drafts.save("bench", "a loaf", {"n": 1})
drafts.save("bench", "a loaf", {"n": 2})
drafts.save("other", "another", {"n": 3})
drafts.discard("other")
print("saved", flush=True)
time.sleep(60)
"""


def kept_of(variant: Variant) -> KeptWork:
    return KeptWork(Work((variant,)), variant.formulas[0], None, (None,))


def through_json(data: object) -> Any:
    return json.loads(json.dumps(data, allow_nan=False))


def written_and_read(formula: Formula) -> Formula:
    pool = Pool()
    data = through_json({"formula": pool.formula(formula), **pool.data()})
    (restored,) = Restored(data).formulas([data["formula"]])
    return restored


@steady
@given(formulas())
def test_a_formula_survives_as_data(formula: Formula) -> None:
    assert written_and_read(formula) == formula


@steady
@given(formulas(), st.lists(st.tuples(formulas(), steps), max_size=4), st.data())
def test_the_whole_work_survives_with_undo_and_redo(
    book: Formula, then: list[tuple[Formula, Step]], data: st.DataObject
) -> None:
    variant = Variant.of(book)
    for formula, step in then:
        variant = variant.then(formula, step)
    for _ in range(data.draw(st.integers(0, len(then)))):
        variant = variant.undo()
    home = Home(Path("loaf.toml"), Stamp(7, 8, "9"), book)
    kept = KeptWork(Work((Variant.of(book), variant), 1, ("ph", "line:honey")), book, Path("/a/b.toml"), (home, None))
    assert work_from_data(through_json(work_to_data(kept)), CATALOGUE) == kept


def test_what_was_asked_of_the_loaf_survives() -> None:
    formula = Formula("loaf", (Line("wholemeal rye flour", 500.0),))
    swaps = frozenset(["kefir@dough > milk"]), frozenset(["honey@dough > malt syrup"])
    asked = Asked(False, ("milk", "nuts"), ("salt=1.6", "tta=7..8"), *swaps, 2, 4)
    kept = KeptWork(Work((Variant.of(formula),)), formula, None, (None,), asked=asked)
    assert work_from_data(through_json(work_to_data(kept)), CATALOGUE).asked == asked
    broken = {**work_to_data(kept), "asked": {"without": 3}}
    with pytest.raises(InputProblem):
        work_from_data(broken, CATALOGUE)


def test_unknown_tables_survive_with_their_dates() -> None:
    import tomli

    extra = tomli.loads("[a]\nb = [1979-05-27, 07:32:00, 1979-05-27T07:32:00Z, inf, 1.5, true, 'x']\nc.d = {}\n")
    formula = Formula("x", LOAF.lines, extra=extra)
    assert written_and_read(formula).extra == extra


def test_what_formulas_share_is_written_once() -> None:
    variant = Variant.of(LOAF)
    for grams in range(100):
        variant = variant.then(variant.formula.with_lines((LOAF.lines[0], Line("water", float(grams)))), Step("amount"))
    data = work_to_data(kept_of(variant))
    assert len(data["lines"]) == 102 and len(data["steps"]) == 100
    formulas = work_from_data(through_json(data), CATALOGUE).work.variant.formulas
    assert formulas[7].lines[0] is formulas[93].lines[0]


def test_a_long_days_undo_is_a_small_draft() -> None:
    """Ten times the steps are ten times the draft: beyond some size no draft is read."""
    sizes = []
    for count in (40, 400):
        variant = Variant.of(LOAF)
        for grams in range(count):
            lines = (LOAF.lines[0], Line("water", float(grams)))
            variant = variant.then(variant.formula.with_lines(lines), Step("amount"))
        sizes.append(len(json.dumps(work_to_data(kept_of(variant)))))
    assert sizes[1] < 12 * sizes[0] and sizes[1] < 400 * 400


def test_drafts_with_every_formula_whole_are_read() -> None:
    """As they were written at first, the steps among what each formula was adapted by."""
    variant = Variant.of(LOAF)
    for grams in (380.0, 390.0):
        variant = variant.then(variant.formula.with_lines((LOAF.lines[0], Line("water", grams))), Step("amount"))
    data = work_to_data(kept_of(variant))
    whole: list[dict[str, object]] = []
    for formula in data["formulas"]:
        whole.append({**(whole[-1] if whole else {}), **formula})
    for number, formula in enumerate(whole):
        formula.pop("steps", None)
        formula.pop("more_steps", None)
        if isinstance(formula["adapted"], dict):
            formula["adapted"] = {**formula["adapted"], "steps": list(range(number))}
    assert work_from_data(through_json({**data, "formulas": whole}), CATALOGUE).work.variant == variant


def test_work_that_no_formula_file_could_hold_is_not_lost() -> None:
    """A formula in the middle of being changed may have no flour yet; it is still somebody's work."""
    variant = Variant.of(LOAF).then(LOAF.with_lines((Line("water", 400.0),)), Step("amount"))
    assert work_from_data(through_json(work_to_data(kept_of(variant))), CATALOGUE).work.variant == variant


def test_work_with_an_ingredient_that_is_gone_says_so() -> None:
    variant = Variant.of(LOAF.with_lines((*LOAF.lines, Line("moon \x1b dust", 4.0))))
    with pytest.raises(InputProblem, match="'moon dust' is no longer in the tables"):
        work_from_data(through_json(work_to_data(kept_of(variant))), CATALOGUE)


@pytest.mark.parametrize(
    "broken",
    [
        None,
        3,
        [],
        {},
        {"variants": []},
        {"lines": 3, "steps": [], "extras": [], "variants": [], "shown": 0, "holds": []},
    ],
)
def test_data_of_another_shape_is_refused(broken: object) -> None:
    with pytest.raises(InputProblem):
        work_from_data(broken, CATALOGUE)


@steady
@given(st.data())
def test_data_broken_anywhere_is_refused_or_read(data: st.DataObject) -> None:
    whole = through_json(work_to_data(kept_of(Variant.of(LOAF).then(LOAF, Step("swap")))))
    place: object = whole
    while isinstance(place, dict | list) and place:
        keys = list(place) if isinstance(place, dict) else list(range(len(place)))
        key = data.draw(st.sampled_from(keys))
        inner = place[key]  # type: ignore[index]
        if not isinstance(inner, dict | list) or not inner or data.draw(st.booleans()):
            place[key] = data.draw(  # type: ignore[index]
                st.none() | st.integers() | st.text(max_size=3) | st.booleans() | st.just([]) | st.just({})
            )
            break
        place = inner
    try:
        work_from_data(whole, CATALOGUE)
    except InputProblem as problem:
        assert "\n" not in str(problem)


@pytest.mark.parametrize("ending", [signal.SIGKILL, signal.SIGHUP, signal.SIGTERM])
def test_drafts_outlive_the_program_and_are_not_offered_while_it_runs(ending: signal.Signals, tmp_path: Path) -> None:
    folder = tmp_path / "drafts"
    run = subprocess.Popen([sys.executable, "-c", RUN, str(folder)], stdout=subprocess.PIPE, text=True)
    assert run.stdout is not None and run.stdout.readline() == "saved\n"
    assert Drafts(folder).left_behind() == ([], [])
    run.send_signal(ending)
    run.wait(10)
    run.stdout.close()
    (draft,), notes = Drafts(folder).left_behind()
    assert (draft.title, draft.content, notes) == ("a loaf", {"n": 2}, [])
    discard_draft(draft)
    assert Drafts(folder).left_behind() == ([], [])
    assert not names_in(folder)


def test_a_run_does_not_see_its_own_drafts_and_leaves_them_when_it_closes(tmp_path: Path) -> None:
    first = Drafts(tmp_path)
    first.save("bench", "\x1b[31mred", {"a": 1.1})
    assert first.left_behind() == ([], [])
    first.close()
    (draft,), _ = Drafts(tmp_path).left_behind()
    assert draft.title == "[31mred" and draft.content == {"a": 1.1}


def test_newest_first(tmp_path: Path) -> None:
    for title in ("one", "two", "three"):
        drafts = Drafts(tmp_path)
        drafts.save("bench", title, {})
        drafts.close()
    assert [draft.title for draft in Drafts(tmp_path).left_behind()[0]] == ["three", "two", "one"]


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"\xff\xfe", b"[]", b"3", b"{}", b'{"format": 2, "content": {}}', b"[" * 100_000,
     b'{"format": 1, "title": "x", "when": "never", "content": {}}',
     b'{"format": 1, "title": "x", "when": "2031-05-04T00:00:00", "content": 3}'],
)  # fmt: skip
def test_a_broken_draft_is_told_once_and_set_aside(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "x.bench.json").write_bytes(content)
    found, notes = Drafts(tmp_path).left_behind()
    assert not found and len(notes) == 1 and "\n" not in notes[0]
    assert Drafts(tmp_path).left_behind() == ([], [])
    assert (tmp_path / "x.bench.unreadable").read_bytes() == content


def test_a_draft_that_is_a_directory_or_gone(tmp_path: Path) -> None:
    (tmp_path / "x.bench.json").mkdir()
    assert len(Drafts(tmp_path).left_behind()[1]) == 1
    with pytest.raises(InputProblem):
        read_draft(tmp_path / "gone.json")
    assert Drafts(tmp_path / "gone").left_behind() == ([], [])


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputProblem, match="cannot be written"):
        Drafts(tmp_path / "file" / "drafts").save("bench", "x", {})
    assert os.listdir(tmp_path) == ["file"]  # noqa: PTH208
