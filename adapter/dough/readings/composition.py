"""Composition: salt, fat, fibre, and what kind of flour the flour is. All in % of the flour."""

from __future__ import annotations

from adapter.dough.readings.linear import Share
from adapter.dough.readings.reading import LinearReading

READINGS = (
    LinearReading(
        key="salt",
        top={"salt": 1.0},
        basis="kitchen salt / flour, without the sodium of soda and powder",
        tag="P",
        decimals=2,
        on_card=True,
    ),
    LinearReading(
        key="label_salt",
        top={"label_salt": 1.0},
        basis="sodium × 2.5 / flour, as a label counts salt",
        tag="P",
        label="salt on the label",
        decimals=2,
        claim="Sodium × 2.5 as Regulation (EU) 1169/2011 has it; the packets' own figures come first.",
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
        key="gluten",
        top={"gluten": 1.0},
        basis="protein × the share of it that forms gluten / flour",
        tag="M",
        claim="Good to about ±1; what a dough holds of its gas follows it.",
    ),
    LinearReading(
        key="prefermented_flour",
        top={"prefermented": 1.0},
        basis="flour that fermented before the dough / flour",
        tag="P",
        on_card=True,
    ),
)
BESIDE = (
    *(Share(key=key, top={key: 1.0}) for key in ("ash", "protein", "starch")),
    Share(key="carbonate", top={"carbonic": 1.0}),
)
"""What a rule may keep, though nobody reads it."""
