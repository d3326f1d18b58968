"""Bad files: each gives one clear line and exit 2, from every command that reads a formula, and writes nothing."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Refused = Callable[..., str]

HEAD = '[formula]\nname = "loaf"\n'
RYE = '[[line]]\ningredient = "wholemeal rye flour"\ngrams = 500\n'
WATER = '[[line]]\ningredient = "water"\ngrams = 400\n'


def line(ingredient: str, weight: str) -> str:
    return f"[[line]]\ningredient = {ingredient}\n{weight}\n"


FAULTS = {
    "unknown ingredient": (
        HEAD + RYE + line('"buttermlk"', "grams = 5"),
        ["line 2", "buttermlk", "nearest: buttermilk"],
    ),
    "no such unit": (HEAD + RYE + line('"honey"', 'amount = "3 parsecs"'), ["line 2, honey", "parsecs"]),
    "a length": (HEAD + RYE + line('"honey"', 'amount = "3 cm"'), ["line 2, honey", "length"]),
    "pieces": (HEAD + RYE + line('"honey"', 'amount = "2 pieces"'), ["line 2, honey", "pieces"]),
    "no number": (HEAD + RYE + line('"honey"', 'amount = "some"'), ["line 2, honey", "some"]),
    "negative": (HEAD + RYE + line('"honey"', "grams = -5"), ["line 2, honey", "grams = -5 is negative"]),
    "negative amount": (HEAD + RYE + line('"honey"', 'amount = "-5 g"'), ["line 2, honey", "negative"]),
    "no flour": (HEAD + WATER, ["no flour"]),
    "flour of no weight": (HEAD + line('"wholemeal rye flour"', "grams = 0") + WATER, ["no flour"]),
    "not a number": (HEAD + RYE + line('"honey"', "grams = nan"), ["line 2, honey", "grams", "finite"]),
    "infinite": (HEAD + RYE + line('"honey"', "grams = inf"), ["line 2, honey", "grams", "finite"]),
    "minus infinite": (HEAD + RYE + line('"honey"', "grams = -inf"), ["line 2, honey", "grams"]),
    "a thousand tonnes": (HEAD + RYE + line('"honey"', "grams = 1e9"), ["line 2, honey", "grams", "1000000"]),
    "a thousand tonnes written": (HEAD + RYE + line('"honey"', 'amount = "1000000 kg"'), ["honey", "1000000 g"]),
    "a number beyond floats": (HEAD + RYE + line('"honey"', "grams = 1" + "0" * 400), ["grams"]),
    "a text for grams": (HEAD + RYE + line('"honey"', 'grams = "5"'), ["line 2, honey", "not a number"]),
    "true for grams": (HEAD + RYE + line('"honey"', "grams = true"), ["line 2, honey", "not a number"]),
    "both weights": (HEAD + RYE + line('"honey"', 'grams = 5\namount = "5 g"'), ["line 2, honey", "both"]),
    "no weight": (HEAD + RYE + line('"honey"', ""), ["line 2, honey"]),
    "no ingredient": (HEAD + RYE + "[[line]]\ngrams = 5\n", ["line 2", "ingredient"]),
    "an ingredient that is a number": (HEAD + RYE + line("5", "grams = 5"), ["line 2", "ingredient"]),
    "the same key twice": (HEAD + RYE + line('"honey"', "grams = 5\ngrams = 6"), ["twice"]),
    "the same table twice": (HEAD + HEAD + RYE, ["twice"]),
    "no TOML": ("Dark loaf: 500 g rye, 400 g water\n", ["is not TOML", "line 1"]),
    "half a file": (HEAD + RYE + '[[line]]\ningredient = "hon', ["is not TOML"]),
    "empty": ("", ["is empty"]),
    "blank": (" \n\n", ["is empty"]),
    "only comments": ("# later\n", ["comments"]),
    "no name": ("[formula]\n" + RYE, ["name"]),
    "no lines": (HEAD, ["no lines"]),
    "lines that are no list": (HEAD + "[line]\ngrams = 5\n", ["line"]),
    "a formula that is no table": ('formula = "loaf"\n' + RYE, ["formula"]),
    "no pieces": ('[formula]\nname = "loaf"\npieces = 0\n' + RYE, ["pieces"]),
    "half a piece": ('[formula]\nname = "loaf"\npieces = 1.5\n' + RYE, ["pieces", "whole"]),
    "a tin without a height": (HEAD + "[tin]\nlength_cm = 20\nwidth_cm = 10\n" + RYE, ["[tin]", "height_cm"]),
    "a tin of no size": (HEAD + "[tin]\nlength_cm = 0\nwidth_cm = 10\nheight_cm = 9\n" + RYE, ["[tin]", "length_cm"]),
    "a proof in the oven": (HEAD + "[proof]\ntemperature_c = 160\n" + RYE, ["[proof]", "temperature_c"]),
    "a cold oven": (HEAD + "[bake]\noven_c = 20\n" + RYE, ["[bake]", "oven_c"]),
    "a burnt core": (HEAD + "[bake]\ncore_c = 200\n" + RYE, ["[bake]", "core_c"]),
    "a sourdough of no water": (HEAD + RYE + line('"rye sourdough"', "grams = 9\nhydration = -1"), ["hydration"]),
    "tables within tables": (HEAD + RYE + "x = " + "[" * 3000 + "]" * 3000 + "\n", ["nested"]),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_one_line_that_says_where_and_what(refused: Refused, tmp_path: Path, fault: str) -> None:
    text, said = FAULTS[fault]
    path = tmp_path / "loaf.toml"
    path.write_text(text, encoding="utf-8")
    message = refused("balance", path)
    assert str(path) in message
    for words in said:
        assert words in message
    assert len(message) < 600
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_text(encoding="utf-8") == text


BAD_FILES: dict[str, bytes | None] = {
    "unknown ingredient": (HEAD + RYE + line('"buttermlk"', "grams = 5")).encode(),
    "not UTF-8": HEAD.encode() + b'[[line]]\ningredient = "bl\xe9"\ngrams = 5\n',
    "UTF-16": (HEAD + RYE).encode("utf-16"),
    "null characters": HEAD.encode() + RYE.encode() + b"\x00\x00",
    "zip": b"PK\x03\x04" + bytes(range(256)),
    "a directory": None,
}
COMMANDS: dict[str, list[str]] = {
    "balance": [],
    "offers": [],
    "swap": ["--out", "water", "--into", "milk", "--save", "saved.toml"],
    "compare": ["hut_everyday_loaf"],
    "export": ["saved.md"],
    "bake": [],
    "log": ["--mark", "5"],
    "why": ["ph"],
    "check": [],
}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("kind", BAD_FILES)
def test_every_command_refuses_every_bad_file(
    refused: Refused, tmp_path: Path, home: Path, monkeypatch: pytest.MonkeyPatch, kind: str, command: str
) -> None:
    monkeypatch.chdir(tmp_path)
    content = BAD_FILES[kind]
    path = Path("bad.toml")
    if content is None:
        path.mkdir()
    else:
        path.write_bytes(content)
    message = refused(command, path, *COMMANDS[command])
    assert message.startswith("otherloaf: bad.toml")
    assert [item.name for item in tmp_path.iterdir()] == ["bad.toml"]
    assert not home.exists()


@pytest.mark.parametrize("command", COMMANDS)
def test_no_such_file(refused: Refused, tmp_path: Path, command: str) -> None:
    assert "there is no such file" in refused(command, tmp_path / "nowhere.toml", *COMMANDS[command])


def test_a_file_of_50_mb_is_not_read(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    message = refused("balance", path)
    assert "too large" in message
    assert "50 MB" in message


def test_a_file_that_may_not_be_read(refused: Refused, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even for whoever may read everything: the refusal of the system is put in place of the file's opening."""
    path = tmp_path / "loaf.toml"
    path.write_text(HEAD + RYE)
    real_open = os.open

    def refusing(what: Any, *words: Any, **more: Any) -> int:
        if str(what) == str(path):
            raise PermissionError(13, "Permission denied", str(path))
        return real_open(what, *words, **more)

    monkeypatch.setattr(os, "open", refusing)
    message = refused("balance", path)
    assert str(path) in message
    assert "permission denied" in message


@pytest.mark.skipif(os.name != "posix", reason="pipes with names are of POSIX systems")
def test_a_pipe_is_not_waited_for(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    os.mkfifo(path)
    assert "no ordinary file" in refused("balance", path)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a device without end")
def test_a_device_is_not_read(refused: Refused) -> None:
    assert "no ordinary file" in refused("balance", "/dev/zero")


@pytest.mark.parametrize("name", ["a" * 500 + ".toml", "x\x00y.toml", "\x1b[31mred.toml", "\u202egpj.toml", "", "[b]"])
def test_hostile_paths_are_refused_harmlessly(refused: Refused, name: str, tmp_path: Path) -> None:
    refused("balance", tmp_path / name if name else name)
    refused("swap", tmp_path / name, "--out", "water", "--into", "milk")
    refused("check", tmp_path / name)


def test_a_loop_of_links(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    path.symlink_to(path)
    refused("balance", path)


# --- names are shown, and harmless ---------------------------------------------------------------------------------

HOSTILE = {
    "brackets": ("[bold red]loaf[/] [@click=app.quit]x[/]", "[bold red]loaf[/] [@click=app.quit]x[/]"),
    "escape": ("dark\\u001b[2J loaf", "dark[2J loaf"),
    "bell and backspace": ("da\\u0007r\\bk", "dark"),
    "C1": ("dark\\u009b31mloaf", "dark31mloaf"),
    "right to left": ("dark \\u202Efaol\\u202C loaf", "dark faol loaf"),
    "zero width": ("da\\u200Brk", "dark"),
    "line breaks": ("dark\\nloaf\\r\\n again", "dark loaf again"),
    "500 characters": ("n" * 500, "n" * 500),
    "other scripts": ("Mørkt brød 黒パン", "Mørkt brød 黒パン"),
    "braces": ("{0} %s {name}", "{0} %s {name}"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_names_are_shown_verbatim_but_for_what_cannot_be_seen(
    ok: Callable[..., str], run: Callable[..., Any], tmp_path: Path, kind: str
) -> None:
    written, shown = HOSTILE[kind]
    path = tmp_path / "loaf.toml"
    stage = f'[[line]]\nstage = "{written}"\nnote = "{written}"\ningredient = "water"\ngrams = 400\n'
    path.write_text(f'[formula]\nname = "{written}"\nnote = "{written}"\n{RYE}{stage}', encoding="utf-8")
    saved = tmp_path / "saved.toml"
    texts = [
        ok("balance", path),
        ok("offers", path, "--line", "water"),
        ok("swap", path, "--out", "water", "--into", "milk", "--save", saved),
        ok("compare", path, saved),
        ok("why", path, "ph"),
        ok("bake", path),
        ok("log", path, "--notes", "x"),
        ok("check", path),
        run("bake", path, "--oven-c", "90").err,
    ]
    for text in texts:
        assert all(part.isprintable() for part in text.split("\n")), ascii(text)
    assert texts[0].startswith(f"{shown}: ")
    assert f"\n{shown}\n" in texts[0]
    data = run("balance", path, "--json").data
    assert data["formula"]["name"] == shown
    assert data["lines"][1]["stage"] == shown
    assert run("balance", saved, "--json").data["formula"]["name"] == shown


def test_a_hostile_unknown_name_is_quoted_harmlessly(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "loaf.toml"
    path.write_text(HEAD + RYE + line('"hon\\u001b]0;x\\u0007ey\\u202E ' + "y" * 400 + '"', "grams = 5"))
    message = refused("balance", path)
    assert len(message) < 500
