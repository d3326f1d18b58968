"""What a stage is by its name."""

from __future__ import annotations

import pytest

from adapter.formula.stage_names import kind_named


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("sourdough", "sourdough"), ("Rye sourdough", "sourdough"), ("sourdough, 14 h", "sourdough"),
        ("sourdough 2", "sourdough"), ("second sourdough 2", "sourdough"), ("overnight sponge", "sponge"),
        ("Evening poolish (12 h)", "poolish"), ("sponge for the dough", "sponge"), ("old dough", "old dough"),
        ("yesterday's old dough", "old dough"), ("soak", "soaker"), ("scald", "soaker"), ("dough", "dough"),
        ("final dough with sourdough", "dough"), ("dough for the poolish", "dough"), ("overnight dough", "dough"),
    ],
)  # fmt: skip
def test_a_name_tells_the_kind(name: str, kind: str) -> None:
    assert kind_named(name) == kind
