"""The living stages of a formula, followed hour by hour, and the dough that is mixed of them.

A stage with hours is a dough of its own: what stands in its lines, with the culture or yeast among them as its start.
What it makes is added to the totals of the whole: acids, cells, grown yeast. A sourdough stage that brings no culture
of its own is fed with the sourdough stage before it: so two builds are two stages.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from adapter.dough.models.bubbles import RYE_AIR, Bubbles, folded_air
from adapter.dough.models.course import Course, Living, Medium, Moment
from adapter.dough.models.culture_pace import WILD_GAS, dough_pace
from adapter.dough.models.gluten import retention
from adapter.dough.models.growing_acids import GROWING
from adapter.dough.models.leavening import CARBONIC
from adapter.dough.models.proof import unrisen_density
from adapter.dough.models.ripening import ripen
from adapter.dough.models.warmth import Place, Warmth, cooling_hours, places
from adapter.dough.models.yeast import osmotic_water_activity
from adapter.dough.readings.stage_uses import FOLLOWED, Uses, kind_of_stage, use_of, uses_of
from adapter.dough.readings.totals import SLURRY_LITRES_PER_G, SUGARS, Composer, Layout
from adapter.dough.tables.stage_kinds import StageKind
from adapter.formula.model import Formula, Line, StagePlan

USUAL_STAGE_C = 26.0
"""°C of a living stage of which nobody said how warm it stands [CP]."""

MIXED_STAGE_C = 20.0
"""°C of a stage just mixed that goes straight into a colder or hotter place [A]."""

COLDEST_DOUGH_C, WARMEST_DOUGH_C = 15.0, 40.0
"""A dough that goes straight into a colder or hotter place was still mixed as warm as others [A]."""

ALWAYS_THERE = (*GROWING, CARBONIC)
"""Acids that a living dough has a place for, though there be none of them yet."""

MOST_KEPT = 128
CELLS, BACTERIA = 1e10, 1e10


@dataclass(frozen=True, slots=True)
class Pace:
    """What this kitchen's log has learned: mL gas per g yeast and hour; how its culture sours and raises [own]."""

    gas_ml: float
    bacteria: float = 1.0
    wild: float = 1.0


@dataclass(frozen=True, slots=True)
class LivingStage:
    """A stage followed to the end of its hours. `totals` are its own with all it made; `made` only that. `ripens` is
    what the tables say of its kind.
    """

    plan: StagePlan
    kind: str
    start: Living
    warmth: Warmth
    course: Course
    bubbles: Bubbles
    totals: tuple[float, ...]
    made: tuple[tuple[int, float], ...]
    fed_from: str | None
    fed_g: float
    spells: tuple[Place, ...]
    ripens: StageKind

    @property
    def hours(self) -> float:
        return self.course.end.hours

    @property
    def end(self) -> Moment:
        return self.course.end

    def beyond(self, hours: float) -> Course:
        """The same stage left standing for so many hours in all."""
        return ripen(self.course.medium, self.start, self.warmth, hours)


class Follower:
    """Follows stages and keeps those it has followed: a preferment stays the same while the dough is changed."""

    def __init__(self, composer: Composer, pace: Pace, kinds: Mapping[str, StageKind]) -> None:
        self.composer, self.layout, self.pace, self.kinds = composer, composer.layout, pace, kinds
        self._kept: dict[tuple[object, ...], LivingStage] = {}

    def stages(self, formula: Formula) -> tuple[LivingStage, ...]:
        """Every followed stage of a formula, in the order of its lines."""
        if not formula.plans:
            return ()
        uses = uses_of(formula)
        found: list[LivingStage] = []
        for name in formula.stages():
            plan = formula.plan_of(name)
            if plan is None or use_of(name, uses) != FOLLOWED:
                continue
            lines = tuple(line for line in formula.lines if line.stage == name and line.grams > 0)
            kind = kind_of_stage(formula, name)
            before = found[-1] if found and kind == "sourdough" == found[-1].kind else None
            stage = self._stage(plan, kind, lines, uses, before)
            if stage is not None:
                found.append(stage)
        return tuple(found)

    def _stage(
        self, plan: StagePlan, kind: str, lines: Sequence[Line], uses: Uses, before: LivingStage | None
    ) -> LivingStage | None:
        amounts = tuple((line.ingredient, line.grams, line.hydration, line.reaches) for line in lines)
        key = (plan, kind, amounts, None if before is None else (before.plan, before.totals))
        found = self._kept.get(key)
        if found is None:
            found = self._follow(plan, kind, self.composer.totals(lines, uses), before)
            if found is None:
                return None
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            self._kept[key] = found
        return found

    def _follow(
        self, plan: StagePlan, kind: str, totals: list[float], before: LivingStage | None
    ) -> LivingStage | None:
        index = self.layout.index
        fed_from, fed_g = None, 0.0
        brings_life = totals[index["bacteria"]] + totals[index["cells"]] + totals[index["yeast"]] > 0.0
        if before is not None and not brings_life:
            totals = [own + fed for own, fed in zip(totals, before.totals, strict=True)]
            fed_from, fed_g = before.plan.name, before.totals[index["mass"]]
        if totals[index["flour"]] <= 0.0 or totals[index["water"]] <= 0.0:
            return None
        medium, start = medium_of(self.layout, totals, self.pace), living_of(self.layout, totals)
        spells = spells_of(plan, USUAL_STAGE_C)
        mass = totals[index["mass"]]
        warmth = places(mixed_c(spells, MIXED_STAGE_C), spells, cooling_hours(mass))
        course = ripen(medium, start, warmth, plan.total_hours or 0.0)
        made = made_of(self.layout, totals, course.end)
        after = list(totals)
        for place, amount in made:
            after[place] += amount
        ripens = self.kinds[kind]
        bubbles = bubbles_of(self.layout, totals, RYE_AIR)
        hydration = 100.0 * totals[index["water"]] / totals[index["flour"]]
        bubbles = replace(bubbles, retention=bubbles.retention * ripens.gas_kept_at(hydration))
        return LivingStage(
            plan, kind, start, warmth, course, bubbles, tuple(after), made, fed_from, fed_g, spells, ripens
        )


def dough_plan(formula: Formula) -> StagePlan | None:
    """The plan of the dough itself, first rise to final proof: of the last stage of that kind that has hours."""
    found = None
    for name in formula.stages() if formula.plans else ():
        plan = formula.plan_of(name)
        if plan is not None and plan.total_hours and kind_of_stage(formula, name) == "dough":
            found = plan
    return found


def spells_of(plan: StagePlan, usual_c: float) -> tuple[Place, ...]:
    """How long a stage stands how warm; at the usual warmth where it says only how long."""
    if plan.spells:
        return tuple(Place(spell.hours, spell.temperature_c) for spell in plan.spells)
    if plan.hours is None:
        return ()
    return (Place(plan.hours, usual_c if plan.temperature_c is None else plan.temperature_c),)


def mixed_c(spells: Sequence[Place], proof_c: float) -> float:
    """°C of a dough just mixed: that of its first place, where a dough is mixed so; else of the proof."""
    first_c = spells[0].temperature_c if spells else proof_c
    return first_c if COLDEST_DOUGH_C <= first_c <= WARMEST_DOUGH_C else proof_c


def medium_of(layout: Layout, totals: Sequence[float], pace: Pace, working: bool = False) -> Medium:
    """The dough of these totals as living things find it, per kg."""
    index = layout.index

    def amount(key: str) -> float:
        return totals[index[key]]

    kg = amount("mass") / 1000.0
    flour, water = amount("flour"), amount("water")
    species, amounts = [], []
    for kind, mmol in zip(layout.species, totals[layout.first_species :], strict=True):
        if mmol or kind.name in ALWAYS_THERE:
            species.append(kind)
            amounts.append(mmol / kg)
    yeast = amount("yeast")
    return Medium(
        tuple(species),
        tuple(amounts),
        amount("fixed_charge") / kg,
        1000.0 * SLURRY_LITRES_PER_G + water / kg / 1000.0,
        water / kg,
        flour / kg,
        min(max(amount("rye") / flour, 0.0), 1.0),
        100.0 * amount("salt") / flour,
        100.0 * amount("flour_ash") / flour,
        _pace_of(layout, totals, amount("osmotolerant") > 0.5 * yeast > 0.0),
        pace.gas_ml,
        working,
        True,
        pace.bacteria,
        WILD_GAS * pace.wild,
        amount("warm_bacteria") / amount("bacteria") if amount("warm_bacteria") > 0.0 else 0.0,
    )


def _pace_of(layout: Layout, totals: Sequence[float], osmotolerant: bool) -> float:
    """What salt and sugar leave of the yeast's pace; 1 in the lean, salted dough for which the 86 mL hold."""
    index = layout.index
    flour, water, dry = totals[index["flour"]], totals[index["water"]], totals[index["dry_flour"]]
    poured = water - (flour - dry)
    if poured <= 0.0:
        return 0.0
    sugars = sum(totals[index[sugar]] for sugar in SUGARS)
    free = totals[index["free_sugar"]] / sugars if sugars > 0.0 else 0.0
    in_water = {sugar: free * totals[index[sugar]] for sugar in SUGARS}
    aw = osmotic_water_activity(in_water, 0.0, totals[index["alcohol"]], water, dry)
    return dough_pace(
        100.0 * totals[index["salt"]] / poured, 100.0 * totals[index["fed_sugar"]] / flour, aw, osmotolerant
    )


def living_of(layout: Layout, totals: Sequence[float]) -> Living:
    """What lives in the dough of these totals."""
    index = layout.index
    mass, flour = totals[index["mass"]], totals[index["flour"]]
    yeast = totals[index["yeast"]] + totals[index["grown_yeast"]]
    return Living(
        max(totals[index["bacteria"]] * BACTERIA / mass / 1e9, 0.0),
        max(totals[index["cells"]] * CELLS / mass / 1e7, 0.0),
        max(100.0 * yeast / flour, 0.0),
    )


def bubbles_of(layout: Layout, totals: Sequence[float], air: float | None = None) -> Bubbles:
    """The dough of these totals as something that rises; `air` where it is stirred rather than kneaded."""
    index = layout.index
    flour = totals[index["flour"]]
    rye = min(max(totals[index["rye"]] / flour, 0.0), 1.0)
    return Bubbles(
        100.0 * totals[index["mass"]] / flour / unrisen_density(rye),
        100.0 * totals[index["water"]] / flour,
        folded_air(rye) if air is None else air,
        retention(100.0 * totals[index["gluten"]] / flour, rye),
    )


def made_of(layout: Layout, totals: Sequence[float], moment: Moment) -> tuple[tuple[int, float], ...]:
    """What has been made and grown in a dough of these totals by some moment: (place among the totals, amount)."""
    index = layout.index
    mass, flour = totals[index["mass"]], totals[index["flour"]]
    lactic, acetic, succinic, fixed = (mmol * mass / 1000.0 for mmol in moment.made())
    living = moment.living
    grown = living.bakers_yeast * flour / 100.0 - totals[index["yeast"]] - totals[index["grown_yeast"]]
    bacteria, warm = totals[index["bacteria"]], totals[index["warm_bacteria"]]
    multiplied = living.bacteria * 1e9 * mass / BACTERIA - bacteria
    return (
        (index["lactic"], lactic),
        (index["acetic"], acetic),
        (index["succinic"], succinic),
        (index["fixed_charge"], fixed),
        (index["bacteria"], multiplied),
        (index["warm_bacteria"], multiplied * warm / bacteria if warm > 0.0 else 0.0),
        (index["cells"], living.sourdough_yeast * 1e7 * mass / CELLS - totals[index["cells"]]),
        (index["grown_yeast"], grown),
    )
