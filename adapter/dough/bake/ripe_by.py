"""A stage that is to be ripe at a time: how much starter, how warm, or how long; and builds from the starter there is.

Two of the three are given, the third is sought: starter in % of the whole stage, °C of the place, hours. A build is
one feeding; a little starter takes several to become much. All by the one integrator, so that what is planned here
is what the stage's row says afterwards. Raises InputProblem where nothing fits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from adapter.dough.bake.span import Span
from adapter.dough.bake.stages import SOURDOUGH, StageRow, StageStep, ripe_of, risen_percent
from adapter.dough.models.crossing import crossing
from adapter.dough.models.warmth import Place
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.living import LivingStage
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.stage_uses import kind_of_stage
from adapter.formula.amounts import MOST_GRAMS
from adapter.formula.ingredient import Ingredient
from adapter.formula.model import Amount, Formula, Line, StagePlan
from adapter.formula.problems import InputProblem

COLDEST_PLACE_C, HOTTEST_PLACE_C = -5.0, 60.0
MOST_BUILDS = 4
LEAST_FEED, MOST_FEED = 2.0, 20.0
"""A build makes at least so many times the starter, and at most: less than twice is stirring, no feeding [CP]."""

InTheNight = Callable[[float, Sequence[float]], int]
"""How many feedings fall into the night: of builds of so many hours in all, fed so many hours after they begin."""
DOSES = 6
"""Doses of starter that are tried for a last build that keeps the night free."""

WATER = "water"
NEAR = 1e-3
"""What is sought is found to this part of itself, and of one at most."""


@dataclass(frozen=True, slots=True)
class RipeBy:
    """A stage as it becomes ripe in time: starter (% of the stage, and g), °C of the place, hours, and when it is."""

    starter_percent: float
    starter_g: float
    temperature_c: float
    hours: float
    ripe_h: Span
    formula: Formula


@dataclass(frozen=True, slots=True)
class Build:
    """One feeding: what goes in, what it gives, how long it stands how warm, and its pH when it is used."""

    amounts: tuple[Amount, ...]
    gives_g: float
    hours: float
    temperature_c: float
    ph: float
    tta: float
    rise_percent: float
    ripe_h: Span


def ripe_by(
    kitchen: Kitchen,
    formula: Formula,
    stage: str,
    hours: float | None = None,
    temperature_c: float | None = None,
    starter_percent: float | None = None,
) -> RipeBy:
    """The stage with what is left open set so that it is ripe in time; exactly one of the three may be left open.

    Flour, water and culture in the stage are mixed anew: the whole stays as heavy and as wet as it is.
    """
    if [hours, temperature_c, starter_percent].count(None) != 1:
        raise InputProblem("one of hours, temperature and starter is sought", right="give the two others")

    if temperature_c is not None and not COLDEST_PLACE_C <= temperature_c <= HOTTEST_PLACE_C:
        right = f"{COLDEST_PLACE_C:g} to {HOTTEST_PLACE_C:g} °C"
        raise InputProblem(f"{temperature_c:g} °C cannot be", where=f"stage {stage!r}", right=right)
    kind = kind_of_stage(formula, stage)
    if kind not in kitchen.stage_kinds:
        raise InputProblem(f"is a {kind}, which does not ripen", where=f"stage {stage!r}", right="a living stage")
    limits = kitchen.stage_kinds[kind]
    what = "starter" if kind == SOURDOUGH else "fresh yeast"

    def at(share: float, degrees: float) -> tuple[Formula, LivingStage, Span | None]:
        fed = with_starter(kitchen, formula, stage, share)
        planned = fed.with_plan(StagePlan(stage, kind, hours or 24.0, degrees))
        found = next((row for row in kitchen.follower.stages(planned) if row.plan.name == stage), None)
        if found is None:
            raise InputProblem("has no flour, water and culture to ripen", where=f"stage {stage!r}")
        return planned, found, ripe_of(found)

    def time(share: float, degrees: float) -> float:
        ripe = at(share, degrees)[2]
        return math.inf if ripe is None else ripe.value

    if starter_percent is None:
        assert hours is not None and temperature_c is not None
        degrees = temperature_c
        starter_percent = _falling(
            lambda share: time(share, degrees), hours, limits.least_starter, limits.most_starter, what, " %"
        )
    elif temperature_c is None:
        assert hours is not None
        share = starter_percent
        temperature_c = _falling(
            lambda degrees: time(share, degrees), hours, limits.coldest_c, limits.warmest_c, "warmth", " °C"
        )
    planned, found, ripe = at(starter_percent, temperature_c)
    if ripe is None:
        raise InputProblem(f"is not ripe within four days at {temperature_c:g} °C", where=f"stage {stage!r}")
    hours = ripe.value if hours is None else hours
    planned = planned.with_plan(StagePlan(stage, kind, round(hours, 2), round(temperature_c, 1)))
    grams = starter_percent / 100.0 * found.totals[kitchen.composer.layout.index["mass"]]
    return RipeBy(starter_percent, grams, temperature_c, hours, ripe, planned)


def with_starter(kitchen: Kitchen, formula: Formula, stage: str, percent: float) -> Formula:
    """The formula with so much culture, in % of the whole stage, among the stage's lines; for a yeast preferment it is
    fresh yeast in % of the stage's flour. Flour and water give way in proportion.
    """
    if not 0.0 < percent < 100.0:
        raise InputProblem(f"{percent:g} % starter", right="above 0 and below 100")
    catalogue = kitchen.catalogue
    places = [place for place, line in enumerate(formula.lines) if line.stage == stage and line.grams > 0]
    lines = list(formula.lines)
    cultures = [place for place in places if catalogue.get(lines[place].ingredient).preferment is not None]
    if not cultures:
        return _with_yeast(kitchen, formula, stage, percent)
    whole = sum(lines[place].grams for place in places)
    flour_g, water_g = _flour_and_water(kitchen, [lines[place] for place in places])
    first = lines[cultures[0]]
    share = _flour_share(catalogue.get(first.ingredient), first.hydration)
    grams = percent / 100.0 * whole
    factor = {
        "flour": _left(flour_g - share * grams, _fresh(kitchen, lines, places, flour=True)),
        "water": _left(water_g - (1.0 - share) * grams, _fresh(kitchen, lines, places, flour=False)),
    }
    for place in places:
        line = lines[place]
        ingredient = catalogue.get(line.ingredient)
        if place == cultures[0]:
            lines[place] = line.with_grams(grams)
        elif ingredient.preferment is not None:
            lines[place] = line.with_grams(0.0)
        elif ingredient.property("flour") > 0:
            lines[place] = line.with_grams(line.grams * factor["flour"])
        elif WATER in ingredient.kinds:
            lines[place] = line.with_grams(line.grams * factor["water"])
    return formula.with_lines(lines)


def builds(
    kitchen: Kitchen,
    culture: str,
    there_g: float,
    needed_g: float,
    hours: float | None,
    temperature_c: float,
    in_the_night: InTheNight | None = None,
) -> tuple[Build, ...]:
    """Feedings that make `needed_g` of a ripe culture of the `there_g` that stand in the fridge, within so many hours.

    As few as do it, each of the same factor; the starter is taken as ripe. With time to spare the last build is made
    slower by less starter, so that it is ripe when it is wanted; without a time they are as quick as they come. Where
    a feeding falls into the night, another number or another dose is taken that keeps it free, if there is one.
    """
    if not there_g > 0.0:
        raise InputProblem(f"{there_g:g} g of culture is none", right="what there is of it, in grams above 0")
    if not needed_g > there_g:
        raise InputProblem(f"{needed_g:g} g of {there_g:g} g needs no build", right="more needed than there is")
    catalogue = kitchen.catalogue
    ingredient = catalogue.resolve(culture)
    if ingredient.preferment is None:
        raise InputProblem(f"{ingredient.name} is no culture", right="a sourdough of the catalogue")
    tried: list[float] = []
    ways: list[tuple[int, list[Build]]] = []
    for number in range(1, MOST_BUILDS + 1):
        factor = (needed_g / there_g) ** (1.0 / number)
        if factor > MOST_FEED:
            continue
        if factor < LEAST_FEED and number > 1:
            break
        found, start_g = [], there_g
        for _ in range(number):
            found.append(_build(kitchen, ingredient, start_g, start_g * factor, temperature_c))
            start_g *= factor
        whole = sum(build.hours for build in found)
        tried.append(whole)
        if hours is None or whole <= hours:
            way = found if hours is None else _slowed(kitchen, ingredient, found, hours - whole)
            if in_the_night is None or not (nights := _nights(way, in_the_night)):
                return tuple(way)
            ways.append((nights, way))
            slower = _slower(kitchen, ingredient, found, math.inf if hours is None else hours)
            free = next((way for way in slower if not _nights(way, in_the_night)), None)
            if free is not None:
                return tuple(free)
    if ways:
        return tuple(min(ways, key=lambda each: each[0])[1])
    if not tried:
        raise InputProblem(f"{needed_g:g} g is too much of {there_g:g} g", right=f"at most {MOST_BUILDS} builds")
    only = "" if hours is None else f", and there are only {hours:.1f} h"
    raise InputProblem(
        f"{there_g:g} g become {needed_g:g} g in no less than {min(tried):.1f} h at {temperature_c:g} °C{only}",
        right="more time, a warmer place or more starter",
    )


def _nights(found: list[Build], in_the_night: InTheNight) -> int:
    at_h = [sum(build.hours for build in found[:number]) for number in range(len(found))]
    return in_the_night(sum(build.hours for build in found), at_h)


def _slower(kitchen: Kitchen, culture: Ingredient, found: list[Build], hours: float) -> Iterator[list[Build]]:
    """The builds with the last fed with less and less starter, within so many hours."""
    last = found[-1]
    for number in range(DOSES + 1):
        factor = (last.gives_g / last.amounts[0].grams / MOST_FEED) ** (number / DOSES)
        build = _build(kitchen, culture, last.amounts[0].grams * factor, last.gives_g, last.temperature_c)
        way = [*found[:-1], build]
        if sum(each.hours for each in way) <= hours:
            yield way


def builds_from(
    measured: Measured,
    there_g: float,
    hours: float | None,
    temperature_c: float,
    in_the_night: InTheNight | None = None,
) -> tuple[StageRow, ...]:
    """The builds that make of the culture that is there what the formula needs of it, as a stage of its own."""
    kitchen, formula = measured.kitchen, measured.formula
    lines = [line for line in formula.lines if kitchen.catalogue.get(line.ingredient).preferment is not None]
    needed_g = sum(line.grams for line in lines)
    if not lines or needed_g <= 0.0:
        raise InputProblem("needs no culture to be built up", where=f"formula {formula.name!r}")
    if not 0.0 < there_g <= MOST_GRAMS:
        raise InputProblem(f"{there_g:g} g of culture cannot be", right=f"above 0 and at most {MOST_GRAMS:g} g")
    if there_g >= needed_g:
        return ()
    first = max(lines, key=lambda line: line.grams)
    found = builds(kitchen, first.ingredient, there_g, needed_g, hours, temperature_c, in_the_night)
    last = found[-1]
    whole = sum(build.hours for build in found)
    return (
        StageRow(
            f"builds of {first.ingredient}",
            SOURDOUGH,
            whole,
            (Place(whole, temperature_c),),
            last.ph,
            last.tta,
            last.rise_percent,
            Span(whole - last.hours + last.ripe_h.low, whole, whole - last.hours + last.ripe_h.high),
            build_steps(found),
            (),
            last.gives_g,
            first.stage,
        ),
    )


def build_steps(found: tuple[Build, ...]) -> tuple[StageStep, ...]:
    """The builds as steps, hours counted from the first feeding."""
    steps, at_h = [], 0.0
    for number, build in enumerate(found, start=1):
        words = f"build {number}: {build.hours:.1f} h at {build.temperature_c:g} °C gives {build.gives_g:.0f} g"
        steps.append(StageStep(at_h, words, build.amounts))
        at_h += build.hours
    return tuple(steps)


def _slowed(kitchen: Kitchen, culture: Ingredient, found: list[Build], spare_h: float) -> list[Build]:
    """The builds with the last of them fed with less starter, so that it takes the spare hours too."""
    last = found[-1]
    start_g, wanted = last.amounts[0].grams, last.hours + spare_h

    def time(grams: float) -> float:
        return _build(kitchen, culture, grams, last.gives_g, last.temperature_c).hours

    least = last.gives_g / MOST_FEED
    if spare_h < 0.25 or start_g <= least:
        return found
    too_slow_h = time(least) - wanted
    grams = least
    if too_slow_h > 0.0:
        grams = crossing(lambda grams: time(grams) - wanted, least, start_g, too_slow_h, -spare_h, 1e-4 * start_g)
    return [*found[:-1], _build(kitchen, culture, grams, last.gives_g, last.temperature_c)]


def _build(kitchen: Kitchen, culture: Ingredient, start_g: float, gives_g: float, temperature_c: float) -> Build:
    """One feeding of a culture with its own flour and water at its own hydration, until it is ripe."""
    preferment = culture.preferment
    assert preferment is not None
    fed_g = gives_g - start_g
    flour_g = fed_g * _flour_share(culture, None)
    lines = (
        Line(culture.name, start_g, "sourdough"),
        Line(preferment.flour, flour_g, "sourdough"),
        Line(WATER, fed_g - flour_g, "sourdough"),
    )
    formula = Formula("build", lines, plans=(StagePlan("sourdough", "sourdough", 24.0, temperature_c),))
    (stage,) = kitchen.follower.stages(formula)
    ripe = ripe_of(stage)
    if ripe is None:
        raise InputProblem(f"a build at {temperature_c:g} °C does not ripen within four days", right="a warmer place")
    amounts = tuple(Amount(line.ingredient, line.grams) for line in lines)
    course = stage.beyond(ripe.value)
    end = course.end
    risen = risen_percent(stage, end)
    return Build(amounts, gives_g, ripe.value, temperature_c, end.ph, course.tta(end), risen, ripe)


def _with_yeast(kitchen: Kitchen, formula: Formula, stage: str, percent: float) -> Formula:
    catalogue = kitchen.catalogue
    lines = list(formula.lines)
    places = [place for place, line in enumerate(lines) if line.stage == stage]
    yeasts = [place for place in places if catalogue.fresh_yeast(lines[place].ingredient) > 0]
    if not yeasts:
        raise InputProblem("has neither culture nor yeast", where=f"stage {stage!r}", right="a line of either")
    flour = sum(lines[place].grams * catalogue.get(lines[place].ingredient).property("flour") for place in places)
    fresh = catalogue.fresh_yeast(lines[yeasts[0]].ingredient)
    lines[yeasts[0]] = lines[yeasts[0]].with_grams(percent / 100.0 * flour / fresh)
    for place in yeasts[1:]:
        lines[place] = lines[place].with_grams(0.0)
    return formula.with_lines(lines)


def _flour_share(culture: Ingredient, hydration: float | None) -> float:
    assert culture.preferment is not None
    return 100.0 / (100.0 + (culture.preferment.hydration if hydration is None else hydration))


def _flour_and_water(kitchen: Kitchen, lines: list[Line]) -> tuple[float, float]:
    """Grams of flour and of water poured, in what is fresh and in the culture."""
    flour_g = water_g = 0.0
    for line in lines:
        ingredient = kitchen.catalogue.get(line.ingredient)
        if ingredient.preferment is not None:
            share = _flour_share(ingredient, line.hydration)
            flour_g, water_g = flour_g + share * line.grams, water_g + (1.0 - share) * line.grams
        elif ingredient.property("flour") > 0:
            flour_g += line.grams
        elif WATER in ingredient.kinds:
            water_g += line.grams
    return flour_g, water_g


def _fresh(kitchen: Kitchen, lines: list[Line], places: list[int], flour: bool) -> float:
    found = 0.0
    for place in places:
        ingredient = kitchen.catalogue.get(lines[place].ingredient)
        is_flour = ingredient.property("flour") > 0
        if ingredient.preferment is None and (is_flour if flour else WATER in ingredient.kinds):
            found += lines[place].grams
    return found


def _left(wanted_g: float, there_g: float) -> float:
    if wanted_g < 0.0 or there_g <= 0.0:
        raise InputProblem("there is not so much flour and water in this stage", right="less starter")
    return wanted_g / there_g


def _falling(of: Callable[[float], float], wanted: float, low: float, high: float, what: str, unit: str) -> float:
    """Where a function that falls takes the wanted value. Raises InputProblem where that is out of reach."""
    if of(high) > wanted:
        raise InputProblem(f"even {what} of {high:g}{unit} takes {of(high):.1f} h", right=f"more than {wanted:.1f} h")
    if of(low) < wanted:
        raise InputProblem(
            f"even {what} of {low:g}{unit} is ripe after {of(low):.1f} h", right=f"less than {wanted:.1f} h"
        )
    while high - low > NEAR * min(high, 1.0):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if of(middle) > wanted else (low, middle)
    return 0.5 * (low + high)
