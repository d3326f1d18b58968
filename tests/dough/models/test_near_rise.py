"""A proof read by that of another dough, against the same one followed hour by hour; and where it is too unlike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from adapter.dough.models.course import Living
from adapter.dough.models.near_rise import NearRise
from adapter.dough.models.proof import Rise
from adapter.dough.readings.measured import Measured, measure
from adapter.formula.model import Proof, StagePlan

LINES = {
    "wholemeal rye flour": 300.0, "white wheat flour": 300.0, "water": 400.0, "salt": 11.0, "rye sourdough": 150.0,
    "fresh yeast": 4.0,
}  # fmt: skip


@pytest.fixture(scope="module")
def before(read: Callable[..., Measured]) -> Rise:
    return read(LINES, proof=Proof(26.0, 60.0)).rise


def lively(rise: Rise, yeast: float = 1.0, wild: float = 1.0, bacteria: float = 1.0) -> Rise:
    own = rise.living
    living = Living(own.bacteria * bacteria, own.sourdough_yeast * wild, own.bakers_yeast * yeast)
    return replace(rise, living=living)


def thinner(rise: Rise, factor: float) -> Rise:
    return replace(rise, medium=replace(rise.medium, flour_g=rise.medium.flour_g * factor))


def near_rise(rise: Rise, before: Rise) -> NearRise:
    """The same dough, read by the proof of another."""
    parts = (rise.temperature_c, rise.rise_fraction, rise.medium, rise.living, rise.bubbles, rise.spells)
    return NearRise(*parts, rise.dough_c, rise.tau_h, before=before)


def both(rise: Rise, before: Rise) -> tuple[NearRise, Rise]:
    near = near_rise(rise, before)
    assert near.spells == rise.spells and (near.temperature_c, near.rise_fraction) == (26.0, pytest.approx(0.6))
    return near, rise


def test_a_like_dough_rises_nearly_when_it_is_said_to(before: Rise) -> None:
    """More or less of each thing that lives, a thinner dough, another pace: hours, gas and acids within 2 %."""
    others = [
        before,
        lively(before, yeast=1.08), lively(before, yeast=0.95), lively(before, wild=1.15, bacteria=1.15),
        lively(before, wild=0.92), lively(before, bacteria=1.2), thinner(before, 0.96),
        replace(before, medium=replace(before.medium, pace=1.04 * before.medium.pace)),
        replace(before, bubbles=replace(before.bubbles, retention=0.97 * before.bubbles.retention)),
    ]  # fmt: skip
    for other in others:
        near, followed = both(other, before)
        assert not near.is_followed
        assert near.hours() == pytest.approx(followed.hours(), rel=0.02)
        assert near.rate(near.hours()) == pytest.approx(followed.rate(followed.hours()), rel=0.03)
        told, wanted = near.at_bake(), followed.at_bake()
        assert told is not None and wanted is not None
        for key in ("lactic", "acetic", "yeast_meq", "bakers_gas_ml", "wild_gas_ml", "bacteria_gas_ml"):
            assert getattr(told, key) == pytest.approx(getattr(wanted, key), rel=0.06, abs=0.05), key
        for key in ("bacteria", "sourdough_yeast", "bakers_yeast"):
            assert getattr(told.living, key) == pytest.approx(getattr(wanted.living, key), rel=0.06), key


def test_an_unlike_dough_is_followed(before: Rise) -> None:
    """A quarter more or less of what makes gas or acid, a tenth sooner or later: no further goes the likeness."""
    for other in (
        lively(before, yeast=1.27), lively(before, yeast=0.78), lively(before, bacteria=1.27),
        lively(before, bacteria=0.78), lively(before, wild=0.0), lively(before, yeast=0.0),
        replace(before, rise_fraction=0.75), replace(before, rise_fraction=0.45),
        replace(before, medium=replace(before.medium, pace=1.3 * before.medium.pace)),
    ):  # fmt: skip
        near = near_rise(other, before)
        assert near.is_followed
        assert near.hours() == other.hours() and near.at_bake() == other.at_bake()
    dead = replace(before, living=Living())
    assert near_rise(dead, before).is_followed and near_rise(before, dead).is_followed
    assert near_rise(before, before).rate(1.0) == before.rate(1.0), "for other hours than its own"


def test_a_tenth_sooner_or_later_is_as_far_as_the_likeness_goes(before: Rise) -> None:
    """Further out the rate of gas is another: a straight line from one dough to the other would miss the hours."""
    alike, unlike = [], []
    for percent in range(45, 76):
        other = replace(before, rise_fraction=percent / 100.0)
        later = Rise.hours(other) / before.hours() - 1.0
        (unlike if near_rise(other, before).is_followed else alike).append(later)
    assert -0.115 < min(alike) < -0.085 and 0.085 < max(alike) < 0.115
    assert all(abs(later) > 0.085 for later in unlike) and min(unlike) < 0.0 < max(unlike)


@pytest.mark.parametrize(("less", "more"), [(10.0, 20.0), (20.0, 35.0), (30.0, 40.0)])
def test_vinegar_slows_the_yeast_as_the_proof_followed_shows(
    less: float, more: float, read: Callable[..., Measured]
) -> None:
    """By its pH and by what of the acetic acid is undissociated: gas of both doughs per hour, within 1 %."""
    lean = {"white wheat flour": 600.0, "water": 380.0, "salt": 11.0, "fresh yeast": 8.0}
    first, second = (read({**lean, "spirit vinegar": grams}, proof=Proof(26.0, 60.0)).rise for grams in (less, more))
    followed = second.rate(second.hours()) / first.rate(first.hours())
    assert second.pace_beside(first) == pytest.approx(followed, rel=0.01) and followed < 0.95


def test_slopes_of_a_dough_that_is_read_by_another(read: Callable[..., Measured]) -> None:
    """In proportion to its own hours and rate; where the two are too unlike, its own, as of a dough read alone."""
    first = read(LINES, proof=Proof(26.0, 60.0))
    for salt_g, followed in ((11.3, False), (29.0, True)):
        formula = first.formula.with_lines(
            line.with_grams(salt_g) if line.ingredient == "salt" else line for line in first.formula.lines
        )
        near, alone = (measure(first.kitchen, formula, first, other) for other in (first, None))
        assert near.rise.is_followed is followed
        hours, rates = near.proof_gradients
        if followed:
            for own, wanted in zip((hours, rates), alone.proof_gradients, strict=True):
                assert own == pytest.approx(wanted, rel=1e-3, abs=1e-6)
            continue
        longer, faster = near.value("rise_time") / first.value("rise_time"), near.rate / first.rate
        assert longer > 1.0 > faster
        assert hours == pytest.approx([longer * part for part in first.proof_gradients[0]])
        assert rates == pytest.approx([faster * part for part in first.proof_gradients[1]])


def test_totals_of_a_list_are_carried_on_where_stages_are_the_same(
    read: Callable[..., Measured], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what differs from the dough that it is read by; anew where a stage is followed here and not there."""
    first = read(LINES, proof=Proof(26.0, 60.0))
    composer, carried = first.kitchen.composer, []
    near = composer.totals_near
    monkeypatch.setattr(composer, "totals_near", lambda *given: carried.append(given) or near(*given))
    planned = replace(first.formula, plans=(StagePlan("levain", "sourdough", 5.0, 26.0),))
    for formula, times in ((first.formula, 1), (planned, 0)):
        carried.clear()
        again = measure(first.kitchen, formula, None, first)
        assert len(carried) == times
        assert again.mixed == pytest.approx(measure(first.kitchen, formula).mixed)
