"""Two of time, warmth and starter are given, the third is sought, within what the kind of stage allows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from adapter.dough.bake.clock import is_night
from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.plan import bake_plan
from adapter.dough.bake.ripe_by import _falling, builds, builds_from, ripe_by, with_starter
from adapter.dough.bake.stages import ripe_of, stage_rows
from adapter.dough.readings.kitchen import Kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.dough.tables.work_steps import MIX
from adapter.formula.model import Formula, Line, Proof, StagePlan
from adapter.formula.problems import InputProblem
from adapter.words.stage_typing import ripe_typed

DOUGH = (Line("white wheat flour", 700.0), Line("water", 400.0), Line("salt", 20.0), Line("fresh yeast", 8.0))


YEAST = Line("fresh yeast", 16.0)


def preferment(kind: str, water: float, yeast: float) -> Formula:
    lines = (
        Line("white wheat flour", 300.0, kind), Line("water", 3.0 * water, kind),
        Line("fresh yeast", 3.0 * yeast, kind),
    )  # fmt: skip
    return Formula("x", (*lines, *DOUGH), plans=(StagePlan(kind, kind, 12.0, 20.0),))


def levain(starter: float = 20.0, temperature_c: float = 24.0) -> Formula:
    fresh = 0.5 * (300.0 - starter)
    lines = (
        Line("wheat sourdough", starter, "levain"), Line("white wheat flour", fresh, "levain"),
        Line("water", fresh, "levain"),
    )  # fmt: skip
    return Formula("x", (*lines, *DOUGH[:3]), plans=(StagePlan("levain", "sourdough", 10.0, temperature_c),))


@pytest.mark.parametrize(
    ("kind", "water", "hours", "temperature_c", "low", "high"),
    [
        pytest.param("poolish", 100, 12.0, 20.0, 0.1, 0.4, id="poolish overnight"),
        pytest.param("poolish", 100, 15.0, 21.0, 0.05, 0.3, id="poolish from the evening to the morning"),
        pytest.param("poolish", 100, 3.0, 24.0, 1.0, 2.5, id="poolish before noon"),
        pytest.param("biga", 50, 17.0, 17.0, 0.4, 1.2, id="biga overnight in a cellar"),
        pytest.param("sponge", 60, 3.0, 26.0, 1.0, 2.5, id="sponge of a bakery"),
    ],
)
def test_yeast_of_a_preferment_for_a_time(
    kind: str, water: float, hours: float, temperature_c: float, low: float, high: float, kitchen: Kitchen
) -> None:
    """Fresh yeast in % of the preferment's flour, as bakers give it [CP]."""
    found = ripe_by(kitchen, preferment(kind, water, 0.5), kind, hours, temperature_c)
    assert low <= found.starter_percent <= high
    again = ripe_by(kitchen, found.formula, kind, None, temperature_c, found.starter_percent)
    assert again.hours == pytest.approx(hours, abs=0.05)
    warm = ripe_by(kitchen, found.formula, kind, hours, None, found.starter_percent)
    assert warm.temperature_c == pytest.approx(temperature_c, abs=0.2)


def test_starter_time_and_warmth_of_a_sourdough_agree(kitchen: Kitchen) -> None:
    """Fed 1:10:10, 4.8 % of the whole, a culture peaks after 10 to 13 h at 22 °C, fed 1:5:5 after 12 to 14 h in a
    room (two pages on feeding, opened): at 24 °C and 10 h it takes about that much.
    """
    share = ripe_by(kitchen, levain(), "levain", 10.0, 24.0).starter_percent
    assert 4.0 <= share <= 15.0
    assert ripe_by(kitchen, levain(), "levain", None, 24.0, share).hours == pytest.approx(10.0, abs=0.05)
    assert ripe_by(kitchen, levain(), "levain", 10.0, None, share).temperature_c == pytest.approx(24.0, abs=0.2)


def test_what_cannot_be_is_one_line(kitchen: Kitchen) -> None:
    for temperature_c, said in ((900.0, "900 °C cannot be"), (-50.0, "-50 °C cannot be")):
        with pytest.raises(InputProblem, match=said):
            ripe_by(kitchen, levain(), "levain", 10.0, temperature_c)
    with pytest.raises(InputProblem, match=r"even starter of 0\.2 %"):
        ripe_by(kitchen, levain(), "levain", 90.0, 26.0)
    with pytest.raises(InputProblem, match="g of culture is none"):
        builds(kitchen, "wheat sourdough", 0.0, 240.0, None, 24.0)


@pytest.mark.parametrize("cold", [32.0, 34.0, 36.0, 38.0])
def test_a_sourdough_is_slower_far_beyond_28_degrees(cold: float, read: Callable[..., Measured]) -> None:
    """Its yeast grows best at 28 °C (Gänzle 1998 [P]): at 34 °C and more every step of a sourdough loaf is slower."""
    rise = {}
    for temperature_c in (28.0, cold):
        (stage,) = read(levain(temperature_c=temperature_c)).stages
        rise[temperature_c] = stage.beyond(48.0).hours_to_rise(stage.bubbles, 1.0)
    assert rise[cold] > rise[28.0]
    if cold >= 34.0:
        ripe = [ripe_of(read(levain(temperature_c=t_c)).stages[0]) for t_c in (28.0, cold)]
        assert ripe[0] is not None and ripe[1] is not None and ripe[1].value > ripe[0].value


def test_no_stage_stands_higher_than_its_kind_can(read: Callable[..., Measured]) -> None:
    """A wheat levain trebles at most before it falls, a biga rather more; rye, which keeps less gas, less [CP]."""
    (row,) = stage_rows(read(levain(temperature_c=28.0)))
    assert row.rise_percent <= 230.0 and max(rise for _, _, rise in row.curve) <= 230.0
    (biga,) = stage_rows(read(preferment("biga", 50, 3.0)))
    assert biga.rise_percent <= 400.0 and biga.state == "past"


def test_builds_keep_their_feedings_out_of_the_night(kitchen: Kitchen) -> None:
    """30 g in the fridge become 240 g: fed at a time that is given as night, another dose or number is taken."""
    asked = []

    def night(whole_h: float, at_h: object) -> int:
        asked.append(whole_h)
        return int(whole_h > 9.5)

    free = builds(kitchen, "wheat sourdough", 30.0, 240.0, 24.0, 24.0, night)
    usual = builds(kitchen, "wheat sourdough", 30.0, 240.0, 24.0, 24.0)
    assert sum(build.hours for build in free) <= 9.5 < sum(build.hours for build in usual)
    assert free[-1].gives_g == pytest.approx(240.0)
    assert free[0].amounts[0].grams <= 30.0
    once = builds(kitchen, "wheat sourdough", 30.0, 240.0, 40.0, 24.0, lambda whole_h, at_h: len(at_h))
    assert len(once) == 1, "where each feeding falls into the night, as few as can be"
    twice = builds(kitchen, "wheat sourdough", 30.0, 240.0, None, 24.0, lambda whole_h, at_h: 5 - len(at_h))
    assert len(twice) == 3, "what is fed doubles at least: three feedings make eight times as much"
    assert twice[-1].gives_g == pytest.approx(240.0)


# --- by a clock time ---------------------------------------------------------------------------------------------

NOON = datetime(2026, 11, 26, 12, 13)


def test_time_warmth_and_starter_together_say_when_to_set_it(kitchen: Kitchen) -> None:
    """By 07:00 at 24 °C with 8 %: the hours follow, and the stage is set so many hours before."""
    formula = levain()
    wish = ripe_typed("levain by 07:00 at 24 with 8 %", formula, NOON)
    hours = ripe_by(kitchen, formula, wish.stage, wish.hours, wish.temperature_c, wish.starter_percent).hours
    set_at = wish.set_at(hours, NOON)
    assert set_at is not None and set_at.minute % 5 == 0
    late_h = (set_at - datetime(2026, 11, 27, 7) + timedelta(hours=hours)).total_seconds() / 3600.0
    assert -5.0 / 60.0 <= late_h <= 0.0
    with pytest.raises(InputProblem, match=r"8 % at 24 °C is ripe after .* there are only 2\.0 h"):
        ripe_typed("levain by 14:13 at 24 with 8 %", formula, NOON).set_at(hours, NOON)
    assert ripe_typed("levain by 07:00 at 24", formula, NOON).set_at(hours, NOON) is None


FRIDGE = Formula(
    "fridge",
    (
        Line("wheat sourdough", 200.0, "sourdough"), Line("white wheat flour", 900.0), Line("water", 600.0),
        Line("salt", 20.0),
    ),
    proof=Proof(25.0, 80.0),
)  # fmt: skip


@pytest.mark.parametrize(("there_g", "ready"), [(15.0, 28), (30.0, 28), (100.0, 28)])
def test_builds_leave_room_for_a_night_in_the_fridge(there_g: float, ready: int, kitchen: Kitchen) -> None:
    inputs = BakeInputs(ready=datetime(2026, 11, ready, 9, 30), there_g=there_g, cold_night=True)
    plan = bake_plan(measure(kitchen, FRIDGE), inputs, NOON)
    built, dough = plan.stages
    assert built.grams == pytest.approx(200.0) and built.steps[0].amounts[0].grams <= there_g + 1e-9
    assert len(dough.spells) == 3 and dough.rise_percent == pytest.approx(80.0, abs=6.0)
    assert plan.plan[0].at >= NOON and plan.plan[-1].at == inputs.ready
    assert not any(is_night(step.at) for step in plan.plan[:-1])


def test_what_a_night_in_the_fridge_would_need_is_told_and_holds(kitchen: Kitchen) -> None:
    measured = measure(kitchen, FRIDGE)
    early = BakeInputs(ready=datetime(2026, 11, 27, 11, 0), there_g=30.0, cold_night=True)
    with pytest.raises(InputProblem, match="no night in the fridge fits before 2026-11-27 11:00") as told:
        bake_plan(measured, early, NOON)
    assert told.value.right is not None
    later = datetime.strptime(told.value.right.split("by ")[1][:16], "%Y-%m-%d %H:%M") + timedelta(minutes=1)
    assert bake_plan(measured, replace(early, ready=later), NOON).stages[-1].kind == "dough"
    with pytest.raises(InputProblem, match="no night in the fridge fits before"):
        bake_plan(measured, replace(early, ready=later - timedelta(minutes=33)), NOON)
    with pytest.raises(InputProblem, match=r"in no less than .* there are only"):
        bake_plan(measured, replace(early, ready=datetime(2026, 11, 27, 3, 0), cold_night=False), NOON)


def test_a_night_changes_the_yeast_of_the_dough_and_not_of_the_poolish(kitchen: Kitchen) -> None:
    formula = preferment("poolish", 100, 0.2).with_lines([*preferment("poolish", 100, 0.2).lines[:-1], YEAST])
    plan = bake_plan(measure(kitchen, formula), BakeInputs(ready=datetime(2026, 11, 28, 9), cold_night=True), NOON)
    assert plan.formula is not None
    before, after = (
        [line.grams for line in each.lines if "yeast" in line.ingredient] for each in (formula, plan.formula)
    )
    assert after[0] == before[0] and after[1] < before[1]
    assert after[1] == round(after[1], 1) != round(after[1]), "to a tenth of a gram, as yeast is weighed"
    assert plan.stages[-1].rise_percent == pytest.approx(plan.rise_percent, abs=6.0)


def test_how_often_and_how_much_a_culture_is_fed(kitchen: Kitchen) -> None:
    """Twentyfold at most at once; a spare quarter of an hour is waited for with less starter, a twentieth at least."""

    def fed(there_g: float, needed_g: float, hours: float | None = None) -> list[tuple[float, float]]:
        found = builds(kitchen, "wheat sourdough", there_g, needed_g, hours, 26.0)
        return [(build.amounts[0].grams, build.hours) for build in found]

    assert [len(fed(*grams)) for grams in ((30.0, 600.0), (30.0, 606.0), (100.0, 110.0))] == [1, 2, 1]
    ((starter, quick),) = fed(30.0, 240.0)
    assert starter == 30.0
    assert fed(30.0, 240.0, quick + 0.2) == [(30.0, quick)]
    ((starter, slow),) = fed(30.0, 240.0, quick + 0.3)
    assert 25.0 < starter < 30.0 and slow == pytest.approx(quick + 0.3, abs=0.01)
    ((starter, _),) = fed(30.0, 240.0, quick + 60.0)
    assert starter == pytest.approx(240.0 / 20.0)
    with pytest.raises(InputProblem) as caught:
        fed(30.0, 240.0, 0.3 * quick)
    assert "30 g become 240 g in no less than" in str(caught.value) and "h at 26 °C" in str(caught.value)
    assert float(str(caught.value).split("no less than ")[1].split(" h")[0]) <= round(quick, 1)


def test_what_is_built_for_several_lines(read: Callable[..., Measured]) -> None:
    """Of the culture of which most is needed, as much as all lines take, for the stage of that line."""
    lines = (Line("wheat sourdough", 60.0, "soaker"), Line("wheat sourdough", 140.0), *DOUGH[:3])
    measured = read(Formula("two lines", lines))
    (row,) = builds_from(measured, 50.0, None, 25.0)
    assert (row.stage, row.kind, row.feeds) == ("builds of wheat sourdough", "sourdough", "dough")
    assert row.grams == pytest.approx(200.0) and row.temperature_c == pytest.approx(25.0) and row.curve == ()
    assert builds_from(measured, 200.0, None, 25.0) == () != builds_from(measured, 199.0, None, 25.0)
    for there_g in (0.0, 1_000_001.0):
        with pytest.raises(InputProblem) as caught:
            builds_from(measured, there_g, None, 25.0)
        assert caught.value.right == "above 0 and at most 1e+06 g"
    assert builds_from(measured, 1_000_000.0, None, 25.0) == ()


def test_what_is_out_of_reach_is_told_with_what_is_in_reach(kitchen: Kitchen) -> None:
    def told(hours: float | None, temperature_c: float | None, share: float | None) -> tuple[str, str | None]:
        with pytest.raises(InputProblem) as caught:
            ripe_by(kitchen, levain(), "levain", hours, temperature_c, share)
        return str(caught.value), caught.value.right

    kind = kitchen.stage_kinds["sourdough"]
    quickest = ripe_by(kitchen, levain(), "levain", None, kind.warmest_c, 5.0).hours
    text, right = told(0.5 * quickest, None, 5.0)
    assert f"even warmth of {kind.warmest_c:g} °C takes {quickest:.1f} h" in text
    assert right == f"more than {0.5 * quickest:.1f} h"
    slowest = ripe_by(kitchen, levain(), "levain", None, 26.0, kind.least_starter).hours
    text, right = told(slowest + 9.0, 26.0, None)
    assert f"even starter of {kind.least_starter:g} % is ripe after {slowest:.1f} h" in text
    assert right == f"less than {slowest + 9.0:.1f} h"
    for temperature_c, said in ((-5.0, "not ripe within"), (60.0, "not ripe within"), (-5.1, "be"), (60.1, "be")):
        assert said in told(None, temperature_c, 20.0)[0]
    assert told(None, 61.0, 20.0)[1] == "-5 to 60 °C"
    with pytest.raises(InputProblem, match="is a dough, which does not ripen"):
        ripe_by(kitchen, levain(), "dough", 10.0, 20.0)
    bare = Formula("x", DOUGH, plans=(StagePlan("levain", "sourdough", 10.0, 24.0),))
    with pytest.raises(InputProblem):
        ripe_by(kitchen, bare, "levain", None, 24.0, 10.0)


def test_of_two_cultures_or_yeasts_the_first_becomes_all_of_it(kitchen: Kitchen) -> None:
    """0.5 % of 300 g flour is 1.5 g of fresh yeast; 20 % of a 300 g levain are 60 g. The rest stays as it is."""
    poolish = preferment("poolish", 100, 0.2)
    two = poolish.with_lines((*poolish.lines, Line("instant yeast", 0.3, "poolish")))
    found = with_starter(kitchen, two, "poolish", 0.5)
    assert [(line.ingredient, line.stage) for line in found.lines] == [
        (line.ingredient, line.stage) for line in two.lines
    ]
    grams = {(line.ingredient, line.stage): line.grams for line in found.lines}
    assert grams[("fresh yeast", "poolish")] == pytest.approx(1.5) and grams[("instant yeast", "poolish")] == 0.0
    assert grams[("fresh yeast", "dough")] == 8.0 and grams[("white wheat flour", "poolish")] == 300.0
    sour = levain()
    both = sour.with_lines((*sour.lines, Line("rye sourdough", 10.0, "levain")))
    found = with_starter(kitchen, both, "levain", 20.0)
    grams = {(line.ingredient, line.stage): line.grams for line in found.lines}
    assert grams[("wheat sourdough", "levain")] == pytest.approx(62.0) and grams[("rye sourdough", "levain")] == 0.0
    assert sum(line.grams for line in found.lines if line.stage == "levain") == pytest.approx(310.0)


def test_as_much_starter_as_the_stage_has_flour_and_water_for(kitchen: Kitchen) -> None:
    """A stiff stage, 200 g flour and 80 g water with 20 g of liquid culture: its 90 g of water are in 180 g of that."""
    lines = (
        Line("wheat sourdough", 20.0, "levain"), Line("white wheat flour", 200.0, "levain"),
        Line("water", 80.0, "levain"),
    )  # fmt: skip
    stiff = Formula("stiff", (*lines, *DOUGH[:3]), plans=(StagePlan("levain", "sourdough", 10.0, 24.0),))
    grams = [line.grams for line in with_starter(kitchen, stiff, "levain", 59.9).lines[:3]]
    assert grams == pytest.approx([179.7, 120.15, 0.15])
    with pytest.raises(InputProblem, match="there is not so much flour and water in this stage"):
        with_starter(kitchen, stiff, "levain", 60.1)
    dry = stiff.with_lines(line for line in stiff.lines if line.ingredient != "water")
    with pytest.raises(InputProblem, match="there is not so much flour and water in this stage"):
        with_starter(kitchen, dry, "levain", 5.0)
    for percent in (0.0, 100.0):
        with pytest.raises(InputProblem) as caught:
            with_starter(kitchen, stiff, "levain", percent)
        assert caught.value.right == "above 0 and below 100"


def test_salt_in_a_stage_stays_as_it_is(kitchen: Kitchen) -> None:
    salted = levain().with_lines((*levain().lines, Line("salt", 6.0, "levain")))
    lines = with_starter(kitchen, salted, "levain", 10.0).lines
    assert [line.grams for line in lines if line.stage == "levain"] == pytest.approx([30.6, 134.7, 134.7, 6.0])


def test_yeast_without_flour_is_no_stage_to_ripen(kitchen: Kitchen) -> None:
    lines = (Line("water", 300.0, "poolish"), Line("fresh yeast", 1.0, "poolish"), *DOUGH)
    with pytest.raises(InputProblem, match="has no flour, water and culture to ripen"):
        ripe_by(
            kitchen, Formula("wet", lines, plans=(StagePlan("poolish", "poolish", 12.0, 20.0),)), "poolish", 12.0, 20.0
        )


@pytest.mark.parametrize(
    ("inputs", "begins"),
    [
        (BakeInputs(start=datetime(2026, 11, 26, 20, 0)), datetime(2026, 11, 26, 20, 0)),
        (BakeInputs(), NOON),
        (BakeInputs(ready=datetime(2026, 11, 27, 20, 0)), None),
    ],
)
def test_which_feedings_fall_into_the_night_and_how_long_the_builds_may_take(
    inputs: BakeInputs, begins: datetime | None, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Counted from the start, else from now; with a time set, back from when the dough is mixed: then there is the time
    until it, less a few minutes, so that times told to five do not begin before now.
    """
    asked: list[tuple[float | None, Callable[[float, list[float]], int]]] = []

    def kept(measured: Measured, there_g: float, hours: float | None, room_c: float, in_the_night: object) -> tuple[()]:
        asked.append((hours, in_the_night))  # type: ignore[arg-type]
        return ()

    monkeypatch.setattr("adapter.dough.bake.day.builds_from", kept)
    plan = bake_plan(measure(kitchen, FRIDGE), replace(inputs, there_g=30.0), NOON)
    ((hours, in_the_night),) = asked
    if begins is None:
        mixed = next(step.at for step in plan.plan if step.step == MIX)
        begins = mixed - timedelta(hours=10)
        spare_min = (mixed - NOON).total_seconds() / 60.0 - 60.0 * (hours or 0.0)
        assert 5.0 < spare_min < 7.0
    else:
        assert hours is None
    eleven = datetime(2026, 11, 26, 23, 0)
    to_eleven_h = (eleven - begins).total_seconds() / 3600.0
    just_before, just_after = to_eleven_h - 0.02, to_eleven_h + 0.02
    assert in_the_night(10.0, [just_before]) == 0 and in_the_night(10.0, [just_after]) == 1
    assert in_the_night(10.0, [just_before, just_after, to_eleven_h + 5.9, to_eleven_h + 6.1]) == 2


def test_a_day_and_a_half_is_the_most_that_builds_take(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(
        "adapter.dough.bake.day.builds_from", lambda measured, there_g, hours, *more: asked.append(hours) or ()
    )
    bake_plan(measure(kitchen, FRIDGE), BakeInputs(ready=datetime(2026, 11, 30, 18, 0), there_g=30.0), NOON)
    assert asked == [36.0]


def test_where_something_that_falls_takes_a_value() -> None:
    """10/x is 2 at 5 and 200 at 0.05, to a thousandth of one or of that; beyond both ends it says what it would be."""
    seen: list[float] = []

    def of(x: float) -> float:
        seen.append(x)
        return 10.0 / x

    assert _falling(of, 2.0, 1.0, 20.0, "starter", " %") == pytest.approx(5.0, abs=5e-4)
    assert len(seen) == 2 + 15, "both ends, and 19 halved until it is a thousandth"
    seen.clear()
    assert _falling(of, 2.0, 1.0, 17.0, "starter", " %") == pytest.approx(5.0, abs=5e-4) and len(seen) == 2 + 14
    assert _falling(of, 200.0, 0.01, 1.0, "starter", " %") == pytest.approx(0.05, abs=2.5e-5)
    for wanted, said, right in (
        (0.49, "even starter of 20 % takes 0.5 h", "more than 0.5 h"),
        (11.0, "even starter of 1 % is ripe after 10.0 h", "less than 11.0 h"),
    ):
        with pytest.raises(InputProblem, match=said) as caught:
            _falling(of, wanted, 1.0, 20.0, "starter", " %")
        assert caught.value.right == right
    assert _falling(of, 0.5, 1.0, 20.0, "starter", " %") == pytest.approx(20.0, abs=1e-3)
    assert _falling(of, 10.0, 1.0, 20.0, "starter", " %") == pytest.approx(1.0, abs=1e-3)
