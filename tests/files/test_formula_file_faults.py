"""Whatever is wrong with a formula file: one clear line that names the file and the entry, and nothing changed."""

from __future__ import annotations

import os
import socket
import threading
from pathlib import Path

import pytest
from folders import names_in
from formula_strategies import CATALOGUE
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.files.formula_file import formula_from_text, read_formula
from adapter.files.formula_saving import write_formula
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula, Line
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem

HEAD = '[formula]\nname = "x"\n'
FLOUR = '[[line]]\ningredient = "wholemeal rye flour"\ngrams = 480\n'
GOOD = HEAD + FLOUR


def line(body: str) -> str:
    return GOOD + "[[line]]\n" + body


FAULTS = [
    # text of the file, where it stands, what is said
    ("", "", "is empty"),
    (" \n\n", "", "is empty"),
    ("# nothing\n", "", "nothing but comments"),
    ("hello", "text", "is not TOML"),
    ("<html><body>", "text line 1", "is not TOML"),
    ('[formula]\nname = "a"\nname = "b"\n' + FLOUR, "text line 3", "there twice"),
    (GOOD + HEAD, "text line 6", "there twice"),
    (HEAD + "[line]\ngrams = 1\n[[line]]\n", "text line 5", "there twice"),
    (GOOD + "[[line]]\ningredient = {}\n", "line 2", "is not a text"),
    (FLOUR, "[formula]", "has no name"),
    ('[formula]\nname = "\\u202e\\u0000 \\n"\n' + FLOUR, "[formula]", "has no name"),
    ("[formula]\nname = 7\n" + FLOUR, "[formula]", "is not a text"),
    ("formula = 3\n" + FLOUR, "", "formula is not a table"),
    (HEAD, "", "has no lines"),
    (HEAD + "line = []\n", "", "has no lines"),
    (HEAD + "line = 3\n", "", "has no lines"),
    ('line = 3\n[formula]\nname = "x"\n', "", "line is not an array"),
    ('line = [3]\n[formula]\nname = "x"\n', "line 1", "is not a table"),
    (HEAD + "[line]\ngrams = 3\n", "", "line is not an array"),
    (GOOD + "[[line]]\n[[line]]\n", "line 2", "has no ingredient"),
    (line("ingredient = 3\ngrams = 1"), "line 2", "is not a text"),
    (line("ingredient = 'kefirr'\ngrams = 1"), "line 2, kefirr", "nearest: kefir, "),
    (line("ingredient = 'unobtainium'\ngrams = 1"), "line 2, unobtainium", "unknown ingredient"),
    (line("ingredient = 'kefir'"), "line 2, kefir", "has no grams"),
    (line("ingredient = 'kefir'\ngrams = -1"), "line 2, kefir", "is negative"),
    (line("ingredient = 'kefir'\ngrams = nan"), "line 2, kefir", "not a finite number"),
    (line("ingredient = 'kefir'\ngrams = inf"), "line 2, kefir", "not a finite number"),
    (line("ingredient = 'kefir'\ngrams = -inf"), "line 2, kefir", "not a finite number"),
    (line("ingredient = 'kefir'\ngrams = 1e999"), "line 2, kefir", "not a finite number"),
    (line("ingredient = 'kefir'\ngrams = 1000000000"), "line 2, kefir", "is out of range"),
    (line("ingredient = 'kefir'\ngrams = 1" + "0" * 400), "line 2, kefir", "not a finite number"),
    (line("ingredient = 'kefir'\ngrams = " + "9" * 5000), "", "too many digits"),
    (line("ingredient = 'kefir'\ngrams = 0x" + "f" * 5000), "", "too many digits"),
    (line("ingredient = 'kefir'\ngrams = 'x'"), "line 2, kefir", "is not a number"),
    (line("ingredient = 'kefir'\ngrams = true"), "line 2, kefir", "is not a number"),
    (line("ingredient = 'kefir'\ngrams = [1]"), "line 2, kefir", "is not a number"),
    (line("ingredient = 'kefir'\ngrams = 2031-05-04"), "line 2, kefir", "is not a number"),
    (line("ingredient = 'kefir'\namount = 3"), "line 2, kefir", "is not a text"),
    (line("ingredient = 'kefir'\namount = ''"), "line 2, kefir", "amount is empty"),
    (line("ingredient = 'kefir'\namount = '3 blinks'"), "line 2, kefir", "no unit 'blinks'"),
    (line("ingredient = 'kefir'\namount = '9 in'"), "line 2, kefir", "is a length"),
    (line("ingredient = 'kefir'\namount = '-2 cups'"), "line 2, kefir", "is negative"),
    (line("ingredient = 'kefir'\namount = 'nan cups'"), "line 2, kefir", "is no amount"),
    (line("ingredient = 'kefir'\ngrams = 1\namount = '1 g'"), "line 2, kefir", "both grams and amount"),
    (line("ingredient = 'kefir'\ngrams = 1\nhydration = 100"), "line 2, kefir", "only for a sourdough"),
    (line("ingredient = 'rye sourdough'\ngrams = 1\nhydration = -3"), "line 2, rye sourdough", "is negative"),
    (line("ingredient = 'kefir'\ngrams = 1\ntemperature_c = '5 K'"), "line 2, kefir", "temperature scale"),
    (line("ingredient = 'kefir'\ngrams = 1\nnote = 3"), "line 2, kefir", "is not a text"),
    (HEAD + "[[line]]\ningredient = 'water'\ngrams = 500\n", "", "has no flour"),
    (HEAD + FLOUR.replace("480", "0"), "", "has no flour"),
    (HEAD + FLOUR.replace("480", "1e-300"), "", "has no flour"),
    (GOOD.replace('"x"', '"x"\npieces = 0'), "[formula]", "pieces = 0"),
    (GOOD.replace('"x"', '"x"\npieces = 1.5'), "[formula]", "whole number"),
    (GOOD.replace('"x"', '"x"\npieces = -1'), "[formula]", "pieces = -1 is negative"),
    (GOOD.replace('"x"', '"x"\npieces = true'), "[formula]", "is not a number"),
    (GOOD.replace('"x"', '"x"\nnote = 3'), "[formula]", "is not a text"),
    ("tin = 3\n" + GOOD, "", "tin is not a table"),
    (GOOD + "[tin]\nlength_cm = 20\nwidth_cm = 10\n", "[tin]", "height_cm is missing"),
    (GOOD + "[tin]\nlidded = true\n", "[tin]", "is missing"),
    (
        GOOD + "[tin]\nlength_cm = 0\nwidth_cm = 10\nheight_cm = 9\n",
        "[tin]",
        "length_cm = 0 is out of range (0.01 to 200)",
    ),
    (GOOD + "[tin]\nlength_cm = -1\nwidth_cm = 10\nheight_cm = 9\n", "[tin]", "is negative"),
    (GOOD + "[tin]\nlength_cm = 'x'\nwidth_cm = 10\nheight_cm = 9\n", "[tin]", "length_cm: 'x'"),
    (GOOD + "[tin]\nlength_cm = '9 oz'\nwidth_cm = 10\nheight_cm = 9\n", "[tin]", "is no length"),
    (GOOD + "[tin]\nlength_cm = 9\nwidth_cm = 9\nheight_cm = 9\ntop_width_cm = 9\n", "[tin]", "has both"),
    (GOOD + "[tin]\nlength_cm = 9\nwidth_cm = 9\nheight_cm = 9\nlidded = 1\n", "[tin]", "neither true nor false"),
    (GOOD + "[proof]\ntemperature_c = 90\n", "[proof]", "out of range"),
    (GOOD + "[proof]\ntemperature_c = '300 F'\n", "[proof]", "out of range"),
    (GOOD + "[proof]\nrise_percent = '30 %'\n", "[proof]", "is not a number"),
    (GOOD + "[bake]\noven_c = 1000\n", "[bake]", "out of range"),
    (GOOD + "[bake]\noven_c = 50\n", "[bake]", "out of range"),
    (GOOD + "[bake]\ncore_c = 101\n", "[bake]", "out of range"),
    (GOOD + "[bake]\ncore_c = 'hot'\n", "[bake]", "core_c:"),
    (GOOD + "[reasons]\nph = 3\n", "[reasons]", "is not a text"),
    (GOOD + "[adapted]\nstep = []\n", "[adapted]", "no name of the book"),
    (GOOD + "[adapted]\nfrom = 'y'\nbook = 3\n", "[adapted]", "book is not an array"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.book]]\n", "[adapted] book line 1", "has no ingredient"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.book]]\ningredient='water'\n", "book line 1, water", "has no grams"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.step]]\nkind = 'magic'\n", "step 1, magic", "is unknown"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.step]]\nout = [{}]\n", "step 1, out 1", "has no ingredient"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.step]]\nholds = 'ph'\n", "step 1", "not a list of texts"),
    (GOOD + "[adapted]\nfrom = 'y'\n[[adapted.step]]\nshare_percent = 101\n", "step 1", "out of range"),
    ("x = " + "[" * 100_000, "", "nested too deeply"),
    ("x = " + "{a=" * 5000, "", "nested too deeply"),
    ("x = " + "[" * 300 + "]" * 300 + "\n" + GOOD, "", "nested too deeply"),
    (GOOD + "[" + ".".join("a" * 300) + "]\n", "", "nested too deeply"),
    (GOOD + "[" + ".".join("a" * 3000) + "]\n", "", "nested too deeply"),
    (GOOD + "\x1b[31m", "text line 6", "is not TOML"),
    (line("ingredient = '\\u001b[31mred[/red]'\ngrams = 1"), "line 2", "unknown ingredient"),
    (line('ingredient = "\\u001b[31m\\u202ered[/red]"\ngrams = 1'), "line 2, [31mred[/red]", "unknown ingredient"),
    (line(f'ingredient = "{"k" * 5000}"\ngrams = 1'), "line 2", "unknown ingredient"),
    (HEAD + FLOUR * 1001, "", "has 1001 lines"),
]
NAMES_OF_FAULTS = [f"{number} {words}" for number, (_, _, words) in enumerate(FAULTS)]


@pytest.mark.parametrize(("text", "where", "words"), FAULTS, ids=NAMES_OF_FAULTS)
def test_a_bad_formula_gives_one_clear_line(
    text: str, where: str, words: str, tmp_path: Path, catalogue: Catalogue
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text, "utf-8", newline="")
    with pytest.raises(InputProblem) as caught:
        read_formula(path, catalogue)
    said = str(caught.value)
    assert said.startswith(str(path)) and words in said and where in said
    assert said == clean(said, 1000) and len(said) < 500

    with pytest.raises(InputProblem, match="cannot be saved over"):
        write_formula(Formula("y", (Line("wholemeal rye flour", 1.0),)), path, catalogue=catalogue)
    assert path.read_text("utf-8") == text and names_in(tmp_path) == ["bad.toml"]


@pytest.mark.parametrize(("text", "where", "words"), FAULTS, ids=NAMES_OF_FAULTS)
def test_saving_over_a_bad_formula_without_the_catalogue_never_breaks(
    text: str, where: str, words: str, tmp_path: Path
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text, "utf-8", newline="")
    try:
        write_formula(Formula("y", (Line("wholemeal rye flour", 1.0),)), path)
    except InputProblem:
        assert path.read_text("utf-8") == text


def test_what_is_no_text_file(tmp_path: Path, catalogue: Catalogue) -> None:
    latin = tmp_path / "latin.toml"
    latin.write_bytes(GOOD.encode() + "# Brötchen".encode("latin-1"))
    binary = tmp_path / "binary.toml"
    binary.write_bytes(bytes(range(256)) * 10)
    wide = tmp_path / "wide.toml"
    wide.write_bytes(GOOD.encode("utf-16"))
    for path in (latin, binary, wide):
        with pytest.raises(InputProblem, match="is not UTF-8 text"):
            read_formula(path, catalogue)
    with pytest.raises(InputProblem, match="text line 6"):
        read_formula(latin, catalogue)


def test_a_byte_order_mark_is_fine(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_formula(path, catalogue).name == "x"


def test_what_is_no_ordinary_file(tmp_path: Path, catalogue: Catalogue) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    here = Path.cwd()
    os.chdir(tmp_path)  # the name of a socket may be 107 bytes long
    with socket.socket(socket.AF_UNIX) as server:
        server.bind("socket")
        os.chdir(here)
        loop = tmp_path / "loop"
        loop.symlink_to(loop)
        for path, words in {
            tmp_path: "is a directory",
            pipe: "is no ordinary file",
            tmp_path / "socket": "is no ordinary file",
            Path("/dev/zero"): "is no ordinary file",
            tmp_path / "gone.toml": "no such file",
            tmp_path / "gone" / "x": "no such file",
            loop: "cannot be read",
            tmp_path / ("a" * 300): "cannot be read",
            tmp_path / "a\x00b": "no such file",
        }.items():
            done: list[str] = []
            reader = threading.Thread(target=lambda path=path, done=done: done.append(_said(path, catalogue)))
            reader.daemon = True
            reader.start()
            reader.join(10)
            assert done and words in done[0], path


def test_a_file_of_50_mb_is_refused_unopened(
    tmp_path: Path, catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as out:
        out.truncate(50_000_000)
    for owner in (Path, os):
        monkeypatch.setattr(owner, "open", lambda *_: pytest.fail("the file was opened"))
    assert "is too large, 50 MB (at most 1 MB)" in _said(path, catalogue)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the superuser")
def test_a_file_without_permission(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    path.write_text(GOOD)
    path.chmod(0)
    assert "permission denied" in _said(path, catalogue)


def test_a_hostile_file_name_is_harmless_in_the_message(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "\x1b[31m\u202enew\nline[b].toml"
    path.write_text("x")
    said = _said(path, catalogue)
    assert said == clean(said, 1000) and "[31mnew line[b].toml" in said
    raw = os.fsdecode(os.fsencode(tmp_path) + b"/\xff\xfe.toml")
    Path(raw).write_text("x")
    _said(Path(raw), catalogue).encode("utf-8")


def test_a_hostile_name_loads_and_shows_what_can_be_seen(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    long = "[b]" + "r" * 494 + "[/]"
    path.write_text(GOOD.replace('"x"', f'"{long}"'))
    assert read_formula(path, catalogue).name == long
    path.write_text(GOOD.replace('"x"', r'"a\u001b[2J\u202e\u2028b [link=x]c\\[d]\u200d"'))
    assert read_formula(path, catalogue).name == "a[2J b [link=x]c\\[d]"


def test_somebody_elses_change_is_not_written_over(tmp_path: Path, catalogue: Catalogue) -> None:
    from adapter.files.formula_file import read_formula_and_stamp

    path = tmp_path / "loaf.toml"
    path.write_text(GOOD)
    formula, stamp = read_formula_and_stamp(path, catalogue)
    theirs = GOOD.replace("480", "481")
    path.write_text(theirs)
    with pytest.raises(InputProblem, match="changed by another program"):
        write_formula(formula, path, stamp, catalogue)
    assert path.read_text() == theirs


def test_a_formula_that_could_not_be_read_back_is_not_written(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "loaf.toml"
    for bad in (
        Formula("y", (Line("wholemeal rye flour", float("nan")),)),
        Formula("y", (Line("no such thing", 5.0),)),
        Formula("y", (Line("water", 5.0),)),
        Formula("\x1b", (Line("wholemeal rye flour", 5.0),)),
    ):
        with pytest.raises(InputProblem):
            write_formula(bad, path, catalogue=catalogue)
        assert not names_in(tmp_path)


@settings(deadline=None, max_examples=80)
@given(st.text(max_size=200) | st.binary(max_size=200).map(lambda content: content.decode("latin-1")))
def test_any_text_at_all_is_a_formula_or_an_input_problem(text: str) -> None:
    for whole in (text, GOOD + text, HEAD + "[[line]]\n" + text):
        try:
            formula_from_text(whole, CATALOGUE, "x.toml")
        except InputProblem as problem:
            assert str(problem) == clean(str(problem), 1000)


@settings(deadline=None, max_examples=80)
@given(st.data())
def test_any_value_in_any_place_is_a_formula_or_an_input_problem(data: st.DataObject) -> None:
    from adapter.files.toml.layout import document

    value = st.recursive(
        st.text(max_size=5) | st.integers() | st.floats() | st.booleans() | st.dates() | st.datetimes(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
        max_leaves=5,
    )
    keys = st.sampled_from(
        ("name", "pieces", "note", "length_cm", "width_cm", "height_cm", "lidded", "temperature_c", "oven_c", "grams",
         "amount", "ingredient", "stage", "hydration", "from", "book", "step", "out", "kind", "holds")
    )  # fmt: skip
    table = st.dictionaries(keys, value, max_size=4)
    tables = data.draw(
        st.fixed_dictionaries(
            {"formula": table | st.just({"name": "x"}), "line": st.lists(table, max_size=3) | value},
            optional={"tin": table | value, "proof": table, "bake": table, "reasons": table, "adapted": table | value},
        )
    )
    try:
        formula_from_text(document(tables), CATALOGUE, "x.toml")
    except InputProblem as problem:
        assert str(problem) == clean(str(problem), 1000)


def _said(path: Path, catalogue: Catalogue) -> str:
    with pytest.raises(InputProblem) as caught:
        read_formula(path, catalogue)
    return str(caught.value)
