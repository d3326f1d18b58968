"""The tin: its volume, the dough that suits it, and how full a dough makes it.

    dough g = volume mL · fill · density / (rise · spring)

`density` is that of the dough before it rises (g/mL), `rise` its volume after the proof over that before,
`spring` the volume after the oven over that before it. What they are for a class of loaf stands in
loaf_classes.toml.
Impossible input raises ValueError with one sentence.
"""

import math

LEAST_FILL = 0.80
"""Below it a tin looks half empty [CP]."""
MOST_FILL_UNDER_LID = 0.97
"""Above it the lid jams [CP]."""
MOST_FILL_OPEN = 1.25
"""Above it an open loaf runs over the rim [A]; a wheat loaf's crown may well stand above it."""


def tapered_volume_l(
    top_length_m: float,
    top_width_m: float,
    bottom_length_m: float,
    bottom_width_m: float,
    height_m: float,
) -> float:
    """Litres of a tin with slanting sides: h/6·(A top + 4·A middle + A bottom), exact for flat sides.

    A middle is the area half way up: of the mean length and the mean width.

    >>> round(tapered_volume_l(0.22, 0.10, 0.22, 0.10, 0.10), 3)
    2.2
    """
    _above_zero("a side of the tin", top_length_m, top_width_m, bottom_length_m, bottom_width_m, height_m)
    top = top_length_m * top_width_m
    bottom = bottom_length_m * bottom_width_m
    middle = (top_length_m + bottom_length_m) / 2.0 * (top_width_m + bottom_width_m) / 2.0
    return 1000.0 * height_m / 6.0 * (top + 4.0 * middle + bottom)


class TinTooSmall(ValueError):
    """The dough does not go into the tin."""


def dough_for_tin(volume_l: float, fill: float, density: float, rise: float, spring: float) -> float:
    """Grams of dough that fill a tin to `fill` (0 to 1) after rise and spring. [CP]

    Dense rye in a straight tin of 2.2 L, in the middle of its ranges:

    >>> round(dough_for_tin(2.2, 0.935, 1.175, 1.325, 1.025))
    1780
    """
    _above_zero("volume, fill, density, rise and spring", volume_l, fill, density, rise, spring)
    return 1000.0 * volume_l * fill * density / (rise * spring)


def fill_of_tin(dough_g: float, volume_l: float, density: float, rise: float, spring: float) -> float:
    """How full the baked loaf makes the tin: 1 is full to the rim. [CP]

    Raises TinTooSmall where the dough does not even go in before it rises.
    """
    _above_zero("dough, volume, density, rise and spring", dough_g, volume_l, density, rise, spring)
    raw_l = dough_g / density / 1000.0
    if raw_l > volume_l:
        raise TinTooSmall(
            f"the tin is too small: {dough_g:.0f} g of dough are {raw_l:.2f} L before they rise, "
            f"the tin holds {volume_l:.2f} L"
        )
    return raw_l * rise * spring / volume_l


def fill_warning(fill: float, lidded: bool) -> str | None:
    """One sentence where a tin is too full or too empty; None where it is well filled."""
    percent = f"{100.0 * fill:.0f} %"
    if fill < LEAST_FILL:
        return f"The tin will be only {percent} full: take a smaller tin or more dough."
    if lidded and fill > MOST_FILL_UNDER_LID:
        return f"The tin will be {percent} full: the lid jams above {100.0 * MOST_FILL_UNDER_LID:.0f} %."
    if not lidded and fill > MOST_FILL_OPEN:
        return f"The tin will be {percent} full: the loaf runs over the rim."
    return None


def scale_factor(dough_g: float, wanted_g: float) -> float:
    """What every line is multiplied by for `wanted_g` of dough; for n pieces, wanted_g = n · grams of one."""
    _above_zero("the dough's weight", dough_g, wanted_g)
    return wanted_g / dough_g


def _above_zero(what: str, *values: float) -> None:
    for value in values:
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{what} has to be above zero, not {value:g}")
