"""Gluten of a dough, and how much of its gas a dough keeps.

    gluten [% of flour] = Σ grams · protein · q / flour,   q the share of protein that forms gluten            [M/A]
    retention           = 0.35 + 0.055 · min(gluten, 10), with rye not below 0.35 + 0.20 · rye share           [M/A]

q stands in the tables: white wheat and bread flour 0.80, wholemeal wheat 0.70, spelt 0.75, vital gluten 0.95, all
others 0. Rye holds gas by its mucilage: 0.45–0.65 of it in coarse rye [M], 0.55 here.
"""

from __future__ import annotations

LEAST_RETENTION = 0.35
RETENTION_PER_GLUTEN = 0.055
ENOUGH_GLUTEN_PERCENT = 10.0
RYE_RETENTION = 0.55


def retention(gluten_percent: float, rye_share: float) -> float:
    """Share of its gas that a dough keeps; gluten in % of flour, rye share 0 to 1.

    >>> retention(10.0, 0.0), retention(0.0, 1.0), retention(0.0, 0.0)
    (0.9, 0.55, 0.35)
    """
    by_gluten = LEAST_RETENTION + RETENTION_PER_GLUTEN * min(max(gluten_percent, 0.0), ENOUGH_GLUTEN_PERCENT)
    by_rye = LEAST_RETENTION + (RYE_RETENTION - LEAST_RETENTION) * min(max(rye_share, 0.0), 1.0)
    return max(by_gluten, by_rye)
