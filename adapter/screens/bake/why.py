"""Why a number of the Bake screen is what it is, in a window to read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual.content import Content

from adapter.dough.why.explain_bake import BakeWhy, explain_bake, sections_of
from adapter.formula.ingredient import TAGS
from adapter.screens.parts.columns import cut, harmless
from adapter.screens.parts.dialogs import TextDialog
from adapter.words.explain_kitchen import explain_kitchen
from adapter.words.stage_report import ripe_habit, stages_text

if TYPE_CHECKING:
    from adapter.dough.bake.plan import BakePlan
    from adapter.dough.readings.measured import Measured
    from adapter.dough.tables.stage_kinds import StageKind
    from adapter.files.log_file import Bake
    from adapter.words.bake_data import StageData
    from adapter.words.units import Units

WIDEST_FIRST = 44


class WhyBake(TextDialog):
    """How one number of the plan was worked out. Raises InputProblem for a number that is not there."""

    def __init__(self, measured: Measured, plan: BakePlan, key: str) -> None:
        why = explain_bake(measured, plan, key)
        super().__init__(f"why {why.title}", why_text(why))


class WhyKitchen(TextDialog):
    """What the log says of this kitchen."""

    def __init__(self, plan: BakePlan, bakes: Sequence[Bake]) -> None:
        why = explain_kitchen(plan.calibration, bakes)
        super().__init__(f"why {why.title}", why_text(why))


class AboutStage(TextDialog):
    """What is done for a stage, and how it stands: in a window to read."""

    def __init__(self, stage: StageData, units: Units, kinds: Mapping[str, StageKind]) -> None:
        first, *steps = stages_text([stage], units)
        lines = [Content(harmless(first)), Content(""), *(Content(harmless(step)) for step in steps)]
        if stage["kind"] in kinds:
            lines += [Content(""), Content(harmless(ripe_habit(kinds[stage["kind"]])))]
        super().__init__(f"stage {stage['stage']}", Content("\n").join(lines))


def why_text(why: BakeWhy) -> Content:
    lines = [Content.styled(harmless(f"{why.title} = {why.value}"), "bold")]
    lines += [Content(harmless(text)) for text in why.symbols]
    lines += [Content(harmless(f"  {step}")) for step in why.steps]
    for head, pairs in sections_of(why):
        lines.append(Content.styled(f"\n{head}", "bold $accent"))
        width = min(WIDEST_FIRST, max(len(first) for first, _ in pairs))
        lines += [
            Content.assemble(f"  {cut(harmless(first), max(width, len(first)))}  ", (harmless(second), "$faint"))
            for first, second in pairs
        ]
    lines += [Content(""), Content(harmless(why.sure)), Content("")]
    lines.append(Content.styled("Tags: " + "; ".join(f"{tag} {meaning}" for tag, meaning in TAGS.items()), "$faint"))
    return Content("\n").join(lines)
