"""The work on a formula as plain data and back: every variant with its steps, the holds, and their files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from adapter.files.atomic import Stamp
from adapter.files.formula_file import formula_from_text, formula_text
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Work
from adapter.swaps.variant import Variant

Data = dict[str, Any]
DRAFT = "unsaved work"


@dataclass(frozen=True, slots=True)
class Home:
    """Where a variant stands on disk, and the formula as it stands there."""

    path: Path
    stamp: Stamp
    formula: Formula


@dataclass(frozen=True, slots=True)
class KeptWork:
    """Work with where it came from: the formula as it was opened, its file, and the home of each variant."""

    work: Work
    opened: Formula
    opened_from: Path | None
    homes: tuple[Home | None, ...]


def work_to_data(kept: KeptWork) -> Data:
    """Dicts, lists, texts and numbers only. A formula is its own file's text; those that variants share stand once."""
    formulas: list[Formula] = []
    places: dict[int, int] = {}

    def place(formula: Formula) -> int:
        if id(formula) not in places:
            places[id(formula)] = len(formulas)
            formulas.append(formula)
        return places[id(formula)]

    work = kept.work
    data: Data = {
        "variants": [
            {"formulas": [place(formula) for formula in variant.formulas], "at": variant.at}
            for variant in work.variants
        ],
        "shown": work.shown,
        "holds": list(work.holds),
        "opened": place(kept.opened),
        "opened_from": None if kept.opened_from is None else str(kept.opened_from),
        "homes": [None if home is None else _home_data(home, place(home.formula)) for home in kept.homes],
    }
    data["formulas"] = [formula_text(formula) for formula in formulas]
    return data


def _home_data(home: Home, formula: int) -> Data:
    stamp = home.stamp
    return {"path": str(home.path), "stamp": [stamp.mtime_ns, stamp.size, stamp.digest], "formula": formula}


def work_from_data(data: Any, catalogue: Catalogue) -> KeptWork:
    """The work again. Raises InputProblem for data of another shape, or an ingredient that is no longer there."""
    try:
        formulas = [formula_from_text(text, catalogue, DRAFT) for text in data["formulas"]]
        variants = tuple(_variant(item, formulas) for item in data["variants"])
        shown = int(data["shown"])
        homes = tuple(_home(item, formulas) for item in data["homes"])
        if not variants or not 0 <= shown < len(variants) or len(homes) != len(variants):
            raise ValueError("its variants do not fit together")
        source = data["opened_from"]
        work = Work(variants, shown, tuple(str(hold) for hold in data["holds"]))
        return KeptWork(work, formulas[data["opened"]], None if source is None else Path(source), homes)
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as error:
        raise InputProblem(f"is no work as the program writes it: {error}") from None


def _variant(data: Any, formulas: Sequence[Formula]) -> Variant:
    taken = tuple(formulas[place] for place in data["formulas"])
    at = int(data["at"])
    if not 0 <= at < len(taken):
        raise ValueError("a variant has lost its place")
    return Variant(taken, at)


def _home(data: Any, formulas: Sequence[Formula]) -> Home | None:
    if data is None:
        return None
    mtime_ns, size, digest = data["stamp"]
    return Home(Path(data["path"]), Stamp(int(mtime_ns), int(size), str(digest)), formulas[data["formula"]])
