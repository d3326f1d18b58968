"""A recipe as it was read, what a person changes about it, and the formula that it becomes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from adapter.dough.models.oven import COLDEST_OVEN_C, HOTTEST_CORE_C, HOTTEST_OVEN_C, START_RANGE_C
from adapter.dough.readings.loaf import tin_volume_l
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Bake, Formula, Line, Proof, StagePlan, Tin
from adapter.formula.plain_text import clean, clean_block
from adapter.formula.problems import InputProblem
from adapter.recipes.method import hours_and_warmth
from adapter.recipes.read_line import ReadLine, accept, can_accept
from adapter.recipes.sections import is_heading
from adapter.recipes.tins import tin_of
from adapter.recipes.words import vocabulary

OVEN_RANGE_C = (COLDEST_OVEN_C, HOTTEST_OVEN_C)
SHORT_NOTE = 50
LEAST_G_PER_L = 150.0
"""Dough per litre of tin below which no piece is baked in one by itself [A]: usual are 350 to 600 g."""
PREFERMENT = "preferment"
"""What the stages of a yeast preferment are called, the first of them."""
_MARKS = re.compile(r"^#+\s+|\*\*|__")
CORE_RANGE_C = (70.0, HOTTEST_CORE_C)


@dataclass(frozen=True, slots=True)
class ReadRecipe:
    """Everything that a text says. `notes` are its other lines in their own words, in order.

    `pieces` is None where the text names none. `tin` has keys of a formula file (length_cm …) or diameter_cm. `doubts`
    are those about the recipe as a whole.
    """

    name: str
    lines: tuple[ReadLine, ...] = ()
    pieces: int | None = None
    proof_c: float | None = None
    proof_h: float | None = None
    oven_c: tuple[float, ...] = ()
    core_c: float | None = None
    bake_min: float | None = None
    tin: Mapping[str, float | bool] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    language: str = "english"
    stages: Mapping[str, str] = field(default_factory=dict)
    """What the text says of how a stage is led, in its heading or under it: "Rye sour (16 h at 26 °C)"."""
    nights: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Hours and °C of the stages that stand overnight (nights.py)."""
    assumed: tuple[str, ...] = ()
    """What was taken for granted, to be noted with the formula."""

    def unsure(self) -> tuple[int, ...]:
        """Places of the lines that are in doubt."""
        return tuple(place for place, line in enumerate(self.lines) if not line.sure)

    def with_line(self, place: int, line: ReadLine) -> ReadRecipe:
        return replace(self, lines=(*self.lines[:place], line, *self.lines[place + 1 :]))

    def without_line(self, place: int) -> ReadRecipe:
        """The recipe without a line: it is kept as a note, so that nothing of the text is lost."""
        rest = (*self.lines[:place], *self.lines[place + 1 :])
        return replace(self, lines=rest, notes=(*self.notes, self.lines[place].text))

    def accepted(self) -> ReadRecipe:
        """Every line that can be taken as it was read is; the rest stay in doubt."""
        lines = tuple(accept(line) if can_accept(line) else line for line in self.lines)
        return replace(self, lines=lines, doubts=())


def formula_of(recipe: ReadRecipe, catalogue: Catalogue) -> Formula:
    """The formula that a recipe becomes. What cannot be weighed is kept in its note.

    Raises InputProblem when no line of flour has a weight.
    """
    lines = []
    left = []
    for line in recipe.lines:
        if line.reference:
            continue
        if line.ingredient is None or line.grams is None or not line.in_dough:
            left.append(line.text)
            continue
        lines.append(
            Line(
                line.ingredient,
                float(f"{line.grams:.6g}"),
                stage=clean(line.stage, 60),
                note=clean(line.note, 300),
                hydration=line.hydration,
                temperature_c=line.temperature_c,
            )
        )
    if not any(_is_flour(line.ingredient, catalogue) and line.grams >= 0.1 for line in lines):
        raise InputProblem(
            f"'{clean(recipe.name, 60)}' has no flour whose weight is known", right="a line of flour, meal or sourdough"
        )
    return Formula(
        name=clean(recipe.name, 200) or "Recipe",
        lines=tuple(lines),
        pieces=recipe.pieces or 1,
        tin=_tin_of_a_piece(recipe, sum(line.grams for line in lines)),
        proof=Proof(_within(recipe.proof_c, START_RANGE_C), None),
        bake=Bake(
            _within(recipe.oven_c[-1] if recipe.oven_c else None, OVEN_RANGE_C), _within(recipe.core_c, CORE_RANGE_C)
        ),
        plans=_plans(recipe, lines, catalogue),
        note=clean_block(
            "\n".join([*_told(recipe), *_listed("Not weighed:", left), *_listed("Assumed:", recipe.assumed)])
        ),
    )


def _plans(recipe: ReadRecipe, lines: Sequence[Line], catalogue: Catalogue) -> tuple[StagePlan, ...]:
    """The preferments as what they are, and living stages with the hours and the warmth that are told of them."""
    plans = []
    words = vocabulary().languages[recipe.language]
    for stage in dict.fromkeys(line.stage for line in lines):
        kind = "yeast preferment" if stage.startswith(PREFERMENT) else None
        hours, warmth = recipe.nights.get(stage) or hours_and_warmth(recipe.stages.get(stage, ""), words)
        kinds = {kind for line in lines if line.stage == stage for kind in catalogue.get(line.ingredient).kinds}
        starters = [line.ingredient for line in lines if line.stage == stage and _raises(line.ingredient, catalogue)]
        if kind is not None and starters and all(catalogue.get(name).preferment for name in starters):
            kind = "sourdough"  # "Roggenvorteig" with a starter in it
        living = bool(kinds & {"sourdough", "yeast"}) and "flour" in kinds and (kind or stage.startswith("sourdough"))
        if living and hours is not None and warmth is not None:
            plans.append(StagePlan(stage, kind, hours, warmth))
        elif kind is not None:
            plans.append(StagePlan(stage, kind))
    return tuple(plans)


def _raises(name: str, catalogue: Catalogue) -> bool:
    """Whether it is a sourdough or yeast."""
    return not catalogue.get(name).kinds.isdisjoint(("sourdough", "yeast"))


def _listed(head: str, rows: Sequence[str]) -> list[str]:
    return ["", head, *rows] if rows else []


def _told(recipe: ReadRecipe) -> list[str]:
    """The notes without headings that only say what kind of text follows; a short one stands by itself."""
    words = vocabulary().languages[recipe.language]
    told: list[str] = []
    for note in recipe.notes:
        if any(is_heading(note, words, key) for key in ("ingredient_headings", "method_headings")):
            continue
        plain = _MARKS.sub("", note).strip() or note
        alone = len(plain) < SHORT_NOTE and not plain.endswith((",", "-"))
        told += [plain, ""] if alone and not plain.endswith((".", "!", "?")) else [plain]
    return told


def _is_flour(name: str, catalogue: Catalogue) -> bool:
    ingredient = catalogue.get(name)
    return ingredient.property("flour") > 0 or ingredient.preferment is not None


def _within(value: float | None, limits: tuple[float, float]) -> float | None:
    return value if value is not None and limits[0] <= value <= limits[1] else None


def _tin_of_a_piece(recipe: ReadRecipe, dough_g: float) -> Tin | None:
    """The tin that each piece is baked in; none where a piece hardly covers its bottom: it holds all the rolls."""
    tin = tin_of(recipe.tin)
    pieces = recipe.pieces or 1
    if tin is None or pieces == 1:
        return tin
    return tin if dough_g / pieces >= LEAST_G_PER_L * tin_volume_l(tin) else None
