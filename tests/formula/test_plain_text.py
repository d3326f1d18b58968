"""Text from files loses everything that can steer a terminal and keeps everything that can be seen."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from adapter.formula.plain_text import BLOCK_LIMIT, NAME_LIMIT, clean, clean_block, shown

# Unicode 15, chapter 23: the bidirectional controls and the zero-width characters by code point.
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
ZERO_WIDTH = "\u200b\u200c\u200d\u2060\ufeff\u00ad\u180e"


@pytest.mark.parametrize("character", [*BIDI, *ZERO_WIDTH, "\x00", "\x07", "\x08", "\x1b", "\x7f", "\x9b", "\ud800"])
def test_invisible_characters_go(character: str) -> None:
    assert clean(f"dark{character}rye") == "darkrye"
    assert clean_block(f"dark{character}rye") == "darkrye"


@pytest.mark.parametrize("gap", ["\t", "\n", "\r\n", "\u2028", "\u2029", "\x85", "\u00a0", "   ", "\x0b\x0c"])
def test_every_kind_of_gap_is_one_space(gap: str) -> None:
    assert clean(f" dark{gap}rye ") == "dark rye"


def test_escape_sequences_lose_their_power_and_brackets_stay() -> None:
    assert clean("\x1b[31mHut [b]dark[/b] \\[x] {y}\x1b[0m") == "[31mHut [b]dark[/b] \\[x] {y}[0m"


def test_a_name_of_500_characters_stays_whole_and_a_longer_one_says_that_it_is_cut() -> None:
    name = "rye " * 125
    assert clean(name.rstrip() + "s") == name.rstrip() + "s"
    assert clean("r" * NAME_LIMIT) == "r" * NAME_LIMIT
    assert clean("r" * 501) == "r" * 499 + "…"


def test_letters_of_every_script_stay() -> None:
    for name in ("Früchtebrot", "ржаной хлеб", "ライ麦パン", "خبز الجاودار", "pan 🍞", "e\u0301clair"):
        assert clean(name) == name


def test_notes_keep_their_lines_and_indents() -> None:
    assert clean_block("  one\r\n    two \x1b[2J\n\n\n three\u2028four\n") == "one\n    two [2J\n\n\n three\nfour"


def test_quoted_in_a_message_it_is_short() -> None:
    assert len(shown("x" * 10**6)) == 60
    assert shown(["\x1b[31m"]) == "['\\x1b[31m']"


@given(st.text())
def test_clean_is_harmless_and_leaves_clean_text_alone(text: str) -> None:
    once = clean(text)
    assert clean(once) == once
    assert not any(unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") for c in once)
    assert "  " not in once and once == once.strip() and len(once) <= NAME_LIMIT


@given(st.text())
def test_clean_block_is_harmless_and_leaves_clean_text_alone(text: str) -> None:
    once = clean_block(text)
    assert clean_block(once) == once
    assert not any(unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") for c in once.replace("\n", ""))
    assert len(once) <= BLOCK_LIMIT
