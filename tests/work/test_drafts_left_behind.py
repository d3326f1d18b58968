"""Drafts of runs that ended: damaged ones do not stop a start, the newest are listed, locks do not pile up."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from folders import names_in

from adapter.formula.problems import InputProblem
from adapter.work.drafts import MOST_DRAFTS, Drafts
from adapter.work.work_data import work_from_data

GOOD = {"format": 1, "title": "a loaf", "when": "2031-01-02T10:00:00", "content": {"n": 1}}


def lay(folder: Path, name: str, data: object, age_s: float = 0.0) -> Path:
    path = folder / name
    path.write_text(data if isinstance(data, str) else json.dumps(data))
    if age_s:
        state = path.stat()
        os.utime(path, (state.st_atime - age_s, state.st_mtime - age_s))
    return path


DAMAGED = {
    "no JSON": "{",
    "nested without end": "[" * 100_000,
    "a number of 5,000 digits": "1" * 5000,
    "a list": "[]",
    "no moment": {**GOOD, "when": "soon"},
    "a moment that is a number": {**GOOD, "when": 10**400},
    "content of another kind": {**GOOD, "content": []},
}


@pytest.mark.parametrize("damage", DAMAGED)
def test_a_damaged_draft_is_set_aside_and_told_and_the_others_are_there(damage: str, tmp_path: Path) -> None:
    lay(tmp_path, "20310101-000000-aaaaaaaa.1.json", GOOD)
    lay(tmp_path, "20310101-000001-aaaaaaab.1.json", DAMAGED[damage])
    drafts, notes = Drafts(tmp_path).left_behind()
    assert [draft.title for draft in drafts] == ["a loaf"]
    assert len(notes) == 1 and "aaaaaaab.1.json" in notes[0] and "set aside" in notes[0] and "\n" not in notes[0]
    assert "20310101-000001-aaaaaaab.1.unreadable" in names_in(tmp_path)
    assert Drafts(tmp_path).left_behind()[1] == []


def test_moments_with_and_without_a_zone_stand_in_one_list(tmp_path: Path) -> None:
    lay(tmp_path, "20310101-000000-aaaaaaaa.1.json", {**GOOD, "title": "zoned", "when": "2031-01-01T00:00:00+05:00"})
    lay(tmp_path, "20310101-000001-aaaaaaab.1.json", {**GOOD, "title": "plain", "when": "2031-01-02T00:00:00"})
    drafts, notes = Drafts(tmp_path).left_behind()
    assert [draft.title for draft in drafts] == ["plain", "zoned"] and notes == []


@pytest.mark.parametrize("content", [{"variants": 1e400}, {"lines": [[["x"] * 3]], "steps": [], "extras": []}])
def test_work_that_makes_no_sense_is_refused_in_one_line(content: object, catalogue: object) -> None:
    with pytest.raises(InputProblem) as caught:
        work_from_data(content, catalogue)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)


def test_with_too_many_drafts_the_newest_are_listed_and_the_rest_is_told(tmp_path: Path) -> None:
    for number in range(MOST_DRAFTS + 3):
        lay(tmp_path, f"20310101-{number:06}-aaaaaaaa.1.json", {**GOOD, "title": f"loaf {number}"}, age_s=1000 - number)
    # An old run's name, but written last.
    lay(tmp_path, "20200101-000000-aaaaaaaa.1.json", {**GOOD, "title": "newest"})
    drafts, notes = Drafts(tmp_path).left_behind()
    titles = {draft.title for draft in drafts}
    assert len(drafts) == MOST_DRAFTS
    assert "newest" in titles and f"loaf {MOST_DRAFTS + 2}" in titles
    assert not {f"loaf {number}" for number in range(4)} & titles
    assert len(notes) == 1 and "4 older drafts are not listed" in notes[0]


def test_locks_of_ended_runs_go_and_that_of_a_running_one_stays(tmp_path: Path) -> None:
    pytest.importorskip("fcntl")
    running = Drafts(tmp_path)
    running.save("1", "being written", {})
    (tmp_path / "20310101-000000-aaaaaaaa.lock").touch()
    (tmp_path / "20310101-000001-aaaaaaab.lock").touch()
    left, notes = Drafts(tmp_path).left_behind()
    assert (left, notes) == ([], [])
    assert [name for name in names_in(tmp_path) if name.endswith(".lock")] == [f"{running._run}.lock"]
    running.close()
    assert [draft.title for draft in Drafts(tmp_path).left_behind()[0]] == ["being written"]
