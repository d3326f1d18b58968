"""A formula's lines and readings for scripts: what `otherloaf balance --json` prints."""

from __future__ import annotations

import json

from adapter.dough.readings.measured import Measured
from adapter.exports.form import FormulaForm
from adapter.words.reports import balance_report


def formula_json(measured: Measured) -> str:
    return json.dumps(balance_report(measured), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


FORM = FormulaForm(".json", "readings and lines for scripts", 6, lambda measured, _: formula_json(measured))
