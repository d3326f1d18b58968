"""A comparison for scripts: what `otherloaf compare --json` prints, without the names of files."""

from __future__ import annotations

import json
from collections.abc import Sequence

from adapter.dough.readings.measured import Measured
from adapter.exports.form import ComparisonForm
from adapter.words.reports import compare_report


def comparison_json(variants: Sequence[Measured]) -> str:
    return json.dumps(compare_report(variants), ensure_ascii=False, indent=2) + "\n"


FORM = ComparisonForm(".json", "the same for scripts", 3, lambda variants, _: comparison_json(variants))
