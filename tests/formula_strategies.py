"""Formulas of every shape, made of the shipped catalogue's ingredients."""

from __future__ import annotations

from hypothesis import strategies as st

from adapter.formula.catalogue import load_catalogue
from adapter.formula.model import STAGE_KINDS, Adapted, Amount, Bake, Formula, Line, Proof, Spell, StagePlan, Step, Tin
from adapter.formula.plain_text import clean, clean_block

CATALOGUE = load_catalogue()
NAMES = [ingredient.name for ingredient in CATALOGUE]
SOURDOUGHS = [ingredient.name for ingredient in CATALOGUE if ingredient.preferment]
FLOURS = [ingredient.name for ingredient in CATALOGUE if ingredient.property("flour") > 0]
AMOUNTS = ("2 lb", "1 1/2 lb", "9 oz", "0.5 kg", "2-3 kg")

texts = st.text(max_size=60).map(clean)
names = texts.filter(bool)
notes = st.text(max_size=120).map(clean_block)
grams = st.one_of(st.integers(0, 3000).map(float), st.floats(0, 1e6))
temperatures = st.one_of(st.none(), st.floats(0, 60))


@st.composite
def lines(draw: st.DrawFn, ingredients: list[str] = NAMES, low: float = 0.0, book: bool = False) -> Line:
    from adapter.formula.amounts import grams_of

    ingredient = draw(st.sampled_from(ingredients))
    weight = draw(grams.filter(lambda value: value >= low))
    amount = draw(st.none() | st.sampled_from(AMOUNTS))
    if amount and not (book and draw(st.booleans())):
        weight = grams_of(amount, None)
    hydration = draw(st.none() | st.floats(10, 1000)) if ingredient in SOURDOUGHS else None
    stage = draw(st.sampled_from(("dough", "sourdough, 14 h", "soaker")) | names)
    reaches = draw(st.none() | st.floats(0, 100))
    return Line(ingredient, weight, stage, draw(texts), hydration, draw(temperatures), amount, reaches)


amounts = st.builds(Amount, st.sampled_from(NAMES), grams)
moves = st.builds(Amount, st.sampled_from(NAMES), st.floats(-1e6, 1e6))
steps = st.builds(
    Step,
    kind=st.sampled_from(("swap", "amount", "scale", "pantry")),
    out=st.lists(amounts, max_size=3).map(tuple),
    into=st.lists(amounts, max_size=3).map(tuple),
    moved=st.lists(moves, max_size=3).map(tuple),
    rule=st.none() | names,
    share_percent=st.floats(0, 100),
    holds=st.lists(names, max_size=3).map(tuple),
    yeast_before_g=st.none() | grams,
    yeast_after_g=st.none() | grams,
)
adapted = st.builds(
    Adapted,
    names,
    st.lists(lines(book=True), max_size=5).map(tuple),
    st.lists(steps, max_size=4).map(tuple),
)
metres = st.floats(0.0005, 2.0)
tins = st.builds(Tin, metres, metres, metres, metres, metres, st.booleans()) | st.builds(
    lambda length, width, height: Tin(length, width, length, width, height), metres, metres, metres
)


spells = st.lists(st.builds(Spell, st.floats(0.01, 4), st.floats(-5, 60)), min_size=1, max_size=3).map(tuple)


@st.composite
def plans(draw: st.DrawFn) -> tuple[StagePlan, ...]:
    found = []
    for name in draw(
        st.lists(st.sampled_from(("dough", "sourdough, 14 h", "soaker")) | names, max_size=3, unique=True)
    ):
        kind = draw(st.none() | st.sampled_from(STAGE_KINDS))
        if draw(st.booleans()):
            plan = StagePlan(name, kind, None, None, draw(spells))
        else:
            warmth = draw(st.none() | st.floats(-5, 60))
            plan = StagePlan(name, kind, draw(st.none() | st.floats(0.01, 240)), warmth)
        if plan != StagePlan(name):
            found.append(plan)
    return tuple(sorted(found, key=lambda plan: plan.name))


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    flour = draw(lines(FLOURS, low=1.0))
    others = draw(st.lists(lines(), max_size=8))
    at = draw(st.integers(0, len(others)))
    reasons = draw(st.dictionaries(names, texts, max_size=2))
    return Formula(
        name=draw(names),
        lines=(*others[:at], flour, *others[at:]),
        pieces=draw(st.integers(1, 10_000)),
        tin=draw(st.none() | tins),
        proof=Proof(draw(temperatures), draw(st.none() | st.floats(0, 1000))),
        bake=Bake(draw(st.none() | st.floats(105, 400)), draw(st.none() | st.floats(70, 99.5))),
        note=draw(notes),
        reasons=tuple(reasons.items()),
        adapted=draw(st.none() | adapted),
        plans=draw(plans()),
    )
