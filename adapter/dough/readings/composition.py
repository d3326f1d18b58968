"""Composition: salt, fat, fibre, and what kind of flour the flour is. All in % of the flour."""

from __future__ import annotations

from adapter.dough.readings.linear import Share
from adapter.dough.readings.reading import LinearReading

READINGS = (
    LinearReading(
        key="salt", top={"salt": 1.0}, basis="salt (sodium x 2.5) / flour", tag="P", decimals=2, on_card=True
    ),
    LinearReading(key="fat", top={"fat": 1.0}, basis="fat / flour", tag="P", on_card=True),
    LinearReading(key="fibre", top={"fibre": 1.0}, basis="fibre / flour", tag="P", on_card=True),
    LinearReading(key="rye_share", top={"rye": 1.0}, basis="rye flour / flour", tag="P", on_card=True),
    LinearReading(
        key="wholegrain_share",
        top={"wholegrain": 1.0},
        cap=100.0,
        basis="wholemeal, with bran counted as the wholemeal it can make by its fibre / flour",
        tag="F",
    ),
    LinearReading(
        key="prefermented_flour",
        top={"prefermented": 1.0},
        basis="flour inside sourdough / flour",
        tag="P",
        on_card=True,
    ),
)
BESIDE = tuple(Share(key=key, top={key: 1.0}) for key in ("ash", "protein", "starch"))
"""What a rule may keep, though nobody reads it."""
