"""An explanation of a reading as plain data."""

from __future__ import annotations

from dataclasses import asdict

from adapter.dough.readings.reading import Parameter
from adapter.dough.why.explain_reading import Contributor, Explanation, Input
from adapter.words.reports import number


def why_report(explanation: Explanation) -> dict[str, object]:
    """Everything behind a reading: the lines that feed it, the formula, its parameters, and how sure it is."""
    reading = explanation.reading
    return {
        "reading": reading.key,
        "value": number(reading.value),
        "spread": number(reading.spread),
        "unit": reading.unit,
        "formula": explanation.symbols,
        "symbols": explanation.meaning,
        "steps": list(explanation.steps),
        "lines": [_plain(item) for item in explanation.inputs],
        "parameters": [_plain(item) for item in explanation.parameters],
        "contributors": [_plain(item) for item in explanation.contributors],
        "model_spread": number(explanation.model_spread),
        "claim": explanation.claim,
    }


def _plain(item: Input | Parameter | Contributor) -> dict[str, object]:
    return {key: number(value) if isinstance(value, float) else value for key, value in asdict(item).items()}
