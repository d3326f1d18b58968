"""What a person writes of a formula besides its weights: stages, notes, temperatures, pieces, tin, proof, oven, method.

Each field takes a text and gives the formula with it; what cannot be is an InputProblem.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from adapter.dough.models.oven import COLDEST_OVEN_C, HOTTEST_CORE_C, HOTTEST_OVEN_C, START_RANGE_C
from adapter.formula.amounts import length_m, temperature_c
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import DEFAULT_STAGE, Formula, Line, StagePlan, Tin
from adapter.formula.plain_text import clean, clean_block, shown
from adapter.formula.problems import InputProblem
from adapter.recipes.tins import read_tin, tin_of
from adapter.recipes.words import vocabulary
from adapter.words.stage_typing import stage_typed

LONGEST_STAGE_NAME, LONGEST_NOTE, MOST_PIECES = 60, 300, 10_000
COLDEST_CORE_C = 70.0
LINE_RANGE_C = (-30.0, 100.0)
HYDRATION_RANGE = (10.0, 1000.0)
RISE_RANGE = (1.0, 1000.0)
TIN_RIGHT = (
    "length x width x height in cm, such as 24 x 11 x 9; or rim, base, height: 24 x 11, 21 x 9, 9; or 20 cm round, "
    "2 lb loaf tin, none"
)
TIN_HINT = "24 x 11 x 9 cm, lid; tapered: 24 x 11, 21 x 9, 9"
_SIDES = re.compile(r"\s*(?:x|×|\*|,|;|\bby\b)\s*", re.IGNORECASE)
_HAS_NUMBER = re.compile(r".*\d")
_UNIT_BEHIND = re.compile(r".*\d\s*")


class Field(NamedTuple):
    """One thing to write: what stands there, and what a person may type."""

    key: str
    label: str
    value: str
    hint: str
    stage: str | None = None


# ---------------------------------------------------------------------- of a line


def line_fields(formula: Formula, place: int, catalogue: Catalogue) -> tuple[Field, ...]:
    """What may be written of a line; how much water is in it only of a sourdough."""
    line = formula.lines[place]
    stages = ", ".join(formula.stages())
    fields = (
        Field("stage", "stage", line.stage, f"one of {stages}, or the name of a further one"),
        Field("note", "note", line.note, "a few words, such as: at room temperature"),
        Field(
            "temperature_c",
            "temperature",
            _degrees(line.temperature_c),
            "°C when it goes in, or °F: 95 F; empty: as usual",
        ),
    )
    if catalogue.get(line.ingredient).preferment is None:
        return fields
    return (*fields, Field("hydration", "water in it", _percent(line.hydration), "in % of its flour; empty: as usual"))


def with_line_field(formula: Formula, place: int, key: str, text: str) -> tuple[Formula, int]:
    """The formula with a field of a line typed over, and where the line stands then. Raises InputProblem."""
    if key == "stage":
        return in_stage(formula, place, text)
    line = formula.lines[place]
    if key == "note":
        line = replace(line, note=clean(text, LONGEST_NOTE))
    elif key == "temperature_c":
        line = replace(line, temperature_c=_temperature(text, *LINE_RANGE_C))
    else:
        line = replace(line, hydration=_number(text, "%", *HYDRATION_RANGE))
    return formula.with_lines((*formula.lines[:place], line, *formula.lines[place + 1 :])), place


def in_stage(formula: Formula, place: int, text: str) -> tuple[Formula, int]:
    """A line moved into a stage: behind its last line; a new one stands before the dough, behind any other stage."""
    stage = _stage_name(text, formula)
    line = formula.lines[place]
    if stage == line.stage:
        return formula, place
    rest = [each for number, each in enumerate(formula.lines) if number != place]
    there = _places(rest, stage)
    left = _places(rest, line.stage)
    if not there and left:
        there = [left[0] - 1] if line.stage == DEFAULT_STAGE else left
    at = there[-1] + 1 if there else place
    rest.insert(at, replace(line, stage=stage))
    return _planned(formula.with_lines(rest)), at


def further_line(formula: Formula, line: Line, beside: int | None, stage: str) -> tuple[Line, int]:
    """A line that is put in, and where: behind the one at `beside`, in its stage unless it names one.

    In the stage that it names it is the last; where that is new, it stands behind the stage of the line beside.
    """
    if beside is None:
        return (replace(line, stage=_stage_name(stage, formula)) if stage else line), len(formula.lines)
    own = formula.lines[beside].stage
    name = _stage_name(stage, formula) if stage else own
    if name == own:
        return replace(line, stage=own), beside + 1
    return replace(line, stage=name), (_places(formula.lines, name) or _places(formula.lines, own))[-1] + 1


def _places(lines: Sequence[Line], stage: str) -> list[int]:
    return [place for place, line in enumerate(lines) if line.stage == stage]


def moved_line(formula: Formula, place: int, by: int) -> tuple[Formula, int]:
    """A line one place on; over the edge of its stage it goes into the next stage first."""
    other = place + by
    if not 0 <= other < len(formula.lines):
        return formula, place
    lines = list(formula.lines)
    if lines[other].stage != lines[place].stage:
        lines[place] = replace(lines[place], stage=lines[other].stage)
        return _planned(formula.with_lines(lines)), place
    lines[place], lines[other] = lines[other], lines[place]
    return formula.with_lines(lines), other


# ---------------------------------------------------------------------- of the whole


def formula_fields(formula: Formula) -> tuple[Field, ...]:
    """Everything of the whole formula, its stages last."""
    whole = (
        Field("name", "name", formula.name, "what it is called"),
        Field("pieces", "pieces", str(formula.pieces), "how many loaves or rolls it makes"),
        Field("tin", "tin", tin_shown(formula.tin), TIN_HINT),
        Field("proof_c", "proof at", _degrees(formula.proof.temperature_c), "°C, or °F: 80 F; empty: by its class"),
        Field(
            "rise", "rises by", _percent(formula.proof.rise_percent), "% of its volume before the oven; doubled: 100"
        ),
        Field("oven_c", "oven", _degrees(formula.bake.oven_c), "°C, or °F: 425 F; empty: by its class"),
        Field("core_c", "core", _degrees(formula.bake.core_c), "°C in the middle when it is done"),
        Field("method", "steps", " / ".join(formula.note.splitlines()), "the steps of the work, / between them"),
    )
    stages = [
        field
        for stage in formula.stages()
        for field in (
            Field(f"name of {stage}", "stage", stage, "its name; Shift+↑↓ moves the stage", stage),
            Field(
                f"time of {stage}",
                f"  {stage} stands",
                _spells(formula.plan_of(stage)),
                "hours and °C: 14 h 24; or 1 h 26, 12 h 5",
                stage,
            ),
        )
    ]
    return (*whole, *stages)


def with_formula_field(formula: Formula, key: str, text: str) -> Formula:
    """The formula with a field of the whole typed over. Raises InputProblem."""
    setter = _SETTERS.get(key)
    if setter is not None:
        return setter(formula, text)
    what, _, stage = key.partition(" of ")
    if what == "name":
        return renamed_stage(formula, stage, text)
    if not text.strip():
        return replace(formula, plans=tuple(plan for plan in formula.plans if plan.name != stage))
    return formula.with_plan(stage_typed(f"{stage}: {text}", formula))


def renamed_stage(formula: Formula, stage: str, text: str) -> Formula:
    """A stage under another name; into one that is there already its lines go over."""
    name = _stage_name(text, formula)
    lines = [replace(line, stage=name) if line.stage == stage else line for line in formula.lines]
    plans = tuple(replace(plan, name=name) if plan.name == stage else plan for plan in formula.plans)
    taken = {plan.name: plan for plan in plans}
    return replace(formula, lines=tuple(lines), plans=tuple(taken[each] for each in sorted(taken)))


def moved_stage(formula: Formula, stage: str, by: int) -> Formula:
    """A stage before or behind the next one, with all its lines."""
    order = list(formula.stages())
    at = order.index(stage)
    if not 0 <= at + by < len(order):
        return formula
    order[at], order[at + by] = order[at + by], order[at]
    lines: list[Line] = [line for name in order for line in formula.lines if line.stage == name]
    return formula.with_lines(lines)


def _named(formula: Formula, text: str) -> Formula:
    name = clean(text)
    if not name:
        raise InputProblem("a formula needs a name", right="such as Sunday loaf")
    return replace(formula, name=name)


def _with_pieces(formula: Formula, text: str) -> Formula:
    if not text.strip().isdecimal() or not 1 <= int(text) <= MOST_PIECES:
        raise InputProblem(f"{shown(text) or 'nothing'} is no number of pieces", right=f"1 to {MOST_PIECES}")
    return replace(formula, pieces=int(text))


def _with_tin(formula: Formula, text: str) -> Formula:
    return replace(formula, tin=tin_typed(text))


def _with_proof(formula: Formula, text: str) -> Formula:
    return replace(formula, proof=replace(formula.proof, temperature_c=_temperature(text, *START_RANGE_C)))


def _with_rise(formula: Formula, text: str) -> Formula:
    return replace(formula, proof=replace(formula.proof, rise_percent=_number(text, "%", *RISE_RANGE)))


def _with_oven(formula: Formula, text: str) -> Formula:
    return replace(formula, bake=replace(formula.bake, oven_c=_temperature(text, COLDEST_OVEN_C, HOTTEST_OVEN_C)))


def _with_core(formula: Formula, text: str) -> Formula:
    return replace(formula, bake=replace(formula.bake, core_c=_temperature(text, COLDEST_CORE_C, HOTTEST_CORE_C)))


def _with_method(formula: Formula, text: str) -> Formula:
    return replace(formula, note=clean_block("\n".join(part.strip() for part in text.split(" / "))))


_SETTERS: dict[str, Callable[[Formula, str], Formula]] = {
    "name": _named,
    "pieces": _with_pieces,
    "tin": _with_tin,
    "proof_c": _with_proof,
    "rise": _with_rise,
    "oven_c": _with_oven,
    "core_c": _with_core,
    "method": _with_method,
}


# ---------------------------------------------------------------------- as it is typed and shown


def tin_typed(text: str) -> Tin | None:
    """A tin as it is measured: three sides, or five of a tapered one; "with lid" closes it. Raises InputProblem."""
    written = text.strip()
    if not written or written.casefold() in ("none", "no", "no tin"):
        return None
    lidded = re.search(r"\blid(?:ded)?\b", written, re.IGNORECASE) is not None
    bare = re.sub(r"\b(?:with|and|a|lid(?:ded)?|rim|base|high|height)\b", " ", written, flags=re.IGNORECASE)
    parts = [part.strip() for part in _SIDES.split(bare.strip(" ,;")) if part.strip()]
    if len(parts) < 2 or not all(map(_HAS_NUMBER.match, parts)):
        return _named_tin(text)
    unit = _UNIT_BEHIND.sub("", parts[-1])
    sides = [length_m(f"{part} {unit}" if part[-1].isdecimal() else part) for part in parts]
    if len(sides) == 3:
        sides = [sides[0], sides[1], sides[0], sides[1], sides[2]]
    if len(sides) != 5:
        raise InputProblem(f"{shown(text)} is no tin", right=TIN_RIGHT)
    return Tin(sides[0], sides[1], sides[2], sides[3], sides[4], lidded)


def _named_tin(text: str) -> Tin:
    """A tin told as recipes tell it: by its round, by its litres or by the weight of its loaf. Raises InputProblem."""
    told, _ = read_tin(f"{text} loaf tin", vocabulary().languages["english"])
    tin = tin_of(told) if len(told) > 2 or {"diameter_cm", "volume_l"} & set(told) else None
    if tin is None:
        raise InputProblem(f"{shown(text)} is no tin", right=TIN_RIGHT)
    return tin


def tin_shown(tin: Tin | None) -> str:
    """A tin as it can be typed."""
    if tin is None:
        return ""
    top, base = (tin.top_length_m, tin.top_width_m), (tin.bottom_length_m, tin.bottom_width_m)
    shown_sides = " x ".join(_cm(side) for side in top)
    if top == base:
        sides = f"{shown_sides} x {_cm(tin.height_m)}"
    else:
        sides = f"{shown_sides}, {' x '.join(_cm(side) for side in base)}, {_cm(tin.height_m)}"
    return f"{sides} cm" + (" with lid" if tin.lidded else "")


def _cm(metres: float) -> str:
    return f"{100 * metres:.4g}"


def _degrees(value: float | None) -> str:
    return "" if value is None else f"{value:g} °C"


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value:g} %"


def _spells(plan: StagePlan | None) -> str:
    if plan is None:
        return ""
    if plan.spells:
        return ", ".join(f"{spell.hours:g} h {spell.temperature_c:g}" for spell in plan.spells)
    if plan.hours is None:
        return ""
    return f"{plan.hours:g} h" + ("" if plan.temperature_c is None else f" {plan.temperature_c:g}")


def _temperature(text: str, low: float, high: float) -> float | None:
    if not text.strip():
        return None
    degrees = temperature_c(text)
    if not low <= degrees <= high:
        raise InputProblem(f"{shown(text)} cannot be", right=f"{low:g} to {high:g} °C")
    return round(degrees, 1)


def _number(text: str, unit: str, low: float, high: float) -> float | None:
    written = text.strip().removesuffix(unit).strip()
    if not written:
        return None
    try:
        number = float(written.replace(",", "."))
    except ValueError:
        raise InputProblem(f"{shown(text)} is no number", right=f"{low:g} to {high:g} {unit}") from None
    if not low <= number <= high:
        raise InputProblem(f"{shown(text)} cannot be", right=f"{low:g} to {high:g} {unit}")
    return number


def _stage_name(text: str, formula: Formula) -> str:
    """A stage's name as typed; one that is there already keeps its spelling."""
    name = clean(text, LONGEST_STAGE_NAME)
    if not name:
        raise InputProblem("a stage needs a name", right="such as dough, soaker or sourdough")
    return next((stage for stage in formula.stages() if stage.casefold() == name.casefold()), name)


def _planned(formula: Formula) -> Formula:
    """Without the plans of stages that have no lines any more."""
    stages = set(formula.stages())
    return replace(formula, plans=tuple(plan for plan in formula.plans if plan.name in stages))
