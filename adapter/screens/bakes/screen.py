"""Several bakes from one store: at the left what is baked and wished, at the right the plan and what to buy."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal

from adapter.screens.bakes.plan_rows import PlanRows
from adapter.screens.parts.columns import Column
from adapter.screens.parts.details import Details
from adapter.screens.parts.dialogs import AskDialog
from adapter.screens.parts.newest import Newest
from adapter.screens.parts.rows import Row, RowList, heading
from adapter.screens.parts.shell import DIGITS, OtherloafScreen
from adapter.screens.parts.swap_rows import sure_text
from adapter.work.formula_list import Entry
from adapter.work.preferences import TO_BAKE
from adapter.work.several import Several, count_typed, kept_text

if TYPE_CHECKING:
    from adapter.swaps.bakes import Bakes

NARROW = 100
WISH_HINT = "without milk · salt=1.6 · sweetness=-30% · by 2031-06-16: what spoils by then goes first · Enter · Esc"


class BakesScreen(OtherloafScreen):
    """The formulas that were marked in the list, planned as one; nothing is changed until a bake is taken."""

    MORE_BINDINGS = DIGITS
    NAME = "bakes"
    HELP_NOTES = (
        "+ on a formula of the list says how many of it are baked. The stock is shared among all of them.",
        "Samples are baked from the sample store, your own formulas from your own pantry.",
        "Enter on a formula of the plan opens it on the bench, with its swaps as a variant.",
    )
    CSS_PATH = "bakes.tcss"
    AUTO_FOCUS = "#bakes"

    def __init__(self) -> None:
        super().__init__()
        self._newest = Newest(self, "bakes", self._show)
        self._empty = ""
        self._took_s = 0.0
        self._shown: list[Entry | str | None] = []

    def body(self) -> ComposeResult:
        with Horizontal(id="parts"):
            yield RowList("several bakes", (Column("", least=16), Column("", right=True)), id="bakes")
            yield PlanRows(id="plan")
        yield Details(id="details")

    @property
    def several(self) -> Several:
        if self.session.several is None:
            self.session.several = Several()
        return self.session.several

    @property
    def bake_rows(self) -> RowList:
        return self.query_one("#bakes", RowList)

    @property
    def plan_rows(self) -> PlanRows:
        return self.query_one("#plan", PlanRows)

    @property
    def chosen(self) -> Entry | str | None:
        """The highlighted formula, or the wish as it was typed."""
        index = self.bake_rows.index
        return None if index is None or not self._shown else self._shown[index]

    def on_mount(self) -> None:
        self.work_out()

    def on_resize(self, event: events.Resize) -> None:
        self._suit({"-fold": event.size.width < NARROW})
        self.call_after_refresh(self.show_units)

    def on_descendant_focus(self) -> None:
        self._suit({})

    def _suit(self, classes: Mapping[str, bool]) -> None:
        at_plan = self.focused is self.plan_rows
        self.wear({**classes, "-at-plan": at_plan, "-at-bakes": not at_plan})
        self.show_keys("plan" if at_plan else "bakes")
        self._show_details()

    def action_next_part(self) -> None:
        (self.bake_rows if self.focused is self.plan_rows else self.plan_rows).focus()

    # ------------------------------------------------------------------ working it out

    def work_out(self) -> None:
        several = self.several
        self.preferences.put(TO_BAKE, kept_text(several))
        self._show_list()
        self._newest.drop()
        pantry = self.session.store_for(several)
        self._show_top("looking …" if several.counts else "")
        if not several.counts:
            self._show(None, "nothing is to be baked yet: + on a formula of the list", 0.0)
            return
        from adapter.swaps.bakes import SECONDS_TOGETHER

        self.plan_rows.show_plan(None, f"looking …, at most {SECONDS_TOGETHER:g} s", self.units)
        self._newest.ask(lambda: several.plan(self.session.swapper_of, pantry))

    def _show_top(self, standing: str) -> None:
        """In a small window the plan is behind a key: that it is there is said here."""
        pantry, count = self.session.store_for(self.several), sum(self.several.counts.values())
        self.top(f"several bakes · {count} from {'no store yet' if pantry is None else pantry.name}", standing)

    def _show(self, bakes: Bakes | None, empty: str, took_s: float) -> None:
        self._empty, self._took_s = empty, took_s
        self.plan_rows.show_plan(bakes, empty, self.units, took_s)
        self._show_top("" if bakes is None else f"planned · {sure_text(bakes.proven, bakes.gap)} · {took_s:.1f} s")
        self._show_details()

    def show_units(self) -> None:
        self.plan_rows.show_plan(self.plan_rows.bakes, self._empty, self.units, self._took_s)
        self._show_details()

    def _show_list(self) -> None:
        several = self.several
        rows: list[Row] = []
        self._shown = []

        def part(head: str, items: list[tuple[Entry | str, str, str]]) -> None:
            if items:
                rows.append(heading(head))
                self._shown.append(None)
            for what, text, beside in items:
                rows.append(Row((text, beside)))
                self._shown.append(what)

        part("to bake", [(entry, entry.title, f"{count} ×") for entry, count in several.counts.items()])
        part("without, hidden or not", [(word, word, "") for word in several.asked.without])
        part("aims, of each", [(aim, aim, "") for aim in several.asked.aims])
        by = [] if several.by is None else [(f"by {several.by}", f"what spoils by {several.by}", "")]
        part("first of all", list(by))
        part("more", [("", "a: without milk, by 2031-06-16 …", "")])
        self.bake_rows.show(rows)

    @on(RowList.Highlighted)
    def _highlighted(self) -> None:
        self._show_details()

    def _show_details(self) -> None:
        from adapter.words.adapt_report import missed_lines, way_lines, way_report

        way = self.plan_rows.way
        said = []
        if self.focused is self.plan_rows and way is not None:
            report = way_report(way)
            swap = self.plan_rows.swap
            why = "" if swap is None else self.units.told("; ".join(report["swaps"][swap]["why"]))
            told = way_lines(report, whole=False, units=self.units)[max(1, len(report["swaps"])) :]
            said = [(why, False), *((line, line in missed_lines(report)) for line in told)]
        self.query_one("#details", Details).tell(*said)

    def text_to_copy(self) -> str:
        """The plan as the command line prints it."""
        from adapter.words.adapt_report import bakes_report, bakes_text

        bakes = self.plan_rows.bakes
        return "" if bakes is None else bakes_text(bakes_report(bakes, self.several.asked.without), self.units)

    # ------------------------------------------------------------------ what is baked and wished

    def action_add(self) -> None:
        def take(text: str | None) -> None:
            if text is not None:
                self.several.wish(text, self.session.swapper_of, self.session.store_for(self.several))
                self.work_out()

        self.ask(AskDialog("What must be so for all of them?", "", hint=WISH_HINT, select=False), take)

    def action_strike(self) -> None:
        chosen, several = self.chosen, self.several
        if isinstance(chosen, Entry):
            several.put(chosen, 0)
        elif not chosen:
            self.say("x strikes a formula or a wish: put the highlight on one")
            return
        elif chosen in several.asked.without:
            several.asked = several.asked.allowing(chosen)
        elif chosen in several.asked.aims:
            several.asked = several.asked.without_aim(chosen)
        else:
            several.by = None
        self.work_out()

    def action_nudge_up(self) -> None:
        self._count(1)

    def action_nudge_down(self) -> None:
        self._count(-1)

    def _count(self, by: int) -> None:
        chosen = self.chosen
        if self.focused is self.bake_rows and isinstance(chosen, Entry):
            self.several.put(chosen, max(1, self.several.counts[chosen] + by))
            self.work_out()

    def action_weigh(self, digit: str) -> None:
        """A digit on a formula types its count."""
        chosen = self.chosen
        if self.focused is self.bake_rows and isinstance(chosen, Entry):
            ask_count(self, chosen, self.work_out, digit)

    # ------------------------------------------------------------------ taking

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.action_take()

    def action_take(self) -> None:
        """The formula of the plan on the bench, with its swaps as a variant."""
        way, place, chosen = self.plan_rows.way, self.plan_rows.place, self.chosen
        if self.focused is self.bake_rows:
            if isinstance(chosen, Entry):
                ask_count(self, chosen, self.work_out)
            elif chosen == "":
                self.action_add()
            return
        if way is None or place is None:
            self.say("put the highlight on a formula of the plan")
            return
        self.session.open(list(self.several.counts)[place])
        piece = self.session.open_piece
        if piece.bench.formula.lines == way.before.formula.lines != way.after.formula.lines:
            piece.new_variant()
            piece.bench.take_way(way)
            self.keep_work()
        self.go_to("bench")

    def action_pantry(self) -> None:
        self.go_to("pantry")


def ask_count(screen: OtherloafScreen, entry: Entry, then: Callable[[], None], digit: str = "") -> None:
    """Ask how many of a formula are baked: what is typed takes the place of the present count, or goes on a digit."""
    counts = {} if screen.session.several is None else screen.session.several.counts

    def check(text: str) -> str | None:
        count_typed(text)
        return None

    def take(text: str | None) -> None:
        if text is not None:
            if screen.session.several is None:
                screen.session.several = Several()
            screen.session.several.put(entry, count_typed(text))
            screen.preferences.put(TO_BAKE, kept_text(screen.session.several))
            then()

    question = f"How many of {entry.title} are baked? 0 takes it out"
    screen.ask(AskDialog(question, digit or str(counts.get(entry, 1)), check=check, select=not digit), take)
