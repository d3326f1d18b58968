"""Every reading is checked here against something published; those that are not say why."""

import re
from pathlib import Path

from adapter.dough.readings.registry import READING_KEYS

UNCHECKED = {
    "flour_mass": "a sum of what is weighed: tests/dough/test_readings_by_hand.py",
    "dough_mass": "a sum of what is weighed: tests/dough/test_readings_by_hand.py",
    "wholegrain_share": "a convention of ours: bran is counted by its fibre",
}


def test_every_reading_is_checked_against_something_published() -> None:
    here = Path(__file__)
    texts = "".join(path.read_text("utf-8") for path in here.parent.glob("test_*.py") if path != here)
    checked = {key for key in READING_KEYS if re.search(rf"\b{key}\b", texts)}
    assert sorted(set(READING_KEYS) - checked) == sorted(UNCHECKED), "add a check to a module of this folder"
