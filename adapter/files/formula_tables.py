"""A formula as the tables of its file, both ways. The text of the file is no matter of this module."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapter.dough.models.oven import COLDEST_OVEN_C, HOTTEST_CORE_C, HOTTEST_OVEN_C, START_RANGE_C
from adapter.files.stage_tables import read_stages, stage_tables, unknown_stage_keys
from adapter.formula.amounts import LEAST_METRES, MOST_GRAMS, MOST_METRES, grams_of, length_m, temperature_c
from adapter.formula.catalogue import Catalogue
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import (
    DEFAULT_STAGE,
    SLANTED_TIN,
    STRAIGHT_TIN,
    Adapted,
    Amount,
    Bake,
    Formula,
    Line,
    Proof,
    Step,
    Tin,
)
from adapter.formula.plain_text import clean, clean_block, shown
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row

Tables = dict[str, Any]

LINE_KEYS = frozenset(("stage", "ingredient", "grams", "amount", "note", "hydration", "temperature_c", "reaches"))
KNOWN_KEYS: dict[str, frozenset[str]] = {
    "formula": frozenset(("name", "pieces", "note")),
    "tin": frozenset((*STRAIGHT_TIN, *SLANTED_TIN, "lidded")),
    "proof": frozenset(("temperature_c", "rise_percent")),
    "bake": frozenset(("oven_c", "core_c")),
    "adapted": frozenset(("from", "book", "step")),
}
KNOWN_TABLES = frozenset((*KNOWN_KEYS, "reasons", "line", "stage"))
STEP_KINDS = ("swap", "amount", "scale", "pantry")
COLDEST_CORE_C = 70.0
LEAST_FLOUR_G = 0.1
"""Everything is told in % of the flour; with less than a scale shows, nothing can be."""
MOST_LINES = 1000
MOST_STEPS = 2000
MOST_PIECES = 10_000


def formula_from_tables(data: Mapping[str, Any], catalogue: Catalogue, file: str) -> Formula:
    """The formula that the tables of a file describe. Raises InputProblem naming the file and the entry."""
    whole = Row(data, file)
    head = whole.part_or_empty("formula", "[formula]")
    name = head.line_of_text("name")
    if not name:
        raise head.problem("the formula has no name", 'name = "…"')
    lines = read_lines(whole, catalogue)
    return Formula(
        name=name,
        lines=lines,
        pieces=head.whole("pieces", 1, MOST_PIECES) or 1,
        tin=read_tin(whole),
        proof=read_proof(whole),
        bake=read_bake(whole),
        note=head.block("note"),
        reasons=read_reasons(whole),
        adapted=_read_adapted(whole, catalogue),
        plans=read_stages(whole),
        extra=extra_of(data),
    )


def tables_of(formula: Formula) -> Tables:
    """The tables that describe a formula, in the order of the file, without `extra` and without empty ones."""
    head: Tables = {"name": clean(formula.name), "pieces": formula.pieces}
    if formula.note:
        head["note"] = clean_block(formula.note)
    tables: Tables = {"formula": head, "reasons": {key: clean(why) for key, why in formula.reasons}}
    tables["tin"] = _tin_table(formula.tin) if formula.tin else {}
    tables["proof"] = _numbers(temperature_c=formula.proof.temperature_c, rise_percent=formula.proof.rise_percent)
    tables["bake"] = _numbers(oven_c=formula.bake.oven_c, core_c=formula.bake.core_c)
    tables["stage"] = stage_tables(formula.plans)
    tables["line"] = [line_table(line) for line in formula.lines]
    if formula.adapted:
        tables["adapted"] = {"from": clean(formula.adapted.origin)}
        if formula.adapted.book_lines:
            tables["adapted"]["book"] = [book_line_table(line) for line in formula.adapted.book_lines]
        if formula.adapted.steps:
            tables["adapted"]["step"] = [_step_table(step) for step in formula.adapted.steps]
    return {key: value for key, value in tables.items() if value}


def extra_of(data: Mapping[str, Any]) -> Tables:
    """What a file holds beyond our own keys: unknown tables, and unknown keys of our own tables by table."""
    extra = {key: value for key, value in data.items() if key not in KNOWN_TABLES}
    for table, known in KNOWN_KEYS.items():
        own = data.get(table, {})
        unknown = {key: value for key, value in own.items() if key not in known} if isinstance(own, dict) else {}
        if unknown:
            extra[table] = unknown
    stages = unknown_stage_keys(data)
    return extra | ({"stage": stages} if stages else {})


def unknown_keys(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Keys of our own tables that mean nothing to the program, such as misspelt ones: "[tin] lenght_cm"."""
    found = [f"[{table}] {key}" for table in KNOWN_KEYS for key in extra_of(data).get(table, ())]
    found += [f'[stage."{name}"] {key}' for name, keys in unknown_stage_keys(data).items() for key in keys]
    written = {clean(str(line.get("stage", ""))) or DEFAULT_STAGE for line in data.get("line", ())}
    found += [
        f'[stage."{name}"] (no line has this stage)' for name in data.get("stage", {}) if clean(name) not in written
    ]
    for number, line in enumerate(data.get("line", ()), start=1):
        found += [f"line {number} {key}" for key in line if key not in LINE_KEYS]
    return tuple(clean(name) for name in found)


def check_shape(data: Mapping[str, Any], file: str) -> None:
    """Raise InputProblem unless the tables are shaped like a formula's: a [formula] and named [[line]] entries."""
    whole = Row(data, file)
    if not whole.has("formula") or not whole.parts("line", "line"):
        raise whole.problem("it has no [formula] or no [[line]]")
    for entry in whole.parts("line", "line"):
        if not entry.line_of_text("ingredient"):
            raise entry.problem("has no ingredient", 'ingredient = "…"')
    adapted = whole.part_or_empty("adapted", "[adapted]")
    adapted.parts("book", "[adapted] book line")
    adapted.parts("step", "[adapted] step", "kind")


def written_grams(line: Line, catalogue: Catalogue) -> float | None:
    """Grams of the line's written amount by this catalogue; None where it has none or it cannot be read."""
    if not line.amount:
        return None
    ingredient = catalogue.resolve(line.ingredient)
    try:
        return grams_of(line.amount, ingredient.property("density_g_ml"), ingredient.property("each_g"))
    except InputProblem:
        return None


def read_lines(whole: Row, catalogue: Catalogue) -> tuple[Line, ...]:
    entries = whole.parts("line", "line")
    if not entries:
        raise whole.problem("the formula has no lines", "at least one [[line]]")
    if len(entries) > MOST_LINES:
        raise whole.problem(f"the formula has {len(entries)} lines", f"at most {MOST_LINES}")
    lines = []
    flour_g = 0.0
    for entry in entries:
        ingredient = _ingredient(entry, catalogue)
        line = _read_line(entry, ingredient)
        lines.append(line)
        if ingredient.property("flour") > 0 or ingredient.preferment is not None:
            flour_g += line.grams
    if flour_g < LEAST_FLOUR_G:
        raise whole.problem("the formula has no flour", "at least one line of flour, meal or sourdough above 0 g")
    return tuple(lines)


def read_tin(whole: Row) -> Tin | None:
    entry = whole.part_or_empty("tin", "[tin]")
    if not any(key in KNOWN_KEYS["tin"] for key in entry.data):
        return None
    straight = entry.has("length_cm") or entry.has("width_cm")
    slanted = any(entry.has(key) for key in SLANTED_TIN[:4])
    if straight and slanted:
        raise entry.problem(
            "has both length_cm and top_… or bottom_… measures", "length_cm, width_cm, height_cm, or top_… and bottom_…"
        )
    metres = [_length(entry, key) for key in (STRAIGHT_TIN if straight else SLANTED_TIN)]
    if straight:
        metres = [metres[0], metres[1], metres[0], metres[1], metres[2]]
    return Tin(metres[0], metres[1], metres[2], metres[3], metres[4], entry.flag("lidded", False))


def read_proof(whole: Row) -> Proof:
    entry = whole.part_or_empty("proof", "[proof]")
    return Proof(_temperature(entry, "temperature_c", *START_RANGE_C), entry.maybe_number("rise_percent", 0, 1000))


def read_bake(whole: Row) -> Bake:
    entry = whole.part_or_empty("bake", "[bake]")
    return Bake(
        _temperature(entry, "oven_c", COLDEST_OVEN_C, HOTTEST_OVEN_C),
        _temperature(entry, "core_c", COLDEST_CORE_C, HOTTEST_CORE_C),
    )


def read_reasons(whole: Row) -> tuple[tuple[str, str], ...]:
    entry = whole.part_or_empty("reasons", "[reasons]")
    return tuple((clean(key), entry.line_of_text(key)) for key in entry.data)


def line_table(line: Line) -> Tables:
    weight: Tables = {"amount": clean(line.amount)} if line.amount else {"grams": plain_number(line.grams)}
    return _line_start(line) | weight | _line_rest(line)


def book_line_table(line: Line) -> Tables:
    """A line of the book formula: always with its grams, so that it is restored whatever the tables say by then."""
    written: Tables = {"amount": clean(line.amount)} if line.amount else {}
    return _line_start(line) | {"grams": plain_number(line.grams)} | written | _line_rest(line)


def plain_number(number: float) -> int | float:
    """The same number as it is written: 480 rather than 480.0."""
    number = float(number)
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _line_start(line: Line) -> Tables:
    return {"stage": clean(line.stage), "ingredient": clean(line.ingredient)}


def _line_rest(line: Line) -> Tables:
    note: Tables = {"note": clean(line.note)} if line.note else {}
    return note | _numbers(hydration=line.hydration, temperature_c=line.temperature_c, reaches=line.reaches)


def _numbers(**numbers: float | None) -> Tables:
    return {key: plain_number(number) for key, number in numbers.items() if number is not None}


def _tin_table(tin: Tin) -> Tables:
    keys: tuple[str, ...] = SLANTED_TIN
    measures = [tin.top_length_m, tin.top_width_m, tin.bottom_length_m, tin.bottom_width_m, tin.height_m]
    if measures[:2] == measures[2:4]:
        keys, measures = STRAIGHT_TIN, [*measures[:2], measures[4]]
    table: Tables = {key: _centimetres(metres) for key, metres in zip(keys, measures, strict=True)}
    return table | {"lidded": tin.lidded}


def _centimetres(metres: float) -> float | str:
    """A number of centimetres that is read back as exactly these metres; where there is none, metres as text."""
    for digits in (6, 12, 17):
        centimetres = float(f"{metres * 100:.{digits}g}")
        if centimetres / 100 == metres:
            return plain_number(centimetres)
    return f"{metres!r} m"


def _length(entry: Row, key: str) -> float:
    value = entry.data.get(key)
    if value is None:
        raise entry.problem(f"{key} is missing", f"{', '.join(STRAIGHT_TIN)}, or {', '.join(SLANTED_TIN)}")
    if isinstance(value, str):
        return _written(entry, key, value, length_m)
    return entry.number(key, low=100 * LEAST_METRES, high=100 * MOST_METRES) / 100


def _temperature(entry: Row, key: str, low: float, high: float) -> float | None:
    value = entry.data.get(key)
    if isinstance(value, str):
        entry = Row({key: _written(entry, key, value, temperature_c)}, entry.file, entry.where)
    return entry.maybe_number(key, low, high)


def _written(entry: Row, key: str, value: str, read: Any) -> float:
    try:
        return float(read(value))
    except InputProblem as problem:
        raise entry.problem(f"{key}: {problem.what}", problem.right) from None


def _ingredient(entry: Row, catalogue: Catalogue) -> Ingredient:
    name = entry.line_of_text("ingredient")
    if not name:
        raise entry.problem("has no ingredient", 'ingredient = "…"')
    try:
        return catalogue.resolve(name)
    except InputProblem as problem:
        raise entry.problem(problem.what, problem.right) from None


def _read_line(entry: Row, ingredient: Ingredient) -> Line:
    if entry.has("grams") and entry.has("amount"):
        raise entry.problem("has both grams and amount", "one of them")
    amount = entry.line_of_text("amount") if entry.has("amount") else None
    if amount is not None:
        density, each = ingredient.property("density_g_ml"), ingredient.property("each_g")
        grams = _written(entry, "amount", amount, lambda text: grams_of(text, density, each))
    else:
        grams = _grams(entry, "grams", 0)
    return _line(entry, ingredient, grams, amount)


def _read_book_line(entry: Row, catalogue: Catalogue) -> Line:
    amount = entry.line_of_text("amount") if entry.has("amount") else None
    return _line(entry, _ingredient(entry, catalogue), _grams(entry, "grams", 0), amount)


def _line(entry: Row, ingredient: Ingredient, grams: float, amount: str | None) -> Line:
    hydration = entry.maybe_number("hydration", 10, 1000)
    if hydration is not None and ingredient.preferment is None:
        raise entry.problem("hydration is only for a sourdough", "leave it out")
    return Line(
        ingredient=ingredient.name,
        grams=grams,
        stage=entry.line_of_text("stage", DEFAULT_STAGE) or DEFAULT_STAGE,
        note=entry.line_of_text("note"),
        hydration=hydration,
        reaches=entry.maybe_number("reaches", 0, 100),
        temperature_c=_temperature(entry, "temperature_c", -30, 100),
        amount=amount or None,
    )


def _grams(entry: Row, key: str, low: float) -> float:
    grams = entry.maybe_number(key, low, MOST_GRAMS)
    if grams is None:
        raise entry.problem(f"has no {key}", f'{key} = 480, or amount = "2 cups"' if key == "grams" else f"{key} = …")
    return grams


def _step_table(step: Step) -> Tables:
    table: Tables = {"kind": step.kind}
    if step.rule is not None:
        table["rule"] = clean(step.rule)
    for key, amounts, grams_key in (
        ("out", step.out, "grams"),
        ("into", step.into, "grams"),
        ("moved", step.moved, "grams_change"),
    ):
        if amounts:
            table[key] = [{"ingredient": clean(a.ingredient), grams_key: plain_number(a.grams)} for a in amounts]
    table["share_percent"] = plain_number(step.share_percent)
    if step.holds:
        table["holds"] = [clean(hold) for hold in step.holds]
    return table | _numbers(yeast_before_g=step.yeast_before_g, yeast_after_g=step.yeast_after_g)


def _read_adapted(whole: Row, catalogue: Catalogue) -> Adapted | None:
    entry = whole.part_or_empty("adapted", "[adapted]")
    if not any(key in KNOWN_KEYS["adapted"] for key in entry.data):
        return None
    origin = entry.line_of_text("from")
    if not origin:
        raise entry.problem("has no name of the book formula", 'from = "…"')
    book = entry.parts("book", "[adapted] book line")
    steps = entry.parts("step", "[adapted] step", "kind")
    if len(book) > MOST_LINES or len(steps) > MOST_STEPS:
        raise entry.problem("is too long", f"at most {MOST_LINES} book lines and {MOST_STEPS} steps")
    return Adapted(
        origin,
        tuple(_read_book_line(line, catalogue) for line in book),
        tuple(_read_step(step, catalogue) for step in steps),
    )


def _read_step(entry: Row, catalogue: Catalogue) -> Step:
    kind = entry.line_of_text("kind", "swap")
    if kind not in STEP_KINDS:
        raise entry.problem(f"kind '{shown(kind)}' is unknown", "one of " + ", ".join(STEP_KINDS))
    share = entry.maybe_number("share_percent", 0, 100)
    return Step(
        kind=kind,
        out=_amounts(entry, "out", "grams", catalogue),
        into=_amounts(entry, "into", "grams", catalogue),
        moved=_amounts(entry, "moved", "grams_change", catalogue),
        rule=entry.line_of_text("rule") if entry.has("rule") else None,
        share_percent=100.0 if share is None else share,
        holds=tuple(map(clean, entry.texts("holds"))),
        yeast_before_g=entry.maybe_number("yeast_before_g", 0, MOST_GRAMS),
        yeast_after_g=entry.maybe_number("yeast_after_g", 0, MOST_GRAMS),
    )


def _amounts(entry: Row, key: str, grams_key: str, catalogue: Catalogue) -> tuple[Amount, ...]:
    low = -MOST_GRAMS if grams_key == "grams_change" else 0
    return tuple(
        Amount(_ingredient(part, catalogue).name, _grams(part, grams_key, low))
        for part in entry.parts(key, f"{entry.where}, {key}")
    )
