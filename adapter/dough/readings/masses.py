"""Masses: the flour and the whole dough, in grams. A change of them counts in % of the book formula's."""

from __future__ import annotations

from adapter.dough.readings.reading import LinearReading

READINGS = (
    LinearReading(
        key="flour_mass",
        top={"flour": 1.0},
        below=None,
        basis="milled grain, that in sourdough too",
        tag="P",
        label="flour",
        unit="g",
        short_unit="g",
        decimals=0,
        percent_of_book=True,
    ),
    LinearReading(
        key="dough_mass",
        top={"mass": 1.0},
        below=None,
        basis="everything weighed in",
        tag="P",
        label="dough",
        unit="g",
        short_unit="g",
        decimals=0,
        percent_of_book=True,
    ),
)
