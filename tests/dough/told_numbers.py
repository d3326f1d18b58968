"""Reading the numbers out of a sentence, to hold them against numbers that were worked out another way."""

from __future__ import annotations

import re

NUMBER = re.compile(r"(?<![\w.])[-−+]?\d+(?:\.\d+)?(?:e[-+]\d+)?")


def numbers(text: str) -> list[float]:
    return [float(each.replace("−", "-")) for each in NUMBER.findall(text)]


def check_told(text: str, *expected: float) -> None:
    """The numbers of a text, in their order, each right to the last digit that is written."""
    written = NUMBER.findall(text)
    assert len(written) == len(expected), (text, expected)
    for digits, value in zip(written, expected, strict=True):
        mantissa, _, power = digits.partition("e")
        decimals = len(mantissa.partition(".")[2])
        step = 10.0 ** (int(power or 0) - decimals)
        told = float(digits.replace("−", "-"))
        assert abs(told - value) <= 0.5 * step + 1e-9 * abs(value), (text, told, value)
