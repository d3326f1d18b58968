"""Formulas as plain data for JSON and back, exact to the last digit. Nobody edits it by hand.

What formulas share is written once: a pool of lines, steps and unknown tables, to which each formula refers by number.
Of several formulas each is what differs from the one before it, so that a long day's undo stays a small draft.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from adapter.formula.amounts import LEAST_METRES, MOST_METRES
from adapter.formula.model import Adapted, Amount, Bake, Formula, Line, Proof, Spell, StagePlan, Step, Tin
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem

Data = dict[str, Any]
T = TypeVar("T")

_MOMENT = "toml_moment"
_MOMENTS: dict[str, Callable[[str], Any]] = {
    "datetime": datetime.datetime.fromisoformat,
    "date": datetime.date.fromisoformat,
    "time": datetime.time.fromisoformat,
}


class Pool:
    """What is written so far, by the identity of the objects: formulas of one work share their lines and steps."""

    def __init__(self) -> None:
        self._lines: dict[int, tuple[int, Line]] = {}
        self._steps: dict[int, tuple[int, Step]] = {}
        self._extras: dict[int, tuple[int, Mapping[str, Any]]] = {}
        self._steps_before: tuple[Step, ...] = ()
        self._before: Data = {}

    def data(self) -> Data:
        return {
            "lines": [_line_data(line) for _, line in self._lines.values()],
            "steps": [_step_data(step) for _, step in self._steps.values()],
            "extras": [_plain(extra) for _, extra in self._extras.values()],
        }

    def formula(self, formula: Formula) -> Data:
        """One more formula: what differs from the one before it, of its steps those that came to them."""
        tin, adapted = formula.tin, formula.adapted
        steps = () if adapted is None else adapted.steps
        whole: Data = {
            "name": formula.name,
            "lines": self._numbers(self._lines, formula.lines),
            "pieces": formula.pieces,
            "tin": None if tin is None else _tin_data(tin),
            "proof": [formula.proof.temperature_c, formula.proof.rise_percent],
            "bake": [formula.bake.oven_c, formula.bake.core_c],
            "note": formula.note,
            "reasons": [list(reason) for reason in formula.reasons],
            "adapted": None
            if adapted is None
            else {"origin": adapted.origin, "book": self._numbers(self._lines, adapted.book_lines)},
            "plans": [_plan_data(plan) for plan in formula.plans],
            "extra": self._numbers(self._extras, (formula.extra,))[0],
        }
        before, steps_before = self._before, self._steps_before
        self._before, self._steps_before = whole, steps
        written = {key: value for key, value in whole.items() if key not in before or before[key] != value}
        goes_on = bool(before) and steps[: len(steps_before)] == steps_before
        more = self._numbers(self._steps, steps[len(steps_before) :] if goes_on else steps)
        return {**written, "more_steps" if goes_on else "steps": more}

    @staticmethod
    def _numbers(pool: dict[int, tuple[int, Any]], items: Sequence[Any]) -> list[int]:
        # The pool keeps each object alive, so that its identity stays its own.
        return [pool.setdefault(id(item), (len(pool), item))[0] for item in items]


class Restored:
    """The pool of written data, read once; formulas that referred to the same line share it again."""

    def __init__(self, data: Data) -> None:
        self._lines = [_line(line) for line in data["lines"]]
        self._steps = [_step(step) for step in data["steps"]]
        self._extras = [_restored(extra) for extra in data["extras"]]

    def ingredients(self) -> set[str]:
        """Names of every ingredient in the pool."""
        amounts = (item for step in self._steps for item in (*step.out, *step.into, *step.moved))
        return {line.ingredient for line in self._lines} | {amount.ingredient for amount in amounts}

    def formulas(self, written: Sequence[Data]) -> list[Formula]:
        """The formulas, in the order in which they were written."""
        found = []
        before: Data = {}
        steps: tuple[Step, ...] = ()
        for data in written:
            if "proof" in data and "steps" not in data and "more_steps" not in data:
                data = _as_written_now(data)
            goes_on = "more_steps" in data
            more = tuple(self._steps[number] for number in data["more_steps" if goes_on else "steps"])
            steps = (*steps, *more) if goes_on else more
            before = {**before, **data}
            found.append(self._formula(before, steps))
        return found

    def _formula(self, data: Data, steps: tuple[Step, ...]) -> Formula:
        adapted = data["adapted"]
        proof, bake, tin = data["proof"], data["bake"], data["tin"]
        return Formula(
            name=text(data["name"]),
            lines=tuple(self._lines[number] for number in data["lines"]),
            pieces=int(data["pieces"]),
            tin=None if tin is None else _tin(tin),
            proof=Proof(_maybe(proof[0]), _maybe(proof[1])),
            bake=Bake(_maybe(bake[0]), _maybe(bake[1])),
            note=text(data["note"]),
            reasons=tuple((text(key), text(why)) for key, why in data["reasons"]),
            adapted=None
            if adapted is None
            else Adapted(text(adapted["origin"]), tuple(self._lines[number] for number in adapted["book"]), steps),
            plans=tuple(map(_plan, data.get("plans", ()))),  # works written before there were any have none
            extra=self._extras[data["extra"]],
        )


def _as_written_now(data: Data) -> Data:
    """A formula of a draft from before this way of writing: each was whole, its steps among what it was adapted by."""
    adapted = data["adapted"]
    return {**data, "steps": [] if adapted is None else adapted["steps"]}


def safely(read: Callable[[], T]) -> T:
    """What `read` gives; data of a shape that it trips over is an InputProblem."""
    try:
        return read()
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError, RecursionError) as error:
        raise InputProblem(f"is no work as the program writes it: {shown(error)}") from None


def _line_data(line: Line) -> list[object]:
    written = [line.ingredient, line.grams, line.stage, line.note, line.hydration, line.temperature_c, line.amount]
    return written if line.reaches is None else [*written, line.reaches]


def _line(data: list[object]) -> Line:
    ingredient, grams, stage, note, hydration, temperature, amount, *rest = data
    return Line(
        text(ingredient),
        _number(grams),
        text(stage),
        text(note),
        _maybe(hydration),
        _maybe(temperature),
        None if amount is None else text(amount),
        _maybe(rest[0]) if rest else None,
    )


def _step_data(step: Step) -> Data:
    return {
        "kind": step.kind,
        "amounts": [[[item.ingredient, item.grams] for item in part] for part in (step.out, step.into, step.moved)],
        "rule": step.rule,
        "share_percent": step.share_percent,
        "holds": list(step.holds),
        "yeast": [step.yeast_before_g, step.yeast_after_g],
    }


def _step(data: Data) -> Step:
    out, into, moved = (tuple(Amount(text(name), _number(grams)) for name, grams in part) for part in data["amounts"])
    return Step(
        kind=text(data["kind"]),
        out=out,
        into=into,
        moved=moved,
        rule=None if data["rule"] is None else text(data["rule"]),
        share_percent=_number(data["share_percent"]),
        holds=tuple(map(text, data["holds"])),
        yeast_before_g=_maybe(data["yeast"][0]),
        yeast_after_g=_maybe(data["yeast"][1]),
    )


def _plan_data(plan: StagePlan) -> list[object]:
    spells = [[spell.hours, spell.temperature_c] for spell in plan.spells]
    return [plan.name, plan.kind, plan.hours, plan.temperature_c, spells]


def _plan(data: list[Any]) -> StagePlan:
    name, kind, hours, temperature, spells = data
    return StagePlan(
        text(name),
        None if kind is None else text(kind),
        _maybe(hours),
        _maybe(temperature),
        tuple(Spell(_number(at), _number(degrees)) for at, degrees in spells),
    )


def _tin_data(tin: Tin) -> list[object]:
    return [
        tin.top_length_m,
        tin.top_width_m,
        tin.bottom_length_m,
        tin.bottom_width_m,
        tin.height_m,
        tin.lidded,
    ]


def _tin(data: list[object]) -> Tin:
    sides = top_length, top_width, bottom_length, bottom_width, height = [_number(side) for side in data[:5]]
    if not all(LEAST_METRES <= side <= MOST_METRES for side in sides):
        raise ValueError("a tin has lost its measures")
    return Tin(top_length, top_width, bottom_length, bottom_width, height, data[5] is True)


def text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("a text is missing")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise TypeError("a number is missing")
    return float(value)


def _maybe(value: object) -> float | None:
    return None if value is None else _number(value)


def _plain(value: object) -> object:
    """Unknown tables of a file: dates and endless numbers, which JSON does not know, are marked."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return {_MOMENT: "float", "text": repr(value)}
    if isinstance(value, datetime.datetime | datetime.date | datetime.time):
        return {_MOMENT: type(value).__name__, "text": value.isoformat()}
    return value


def _restored(value: object) -> Any:
    if isinstance(value, dict):
        if set(value) == {_MOMENT, "text"}:
            return float(value["text"]) if value[_MOMENT] == "float" else _MOMENTS[value[_MOMENT]](value["text"])
        return {key: _restored(item) for key, item in value.items()}
    return [_restored(item) for item in value] if isinstance(value, list) else value
