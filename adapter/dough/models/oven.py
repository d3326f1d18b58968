"""The loaf in the oven: minutes to a core temperature, and the core's curve on the way.

The loaf is a brick of risen dough. While its faces are still cold the oven heats them by convection and
radiation; once they reach 100 °C the water that evaporates holds them there, and what is left is conduction
into a brick with faces at 100 °C, with a = k/(rho·c) and L half a side:

    (100 − T core)/(100 − T start) = product over the three axes of S(a·τ/L²)
    S(Fo) = Σ C·exp(−z²·Fo),  z = (n + ½)π,  C = 2 sin z / z        [P, any text on heat conduction]

τ is the time that this brick would need. The faces are late, so the loaf needs

    t = τ + D·[1 − exp(−(τ/s)^1.65)],   D = td²/(td + 3.15·tf),   s = 0.96·√(tf·D)        [F]
    td = rho·c·(V/A)/h · ln[(T oven − T start)/(T oven − 100)]      to warm the loaf to 100 °C if it were even
    tf = the τ at which the middle has made a fifth of its way to 100 °C

D is the delay in the end; it shrinks as the oven gets hotter and as the loaf gets thicker. The three
numbers are fitted to a finite-volume brick with convection and a face capped at 100 °C (rolls of 70 g to
loaves of 3 kg, 105–260 °C): minutes to a core of 90–99 °C within 8 %, at 160–230 °C within 2.5 %; at a
cooler core the curve is within 16 %. It is never less than a loaf without inner resistance would need.
Minutes and curve are one formula, read both ways: the curve at bake_minutes is at the core asked for.
Never shorter for a hotter core, a cooler oven or dough, or a bigger loaf of the same density.

What the brick does not know: oven spring, the crust's resistance, and where in the oven the loaf stands; stone,
steam, tin and lid are in the h and k of the kind of bake (oven_kinds.py). Small pieces wait for their crust.
Show ±20 %; the thermometer in the core decides. Minutes, °C, metres, grams, kJ/(kg K), W/(m K), W/(m² K).
Impossible input raises ValueError with one sentence.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from adapter.dough.models.crossing import crossing
from adapter.dough.models.oven_kinds import crust_minutes

# Convection and radiation together [A]; published values for still baking ovens lie near 10–25 W/m²K [M].
HEAT_TRANSFER = 12.5
# Dough and crumb, with the vapour that carries heat inside them [A]; probes give 0.2–0.5 for baked crumb [M].
CONDUCTIVITY = 0.70
FACE_C = 100.0
SPREAD = 0.20

HOTTEST_CORE_C = 99.5
COLDEST_OVEN_C = 105.0
HOTTEST_OVEN_C = 400.0
START_RANGE_C = (0.0, 60.0)

# Fitted to the finite-volume brick of the tests [F].
DELAY_FIRST = 3.15
DELAY_GROWTH = 0.96
DELAY_POWER = 1.65
_FIRST_LEFT = 0.8

STARCH_FROM_C, STARCH_TO_C = 55.0, 85.0

USUAL_SHAPE, USUAL_LENGTH = 0.156, 1.5
"""Volume over surface, over the side of a cube as large, of a loaf of 2.4 : 1.6 : 1 on the hearth (loaf.py); how long
it is for its width."""


@dataclass(frozen=True, slots=True)
class Loaf:
    """Risen dough as a brick, with its measures when it goes into the oven.

    `specific_heat_kj` is the dough's at 60 °C: dense rye about 3.0, wheat about 2.85 kJ/(kg K). `conductivity` and
    `heat_transfer` are those of the kind of bake (oven_kinds.py). `crust_sugar_fat` is sugar and fat in % of flour of a
    loaf whose crust is waited for; None under a lid.
    """

    mass_g: float
    length_m: float
    width_m: float
    height_m: float
    specific_heat_kj: float
    conductivity: float = CONDUCTIVITY
    heat_transfer: float = HEAT_TRANSFER
    crust_sugar_fat: float | None = None

    def __post_init__(self) -> None:
        for what, value in (
            ("weight", self.mass_g),
            ("length", self.length_m),
            ("width", self.width_m),
            ("height", self.height_m),
            ("specific heat", self.specific_heat_kj),
            ("conductivity", self.conductivity),
            ("heat transfer", self.heat_transfer),
        ):
            if not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"the loaf's {what} has to be above zero, not {value:g}")

    @property
    def half_sides_m(self) -> tuple[float, float, float]:
        return self.length_m / 2.0, self.width_m / 2.0, self.height_m / 2.0

    @property
    def volume_m3(self) -> float:
        return self.length_m * self.width_m * self.height_m

    @property
    def surface_m2(self) -> float:
        length, width, height = self.length_m, self.width_m, self.height_m
        return 2.0 * (length * width + length * height + width * height)

    @property
    def browns_as_g(self) -> float:
        """g of the piece of usual shape with as much crust for its crumb: a flat one has colour as soon as a small one.

        A flat cake of 900 g in a tin of 37 × 27 cm bakes in 20 to 26 min at 220 °C [CP], not in the 34 of a round one.
        """
        low, wide, long = sorted((self.length_m, self.width_m, self.height_m))
        long = min(long, USUAL_LENGTH * wide)  # a stick browns like a piece of it
        crumb_m = 0.5 / (1.0 / low + 1.0 / wide + 1.0 / long)
        flatness = crumb_m / math.pow(low * wide * long, 1.0 / 3.0) / USUAL_SHAPE
        return self.mass_g * min(flatness**3, 1.0)

    @property
    def joules_per_k(self) -> float:
        return self.mass_g * self.specific_heat_kj

    @property
    def diffusivity_m2_s(self) -> float:
        return self.conductivity * self.volume_m3 / self.joules_per_k


@dataclass(frozen=True, slots=True)
class BakeTime:
    """Minutes: what the model says, and the range to show with it."""

    low: float
    value: float
    high: float


def slab_centre(fourier: float) -> float:
    """How much of the first temperature difference is left in the middle of a slab whose faces jumped: S(Fo).

    Fo = a·t/L², L half the thickness. Below 0.2 the same sum is taken in its form for short times,
    1 − 2·Σ (−1)^n erfc((2n + 1)/(2·√Fo)); both are exact to about 1e-12.
    """
    if fourier <= 0.0:
        return 1.0
    if fourier < 0.2:
        root = 2.0 * math.sqrt(fourier)
        return 1.0 - 2.0 * sum((-1.0) ** n * math.erfc((2 * n + 1) / root) for n in range(2))
    left = 0.0
    for n in range(4):
        z = (n + 0.5) * math.pi
        left += 2.0 * math.sin(z) / z * math.exp(-z * z * fourier)
    return left


def bake_minutes(
    loaf: Loaf,
    oven_c: float,
    core_c: float,
    start_c: float,
    h: float | None = None,
    oven_factor: float = 1.0,
    spread: float = SPREAD,
) -> BakeTime:
    """Minutes until the core reaches `core_c` [F, see the module], with ±20 % unless another spread is known.

    A small piece is through before its crust has colour: then it is the crust that is waited for. `h` is the loaf's own
    heat transfer unless given. `oven_factor` multiplies the minutes: what this kitchen's logged bakes took over what
    the model said.
    """
    kitchen = _Kitchen(loaf, oven_c, start_c, h, oven_factor)
    _check_core(core_c, start_c)
    if not 0.0 <= spread < 1.0:
        raise ValueError(f"a spread of {spread:g} is not between 0 and 1")
    minutes = kitchen.minutes_to(core_c)
    if loaf.crust_sugar_fat is not None:
        minutes = max(minutes, oven_factor * crust_minutes(loaf.browns_as_g, oven_c, loaf.crust_sugar_fat))
    return BakeTime(minutes * (1.0 - spread), minutes, minutes * (1.0 + spread))


def core_curve(
    loaf: Loaf,
    oven_c: float,
    core_c: float,
    start_c: float,
    points: int = 60,
    h: float | None = None,
    oven_factor: float = 1.0,
) -> list[tuple[float, float]]:
    """(minutes, °C) at even steps from the oven's door to the moment the core reaches `core_c`."""
    if points < 2:
        raise ValueError("a curve needs at least two points")
    kitchen = _Kitchen(loaf, oven_c, start_c, h, oven_factor)
    _check_core(core_c, start_c)
    end = bake_minutes(loaf, oven_c, core_c, start_c, h, oven_factor).value
    steps = [end * n / (points - 1) for n in range(points)]
    return [(minutes, kitchen.core_after(minutes)) for minutes in steps]


def heating_rate_c_per_min(
    loaf: Loaf, oven_c: float, start_c: float, h: float | None = None, oven_factor: float = 1.0
) -> float:
    """Mean °C per minute of the core between 55 and 85 °C, where the grain's enzymes work on the starch.

    The core is the slowest place: the outer crumb heats faster and suffers less. Above 55 °C at the start the
    mean is taken from there.
    """
    kitchen = _Kitchen(loaf, oven_c, start_c, h, oven_factor)
    from_c = max(STARCH_FROM_C, start_c)
    begin = kitchen.minutes_to(from_c) if from_c > start_c else 0.0
    return (STARCH_TO_C - from_c) / (kitchen.minutes_to(STARCH_TO_C) - begin)


class _Kitchen:
    """One loaf in one oven: the time constants worked out once. Seconds inside, minutes outside."""

    def __init__(self, loaf: Loaf, oven_c: float, start_c: float, h: float | None, oven_factor: float) -> None:
        h = loaf.heat_transfer if h is None else h
        if not COLDEST_OVEN_C <= oven_c <= HOTTEST_OVEN_C:
            right = f"between {COLDEST_OVEN_C:g} and {HOTTEST_OVEN_C:g} °C"
            raise ValueError(f"an oven at {oven_c:g} °C does not bake bread: {right}")
        low, high = START_RANGE_C
        if not low <= start_c <= high:
            raise ValueError(f"a dough of {start_c:g} °C is not one to bake: between {low:g} and {high:g} °C")
        for what, value in (("heat transfer", h), ("oven factor", oven_factor)):
            if not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"the {what} has to be above zero, not {value:g}")
        self.oven_c = oven_c
        self.start_c = start_c
        self.seconds_per_minute = 60.0 / oven_factor
        self.even_s = loaf.joules_per_k / (h * loaf.surface_m2)
        diffusivity = loaf.diffusivity_m2_s
        self.fourier_per_s = [diffusivity / (side * side) for side in loaf.half_sides_m]
        first_s = self._conduction_s(_FIRST_LEFT)
        warming_s = self._even_loaf_s(FACE_C)
        self.delay_s = warming_s * warming_s / (warming_s + DELAY_FIRST * first_s)
        self.growth_s = DELAY_GROWTH * math.sqrt(first_s * self.delay_s)

    def minutes_to(self, core_c: float) -> float:
        conduction_s = self._conduction_s((FACE_C - core_c) / (FACE_C - self.start_c))
        return max(self._loaf_s(conduction_s), self._even_loaf_s(core_c)) / self.seconds_per_minute

    def core_after(self, minutes: float) -> float:
        if minutes <= 0.0:
            return float(self.start_c)
        seconds = minutes * self.seconds_per_minute
        conduction_s = _where_rising(self._loaf_s, seconds, seconds)
        core_c = FACE_C - (FACE_C - self.start_c) * self._left(conduction_s)
        even_c = self.oven_c - (self.oven_c - self.start_c) * math.exp(-seconds / self.even_s)
        return min(core_c, even_c)

    def _even_loaf_s(self, to_c: float) -> float:
        """Seconds for a loaf without inner resistance."""
        return self.even_s * math.log((self.oven_c - self.start_c) / (self.oven_c - to_c))

    def _conduction_s(self, left: float) -> float:
        # The logarithm of what is left falls almost in a straight line: the first term of each slab's sum, than which
        # the sum is never more.
        terms = len(self.fourier_per_s) * math.log(4.0 / math.pi)
        beyond = (terms - math.log(left)) / (0.25 * math.pi**2 * sum(self.fourier_per_s))
        return _where_rising(lambda seconds: -math.log(self._left(seconds)), -math.log(left), beyond)

    def _left(self, conduction_s: float) -> float:
        return math.prod([slab_centre(fourier * conduction_s) for fourier in self.fourier_per_s])

    def _loaf_s(self, conduction_s: float) -> float:
        grown = 1.0 - math.exp(-((conduction_s / self.growth_s) ** DELAY_POWER))
        return conduction_s + self.delay_s * grown


def _check_core(core_c: float, start_c: float) -> None:
    if not core_c <= HOTTEST_CORE_C:
        raise ValueError(f"a core of {core_c:g} °C is never reached: at most {HOTTEST_CORE_C:g} °C")
    if core_c <= start_c:
        raise ValueError(f"a core of {core_c:g} °C is not above the dough's {start_c:g} °C")


_CLOSE = 1e-12
"""The part of the farther end that is near enough to where a curve takes a value."""


def _where_rising(f: Callable[[float], float], wanted: float, beyond: float) -> float:
    """The x between zero and one `beyond` it at which a function that rises from zero takes the wanted value."""
    return crossing(lambda x: f(x) - wanted, 0.0, beyond, -wanted, f(beyond) - wanted, _CLOSE * beyond)
