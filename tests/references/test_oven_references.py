"""Minutes in the oven against textbook conduction, scipy, a finite-volume brick and common practice.

The brick shares heat transfer, conductivity and the 100 °C face with the model: what agrees with it is transcribed and
solved rightly, no evidence that loaves bake so. That is in test_time_references.py, by textbook minutes.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal
from scipy.optimize import brentq

from adapter.dough.models.oven import (
    Loaf,
    bake_minutes,
    core_curve,
    heating_rate_c_per_min,
    slab_centre,
)
from tests.references.oven_curve import core_temperature

LIDDED_RYE = Loaf(1800.0, 0.22, 0.10, 0.0925, 3.0)
WHEAT_TIN = Loaf(800.0, 0.25, 0.11, 0.105, 2.85)
HEARTH = Loaf(1000.0, 0.22, 0.22, 0.09, 2.9)
ROLL = Loaf(70.0, 0.08, 0.08, 0.05, 2.8)
BIG = Loaf(3000.0, 0.30, 0.13, 0.11, 3.0)
CUBE = Loaf(2000.0, 0.125, 0.125, 0.125, 3.0)
LOAVES = {"rye": LIDDED_RYE, "wheat": WHEAT_TIN, "hearth": HEARTH, "roll": ROLL, "big": BIG, "cube": CUBE}


# --- the reference: a brick in finite volumes ---------------------------------------------------------------


def brick_times(sides_m, rho_c, k, h, air_c, start_c, cores, cap_c=100.0, cells=10):
    """Seconds at which the middle of a brick reaches each of `cores` (rising), in finite volumes.

    One eighth of the brick, cells^3 volumes, explicit in time. On each face h·(air − face) = k·(face − cell)/(half a
    cell), and the face is held at `cap_c` at most: there the heat that comes beyond what is conducted evaporates water.
    """
    d = np.array(sides_m) / 2.0 / cells
    dt = 0.55 * rho_c / (2.0 * k * float((1.0 / d**2).sum()))
    t_cells = np.full((cells, cells, cells), float(start_c))
    to_middle = np.array([9.0 / 8.0, -1.0 / 8.0])
    found, seconds, before = [], 0.0, float(start_c)
    while len(found) < len(cores):
        heat = np.zeros_like(t_cells)
        for axis, x in enumerate(d):
            t, q = np.moveaxis(t_cells, axis, 0), np.moveaxis(heat, axis, 0)
            inward = k * (t[1:] - t[:-1]) / (x * x)
            q[:-1] += inward
            q[1:] -= inward
            wall = 2.0 * k / x
            face = np.minimum(cap_c, (h * air_c + wall * t[-1]) / (h + wall))
            q[-1] += wall * (face - t[-1]) / x
        t_cells = t_cells + dt / rho_c * heat
        seconds += dt
        middle = float(np.einsum("ijk,i,j,k", t_cells[:2, :2, :2], to_middle, to_middle, to_middle))
        while len(found) < len(cores) and middle >= cores[len(found)]:
            found.append(seconds - dt * (middle - cores[len(found)]) / (middle - before))
        before = middle
    return found


def brick_minutes(loaf, oven_c, start_c, cores, h=12.5, cells=8):
    sides = (loaf.length_m, loaf.width_m, loaf.height_m)
    rho_c = loaf.joules_per_k / loaf.volume_m3
    return [s / 60.0 for s in brick_times(sides, rho_c, loaf.conductivity, h, oven_c, start_c, cores, cells=cells)]


def test_reference_brick_against_incropera():
    # Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, example 5.4: steel wall of 40 mm, −20 °C, insulated
    # behind, oil of 60 °C with h = 500: Bi 0.31, Fo 5.64 after 480 s, and there 42.9 °C at the insulated face.
    k, diffusivity = 63.9, 18.8e-6
    assert 500.0 * 0.04 / k == pytest.approx(0.31, abs=0.005)
    assert diffusivity * 480.0 / 0.04**2 == pytest.approx(5.64, abs=0.005)
    cores = [42.7, 43.1]
    times = brick_times((0.08, 1e3, 1e3), k / diffusivity, k, 500.0, 60.0, -20.0, cores, cap_c=1e9, cells=6)
    assert times[0] < 480.0 < times[1]


def test_reference_brick_against_the_product_of_three_series():
    # Faces at 100 °C at once (h very large): the exact answer is the product solution, here with series and root
    # finder of its own.
    side, diffusivity = 0.1, 2.5e-7
    (seconds,) = brick_times((side,) * 3, 0.7 / diffusivity, 0.7, 1e7, 100.0, 27.0, [95.0], cells=12)

    def middle(s):
        z = (np.arange(60) + 0.5) * math.pi
        left = float(np.sum(2 * np.sin(z) / z * np.exp(-z * z * diffusivity * s / (side / 2) ** 2)))
        return 100.0 - 73.0 * left**3 - 95.0

    assert seconds == pytest.approx(brentq(middle, 100.0, 1e5), rel=0.005)


def test_reference_brick_does_not_depend_on_its_cells():
    coarse = brick_minutes(LIDDED_RYE, 160.0, 27.0, [60.0, 95.0], cells=8)
    fine = brick_minutes(LIDDED_RYE, 160.0, 27.0, [60.0, 95.0], cells=14)
    assert coarse == pytest.approx(fine, rel=0.004)


# --- the slab series ------------------------------------------------------------------------------------------


def test_slab_series_against_finite_differences():
    # scipy: half a slab in 800 cells, exact in time by its eigenvalues; 27 °C, faces put to 100 °C. Within 0.01 K.
    cells = 800
    diagonal = np.full(cells, -2.0)
    diagonal[0], diagonal[-1] = -1.0, -3.0  # symmetric middle; face half a cell away
    values, vectors = eigh_tridiagonal(diagonal * cells**2, np.ones(cells - 1) * cells**2)
    start = vectors.T @ np.full(cells, 27.0 - 100.0)
    for fourier in (0.01, 0.05, 0.1, 0.19, 0.2, 0.21, 0.5, 1.0, 2.0, 5.64):
        field = vectors @ (np.exp(values * fourier) * start)
        middle = 100.0 + (9.0 * field[0] - field[1]) / 8.0
        assert 100.0 - 73.0 * slab_centre(fourier) == pytest.approx(middle, abs=0.01)


def test_both_forms_of_the_series_meet():
    z = (np.arange(400) + 0.5) * math.pi
    for fourier in (0.02, 0.1, 0.1999999, 0.2, 0.3, 3.0):
        series = float(np.sum(2 * np.sin(z) / z * np.exp(-z * z * fourier)))
        assert slab_centre(fourier) == pytest.approx(series, abs=1e-12)


def test_first_term_of_the_heisler_chart():
    # Incropera & DeWitt, table 5.1, plane wall, Bi infinite: z = 1.5708, C = 1.2733.
    assert slab_centre(3.0) == pytest.approx(1.2733 * math.exp(-(1.5708**2) * 3.0), rel=2e-4)


# --- the loaf -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("loaf", LOAVES.values(), ids=LOAVES)
@pytest.mark.parametrize("oven_c", [160.0, 190.0, 230.0])
def test_usual_ovens_within_2_and_a_half_percent_of_the_brick(loaf, oven_c):
    cores = [94.0, 97.0]
    ours = [bake_minutes(loaf, oven_c, core, 27.0).value for core in cores]
    assert ours == pytest.approx(brick_minutes(loaf, oven_c, 27.0, cores), rel=0.025)


@pytest.mark.parametrize("loaf", LOAVES.values(), ids=LOAVES)
@pytest.mark.parametrize("oven_c", [105.0, 120.0, 260.0])
def test_slow_and_hot_ovens_within_8_percent_of_the_brick(loaf, oven_c):
    cores = [90.0, 97.0]
    ours = [bake_minutes(loaf, oven_c, core, 27.0).value for core in cores]
    assert ours == pytest.approx(brick_minutes(loaf, oven_c, 27.0, cores, cells=6), rel=0.08)


@pytest.mark.parametrize("h", [8.0, 25.0])
def test_another_heat_transfer_within_4_percent_of_the_brick(h):
    ours = [bake_minutes(LIDDED_RYE, 180.0, core, 27.0, h=h).value for core in (90.0, 97.0)]
    assert ours == pytest.approx(brick_minutes(LIDDED_RYE, 180.0, 27.0, [90.0, 97.0], h=h, cells=6), rel=0.04)


@pytest.mark.parametrize("loaf", LOAVES.values(), ids=LOAVES)
@pytest.mark.parametrize("oven_c", [105.0, 130.0, 160.0, 230.0])
def test_curve_within_16_percent_of_the_brick(loaf, oven_c):
    cores = [40.0, 55.0, 70.0, 85.0]
    minutes = brick_minutes(loaf, oven_c, 27.0, cores, cells=6)
    ours = [bake_minutes(loaf, oven_c, core, 27.0).value for core in cores]
    assert ours == pytest.approx(minutes, rel=0.16)


@pytest.mark.parametrize("oven_c", [130.0, 160.0, 230.0])
def test_heating_rate_within_10_percent_of_the_brick(oven_c):
    for loaf in (LIDDED_RYE, WHEAT_TIN):
        begin, end = brick_minutes(loaf, oven_c, 27.0, [55.0, 85.0], cells=6)
        assert heating_rate_c_per_min(loaf, oven_c, 27.0) == pytest.approx(30.0 / (end - begin), rel=0.10)


def test_formula_of_the_plan_agrees_where_it_was_fitted():
    # The design gives t = tD·[1 + 0.637·(td/tD)^1.656], fitted to a brick over 160–230 °C [F]. Ours is another fit that
    # holds outside that range as well; inside it both agree within 3 %.
    for loaf in (LIDDED_RYE, WHEAT_TIN):
        for oven_c in (160.0, 190.0, 230.0):
            for core_c in (94.0, 95.0, 96.0, 97.0):
                pure = bake_minutes(loaf, oven_c, core_c, 27.0, h=1e9).value
                warm = loaf.joules_per_k / (12.5 * loaf.surface_m2) / 60.0
                warm *= math.log((oven_c - 27.0) / (oven_c - 100.0))
                theirs = pure * (1.0 + 0.637 * (warm / pure) ** 1.656)
                assert bake_minutes(loaf, oven_c, core_c, 27.0).value == pytest.approx(theirs, rel=0.03)


def test_limit_of_perfect_conduction_is_the_lumped_body():
    # A body without inner resistance (Bi -> 0) warms as 1 − exp(−t·hA/mc) [P, any text on heat transfer].
    loaf = Loaf(100.0, 0.05, 0.05, 0.05, 3.0, conductivity=1e3)
    for core_c in (60.0, 95.0):
        lumped = loaf.joules_per_k / (12.5 * loaf.surface_m2) * math.log((230.0 - 27.0) / (230.0 - core_c)) / 60.0
        assert bake_minutes(loaf, 230.0, core_c, 27.0).value == pytest.approx(lumped, rel=0.01)
        assert core_temperature(loaf, lumped, 230.0, 27.0) == pytest.approx(core_c, abs=0.5)


def test_limit_of_a_perfect_oven_is_the_brick_with_hot_faces():
    minutes = bake_minutes(LIDDED_RYE, 230.0, 97.0, 27.0, h=1e9).value
    left = 1.0
    for side in (0.22, 0.10, 0.0925):
        left *= slab_centre(LIDDED_RYE.diffusivity_m2_s * minutes * 60.0 / (side / 2.0) ** 2)
    assert left == pytest.approx(3.0 / 73.0, rel=1e-6)


def test_two_bakes_of_common_practice():
    # Common practice, no source: about two hours for the lidded rye, 33–43 minutes for the wheat tin.
    assert 105.0 <= bake_minutes(LIDDED_RYE, 160.0, 95.0, 27.0).value <= 135.0
    assert 33.0 <= bake_minutes(WHEAT_TIN, 230.0, 96.0, 27.0).value <= 43.0


def test_range_and_the_kitchens_own_factor():
    plain = bake_minutes(LIDDED_RYE, 160.0, 97.0, 27.0)
    assert (plain.low, plain.high) == pytest.approx((0.8 * plain.value, 1.2 * plain.value))
    slow = bake_minutes(LIDDED_RYE, 160.0, 97.0, 27.0, oven_factor=1.15, spread=0.08)
    assert slow.value == pytest.approx(1.15 * plain.value)
    assert slow.high == pytest.approx(1.08 * slow.value)
    assert core_temperature(LIDDED_RYE, slow.value, 160.0, 27.0, oven_factor=1.15) == pytest.approx(97.0, abs=1e-6)
    assert heating_rate_c_per_min(LIDDED_RYE, 160.0, 27.0, oven_factor=2.0) == pytest.approx(
        heating_rate_c_per_min(LIDDED_RYE, 160.0, 27.0) / 2.0
    )


def test_curve_runs_from_the_dough_to_the_core():
    curve = core_curve(LIDDED_RYE, 160.0, 97.0, 27.0, points=40)
    minutes, cores = zip(*curve, strict=True)
    assert len(curve) == 40
    assert curve[0] == (0.0, 27.0)
    assert minutes[-1] == pytest.approx(bake_minutes(LIDDED_RYE, 160.0, 97.0, 27.0).value)
    assert cores[-1] == pytest.approx(97.0, abs=1e-6)
    assert list(cores) == sorted(cores)


# --- properties -----------------------------------------------------------------------------------------------

side = st.floats(0.03, 0.40)
oven = st.floats(105.0, 300.0)
core = st.floats(60.0, 99.5)
start = st.floats(5.0, 40.0)


@st.composite
def loaves(draw):
    length, width, height = draw(side), draw(side), draw(side)
    grams_per_m3 = 1e6 * draw(st.floats(0.25, 1.0))
    return Loaf(grams_per_m3 * length * width * height, length, width, height, draw(st.floats(2.4, 3.4)))


@settings(max_examples=60)
@given(loaves(), oven, core, start)
def test_core_at_the_end_is_the_core_asked_for(loaf, oven_c, core_c, start_c):
    minutes = bake_minutes(loaf, oven_c, core_c, start_c).value
    assert core_temperature(loaf, minutes, oven_c, start_c) == pytest.approx(core_c, abs=1e-6)


@settings(max_examples=60)
@given(loaves(), oven, oven, core, start)
def test_a_hotter_oven_is_never_slower(loaf, oven_a, oven_b, core_c, start_c):
    cool, hot = sorted((oven_a, oven_b))
    slow = bake_minutes(loaf, cool, core_c, start_c).value
    assert bake_minutes(loaf, hot, core_c, start_c).value <= slow * (1 + 1e-9)


@settings(max_examples=60)
@given(loaves(), oven, core, core, start)
def test_a_hotter_core_is_never_sooner(loaf, oven_c, core_a, core_b, start_c):
    low, high = sorted((core_a, core_b))
    soon = bake_minutes(loaf, oven_c, low, start_c).value
    assert bake_minutes(loaf, oven_c, high, start_c).value >= soon * (1 - 1e-9)


@settings(max_examples=60)
@given(loaves(), st.floats(1.0, 2.0), oven, core, start)
def test_a_bigger_loaf_of_the_same_shape_is_never_sooner(loaf, by, oven_c, core_c, start_c):
    bigger = Loaf(loaf.mass_g * by**3, loaf.length_m * by, loaf.width_m * by, loaf.height_m * by, loaf.specific_heat_kj)
    minutes = bake_minutes(loaf, oven_c, core_c, start_c).value
    assert bake_minutes(bigger, oven_c, core_c, start_c).value >= minutes * (1 - 1e-9)


@settings(max_examples=100)
@given(loaves(), st.floats(1.0, 2.0), st.integers(0, 2), oven, core, start)
def test_a_longer_wider_or_taller_loaf_is_never_sooner(loaf, by, axis, oven_c, core_c, start_c):
    sides = [loaf.length_m, loaf.width_m, loaf.height_m]
    sides[axis] *= by
    bigger = Loaf(loaf.mass_g * by, *sides, loaf.specific_heat_kj)
    minutes = bake_minutes(loaf, oven_c, core_c, start_c).value
    assert bake_minutes(bigger, oven_c, core_c, start_c).value >= minutes * (1 - 1e-9)


@settings(max_examples=60)
@given(loaves(), oven, core, start, start)
def test_a_warmer_dough_is_never_slower(loaf, oven_c, core_c, start_a, start_b):
    cold, warm = sorted((start_a, start_b))
    assume(warm < core_c)
    slow = bake_minutes(loaf, oven_c, core_c, cold).value
    assert bake_minutes(loaf, oven_c, core_c, warm).value <= slow * (1 + 1e-9)


@settings(max_examples=60)
@given(loaves(), oven, start, st.floats(0.0, 600.0), st.floats(0.0, 600.0))
def test_the_core_never_cools(loaf, oven_c, start_c, minutes_a, minutes_b):
    early, late = sorted((minutes_a, minutes_b))
    first, last = (core_temperature(loaf, m, oven_c, start_c) for m in (early, late))
    assert start_c - 1e-9 <= first <= last + 1e-9 <= 100.0 + 2e-9


# --- impossible input -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"core_c": 99.6}, "99.5"),
        ({"core_c": 20.0}, "not above"),
        ({"core_c": math.nan}, "never reached"),
        ({"oven_c": 104.0}, "105"),
        ({"oven_c": math.inf}, "oven"),
        ({"start_c": -5.0}, "dough"),
        ({"h": 0.0}, "above zero"),
        ({"oven_factor": -1.0}, "above zero"),
        ({"spread": 1.5}, "spread"),
    ],
)
def test_impossible_bakes_are_one_sentence(change, said):
    with pytest.raises(ValueError, match=said) as caught:
        bake_minutes(**{"loaf": LIDDED_RYE, "oven_c": 160.0, "core_c": 97.0, "start_c": 27.0} | change)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("field", ["mass_g", "length_m", "width_m", "height_m", "specific_heat_kj", "conductivity"])
@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_impossible_loaves(field, bad):
    good = {"mass_g": 1800.0, "length_m": 0.22, "width_m": 0.1, "height_m": 0.09, "specific_heat_kj": 3.0}
    with pytest.raises(ValueError, match="above zero"):
        Loaf(**good | {field: bad})


def test_impossible_points():
    with pytest.raises(ValueError, match="two points"):
        core_curve(LIDDED_RYE, 160.0, 97.0, 27.0, points=1)


def test_the_shortest_curve_has_two_ends():
    (begin, end) = core_curve(LIDDED_RYE, 160.0, 97.0, 27.0, points=2)
    assert begin == (0.0, 27.0)
    assert end == pytest.approx((bake_minutes(LIDDED_RYE, 160.0, 97.0, 27.0).value, 97.0), abs=0.01)


def test_a_thin_wafer_is_warm_within_a_minute():
    """Two millimetres of dough have hardly an inside: it bakes in minutes, and the first of them counts."""
    wafer = replace(LIDDED_RYE, mass_g=4.0, length_m=0.05, width_m=0.035, height_m=0.002)
    curve = core_curve(wafer, 160.0, 97.0, 27.0, points=40)
    assert curve[-1][0] < 4.0
    within = [t_c for minutes, t_c in curve if 0.0 < minutes <= 1.0]
    assert within and within[0] > 27.1 and within == sorted(within)
