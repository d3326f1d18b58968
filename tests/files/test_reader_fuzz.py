"""Every reader of files fed with damaged files: what comes is a value or one clear line, never another fault.

A few of each by themselves. For more, or from another seed: OTHERLOAF_FUZZ_FILES=10000 OTHERLOAF_FUZZ_SEED=7.
"""

from __future__ import annotations

import json
import os
import random
from collections.abc import Callable, Iterator
from importlib.resources import files
from pathlib import Path

import pytest

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.files.formula_file import read_formula
from adapter.files.log_file import calibration_from, read_log
from adapter.files.pantry_file import read_pantry
from adapter.formula.problems import InputProblem
from adapter.formula.tables import shipped_tables
from adapter.swaps.bench import Work
from adapter.swaps.rules import load_rules
from adapter.swaps.variant import Variant
from adapter.work.drafts import Drafts, read_draft
from adapter.work.work_data import KeptWork, work_from_data, work_to_data

EACH = int(os.environ.get("OTHERLOAF_FUZZ_FILES", "40"))
SEED = int(os.environ.get("OTHERLOAF_FUZZ_SEED", "1"))

ODD = (
    "0", "-1", "-0.0", "5e-324", "1e-320", "1e308", "inf", "-inf", "nan", "9" * 400, "9" * 5000, "0x10", "1_000",
    '""', '"x"', '"\\u202e"', '"kefir"', '"[/]"', '"1 cup"', '"' + "x" * 9000 + '"', "true", "[]", "[[]]", "{}",
    "{ value = 1 }", "[1, 2]", '["x", 3]', "2031-01-01", "2031-01-01T00:00:00+05:00", "[" * 2000 + "]" * 2000, "",
)  # fmt: skip
BYTES = (b"\x00", b"\xff", b"\xef\xbb\xbf", b"\r", b"\x1b[31m", "\u202e".encode(), b'"""', b"[[", b"=", b"\n", b"#")
LOG = """[[bake]]
at = 2031-06-09T21:40:00
formula = "Hut everyday loaf"
dough_c = 26.0
rise_percent = 30.0
rise_h = 1.8
core_c = 97.0
bake_min = 120.0
mark = 4
notes = "a little close"
gas_factor = 1.1
oven_factor = 0.9
"""


def damaged(text: str, chance: random.Random) -> bytes:
    """One to three faults: a value, a key or a line changed, or bytes put anywhere."""
    lines = text.split("\n")
    for _ in range(chance.choice((1, 1, 2, 3))):
        at = chance.randrange(len(lines))
        kind = chance.random()
        if kind < 0.55:
            told = [number for number, line in enumerate(lines) if "=" in line]
            at = chance.choice(told) if told else at
            key, _, value = lines[at].partition("=")
            lines[at] = f"{key}= {chance.choice((*ODD, value + value))}"
        elif kind < 0.65:
            del lines[at]
        elif kind < 0.75:
            lines.insert(at, chance.choice(lines))
        elif kind < 0.85:
            lines[at] = lines[at].replace("=", chance.choice(("_x =", ".x =", "")), 1)
        else:
            data = bytearray("\n".join(lines).encode())
            place = chance.randrange(len(data) + 1)
            data[place : place + chance.randrange(3)] = chance.choice(BYTES)
            return bytes(data)
    return "\n".join(lines).encode()


def cases(texts: list[str], kind: int) -> Iterator[bytes]:
    chance = random.Random(SEED * 1000 + kind)
    for _ in range(EACH):
        yield damaged(chance.choice(texts), chance)


def never_another_fault(read: Callable[[], object], path: Path, data: bytes) -> bool:
    """Whether it was read; the damaged file is left where pytest keeps it."""
    path.write_bytes(data)
    try:
        read()
    except InputProblem as problem:
        assert "\n" not in str(problem) and len(str(problem)) < 12_000
        return False
    return True


def samples() -> list[str]:
    return [item.read_text("utf-8") for item in files("sample_formulas").iterdir() if item.name.endswith(".toml")]


def test_formulas(tmp_path: Path, kitchen: Kitchen) -> None:
    path = tmp_path / "loaf.toml"
    texts = [text for text in samples() if "[formula]" in text]

    def read() -> None:
        measured = measure(kitchen, read_formula(path, kitchen.catalogue))
        assert measured.value("hydration") >= 0

    read_well = sum(never_another_fault(read, path, data) for data in cases(texts, 1))
    assert 0 < read_well < EACH


def test_pantries(tmp_path: Path, kitchen: Kitchen) -> None:
    path = tmp_path / "pantry.toml"
    texts = [text for text in samples() if "[[stock]]" in text]
    read_well = sum(
        never_another_fault(lambda: read_pantry(path, kitchen.catalogue), path, data) for data in cases(texts, 2)
    )
    assert 0 < read_well < EACH


def test_logs(tmp_path: Path) -> None:
    path = tmp_path / "loaf.bakes.toml"
    read_well = sum(
        never_another_fault(lambda: calibration_from(read_log(path)), path, data) for data in cases([LOG * 2], 3)
    )
    assert 0 < read_well < EACH


@pytest.mark.parametrize("name", [item.name for item in shipped_tables().iterdir() if item.name.endswith(".toml")])
def test_own_tables(name: str, tmp_path: Path, kitchen: Kitchen) -> None:
    if name == "acids.toml":
        pytest.skip("lies over nothing")
    _, mark, tables = (shipped_tables() / name).read_text("utf-8").partition("[[")
    entries = (mark + tables).split("\n\n")
    chance = random.Random(SEED)
    texts = ["\n\n".join(chance.sample(entries, min(4, len(entries)))) for _ in range(20)]

    def read() -> None:
        if name == "rules.toml":
            load_rules(kitchen.catalogue, kitchen.keepable, [tmp_path])
        else:
            load_kitchen([tmp_path])

    few = list(cases(texts, 4))[: max(EACH // 5, 5)]
    for data in few:
        never_another_fault(read, tmp_path / name, data)


def test_own_ingredients(tmp_path: Path) -> None:
    (tmp_path / "ingredients").mkdir()
    texts = []
    for item in (shipped_tables() / "ingredients").iterdir():
        if item.name.endswith(".toml"):
            _, mark, tables = item.read_text("utf-8").partition("[[ingredient]]")
            texts += [mark + entry for entry in tables.split(mark)[:3]] if mark else []
    for data in list(cases(texts, 5))[: max(EACH // 2, 5)]:
        never_another_fault(lambda: load_kitchen([tmp_path]), tmp_path / "ingredients" / "own.toml", data)


def test_drafts(tmp_path: Path, kitchen: Kitchen) -> None:
    from adapter.files.formula_file import formula_from_text

    text = next(text for text in samples() if "[formula]" in text)
    formula = formula_from_text(text, kitchen.catalogue, "x")
    drafts = Drafts(tmp_path)
    path = drafts.save("1", "a loaf", work_to_data(KeptWork(Work((Variant.of(formula),)), formula, None, (None,))))
    drafts.close()
    good = json.dumps(json.loads(path.read_text()), indent=1).replace('": ', '" = ')

    def read() -> None:
        work_from_data(read_draft(path).content, kitchen.catalogue)

    read_well = 0
    for data in cases([good], 6):
        read_well += never_another_fault(read, path, data.replace(b'" =', b'":'))
    assert read_well < EACH
