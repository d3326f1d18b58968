"""The bench: the formula line by line, its levels, and the swaps for the highlighted line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical

from adapter.dough.readings.registry import READING_KEYS
from adapter.formula.problems import InputProblem
from adapter.screens.bench.head_line import head_line
from adapter.screens.bench.line_adding import LineAdding
from adapter.screens.bench.lines import Lines
from adapter.screens.bench.offer_finder import OfferFinder
from adapter.screens.bench.offers import Offers
from adapter.screens.bench.own_swap import OwnSwap
from adapter.screens.bench.saving import Saving
from adapter.screens.bench.seen_levels import SeenLevels, nearest
from adapter.screens.bench.share import Share
from adapter.screens.bench.steps import Steps
from adapter.screens.bench.variants import Variants
from adapter.screens.bench.weights import Weights
from adapter.screens.bench.writing import FormulaWriting
from adapter.screens.parts.action import Action
from adapter.screens.parts.details import Details
from adapter.screens.parts.levels import Levels
from adapter.screens.parts.rows import RowList
from adapter.screens.parts.shell import DIGITS, OtherloafScreen
from adapter.swaps.request import LINE_HOLD
from adapter.words.offer_words import (
    begun_sentences,
    into_text,
    level_sentences,
    line_sentences,
    offer_sentences,
    out_text,
    stock_text,
    yeast_text,
)

if TYPE_CHECKING:
    from textual.timer import Timer

    from adapter.dough.readings.measured import Measured
    from adapter.swaps.offer import Offer

WIDE, TALL = 110, 46
BEGINNING = ("add", "formula_form", "save", "rename", "pantry", "back", "help")
"""What can be done while a formula has no line yet."""
LOOK_AHEAD_S = 0.005
"""The pause before the levels of one more swap are worked out ahead of the keys."""


class BenchScreen(OtherloafScreen):
    """The main screen. Shows the session's bench; every action replaces its work, and everything is shown anew."""

    MORE_BINDINGS = DIGITS
    NAME = "bench"
    HELP_NOTES = (
        "A level shows where a reading stands against the book formula. The bubble ● is in the middle where nothing"
        " changed; inside the brackets [ ] the change is less than a baker notices; outside, a word says how far."
        " An open bubble ○ and “no clear change” mean that the figures are not known well enough to tell.",
        "= before a name: held.  ↑ ↓ after a number: above or below where this style of bread normally lies.",
        "Changes between variants are far better known than the absolute numbers.",
    )
    CSS_PATH = "bench.tcss"
    AUTO_FOCUS = "#lines"

    def __init__(self) -> None:
        super().__init__()
        self.finder = OfferFinder(self)
        self._adding = LineAdding(self)
        self._saving = Saving(self)
        self.parts = (
            Share(self),
            Weights(self),
            self._adding,
            Variants(self),
            self._saving,
            FormulaWriting(self),
            OwnSwap(self),
            Steps(self),
            self.finder,
        )
        self._seen_levels = SeenLevels()
        self._ahead: Timer | None = None
        self._stood: tuple[object, ...] = ()

    def body(self) -> ComposeResult:
        with Vertical(id="upper"):
            yield Lines(id="lines")
            yield Levels(id="levels")
        with Vertical(id="lower"):
            yield Offers(id="offers")
            yield Details(id="details")

    @property
    def lines(self) -> Lines:
        return self.query_one("#lines", Lines)

    @property
    def level_rows(self) -> Levels:
        return self.query_one("#levels", Levels)

    @property
    def offers(self) -> Offers:
        return self.query_one("#offers", Offers)

    def on_mount(self) -> None:
        self.lines.tell = self._line_highlighted
        self.level_rows.tell = self._level_highlighted
        self.offers.tell = self._offer_highlighted
        if self.session.is_on_sample and self.session.pantry is not None:
            self.stand(f"a sample: what is in stock is the sample store, {self.session.pantry.name}")
        self.show_all()

    def on_screen_resume(self) -> None:
        """Back from another screen, where the pantry or the variant shown may have changed."""
        if self.session.bench is None or not self._stood:
            return
        if any(old is not new for old, new in zip(self._stood, self._standing(), strict=True)):
            if self._stood[1] is not self.session.open_bench.work:
                self.lines.focus()  # A swap highlighted before would show its preview over what is new.
            self.show_all()

    def _standing(self) -> tuple[object, ...]:
        """What everything on the screen follows from."""
        bench = self.session.open_bench
        return (bench, bench.work, self.session.pantry)

    # ------------------------------------------------------------------ layout

    def on_resize(self, event: events.Resize) -> None:
        width, height = event.size
        wide, stack = width >= WIDE, width < WIDE and height >= TALL
        roomy = width >= 160 and height >= 50
        room = height - 3
        details = 6 if roomy else 3 if wide else 4
        least_below = details + (5 if height < 30 else 7 if height < 40 else 9)
        levels = len(READING_KEYS) + 1
        wanted = levels + 15 if stack else max(levels, len(self.lines.rows) + 1)
        upper = max(6, min(wanted, room - least_below))
        if not wide and not stack:
            upper = max(6, room - details - 6)
        self.query_one("#upper").styles.height = upper
        fold = not wide and not stack
        self.wear({"-narrow": not wide, "-stack": stack, "-fold": fold, "-roomy": roomy, **self._part_worn})

    @property
    def _part_worn(self) -> dict[str, bool]:
        return {"-at-lines": self.at_lines, "-at-levels": not self.at_lines}

    @property
    def at_lines(self) -> bool:
        return self.focused is None or self.focused is self.lines

    @property
    def at_levels(self) -> bool:
        return self.focused is self.level_rows

    @property
    def at_offers(self) -> bool:
        return self.focused is self.offers

    def on_descendant_focus(self) -> None:
        """Another part has the keys: in a small window it is the one that is seen, and swaps show their preview."""
        self.wear(self._part_worn)
        self._show_footer()
        self._show_levels()
        self._show_details()

    # ------------------------------------------------------------------ showing

    def footer_actions(self, part: str = "") -> Sequence[Action]:
        actions = super().footer_actions(part)
        if self.session.bench is None or self.session.open_bench.formula.lines:
            return actions
        return sorted((each for each in actions if each.name in BEGINNING), key=lambda each: BEGINNING.index(each.name))

    def _show_footer(self) -> None:
        self.show_keys("formula" if self.at_lines else "levels" if self.at_levels else "swaps")

    def show_all(self, line: int | None = None) -> None:
        """Everything anew after the work changed; the highlight goes to a line, else stays."""
        self._stood = self._standing()
        self._show_lines(line)
        self._show_footer()
        self._show_levels()
        self._show_top()
        self.finder.ask(again=True)
        self._show_details()

    def _show_lines(self, line: int | None = None) -> None:
        bench, pantry, units = self.session.open_bench, self.session.pantry, self.units
        flour = bench.now.amount("flour") if bench.has_flour else None
        stock = partial(stock_text, pantry, bench.formula, units=units)
        self.lines.show_lines(bench.formula, flour, bench.is_line_held, stock, units, line)

    def show_units(self) -> None:
        if self._stood:
            self._show_lines()
            self.offers.show_in(self.units)
            self._show_top(self.shown if self.session.open_bench.has_flour else None)
            self._show_details()

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it where the next start finds it."""
        self.show_all(line)
        self.keep_work()

    def _show_top(self, preview: Measured | None = None) -> None:
        self.top(*head_line(self.session.open_piece, self.units, preview))

    @property
    def preview(self) -> Offer | None:
        """The swap that the levels show: the highlighted one while the keys are with the swaps."""
        return self.offers.offer if self.at_offers else None

    @property
    def shown(self) -> Measured:
        """What the levels show: the formula, or the one that the looked-at swap would make."""
        offer = self.preview
        return offer.after if offer is not None else self.session.open_bench.now

    def _show_levels(self) -> None:
        if not self.session.open_bench.has_flour:
            self.level_rows.show_nothing("they come with the first flour")
            return
        if self.at_offers:
            self.finder.refine(self.offers.index)
        offer = self.preview
        self._show_levels_of(self.shown, "levels" if offer is None else "preview")
        if offer is not None:
            self._look_ahead()

    def _show_levels_of(self, shown: Measured, title: str) -> None:
        self.level_rows.show_levels(self._seen_levels.of(shown), self.session.open_bench.work.holds, title)
        self._show_top(shown)

    def show_typed(self, typed: Measured | None) -> None:
        """The levels while a weight is typed; None shows again what stands."""
        if typed is None:
            self._show_levels()
        else:
            self._show_levels_of(typed, "preview")

    def _look_ahead(self) -> None:
        """While no key comes, work out the levels of the swaps beside the highlighted one."""
        if self._ahead is not None:
            self._ahead.stop()
        self._ahead = self.set_timer(LOOK_AHEAD_S, self._look_at_one)

    def _look_at_one(self) -> None:
        index = self.offers.index
        if index is None or not self.at_offers:
            return
        offers = self.offers.offers
        refined = any(self.finder.refine(place) for place in nearest(len(offers), index))
        if refined or self._seen_levels.look_ahead([offer.after for offer in offers], index):
            self._look_ahead()

    def _show_details(self) -> None:
        bench = self.session.open_bench
        details = self.query_one("#details", Details)
        if not bench.has_flour:
            details.tell(*begun_sentences(bench.formula, self.lines.line, self.units))
        elif self.at_offers and self.offers.offer is not None:
            details.tell(*offer_sentences(self.offers.offer, self.session.pantry, self.units))
        elif self.at_levels and self.level_rows.index is not None:
            details.tell(*level_sentences(self.level_rows.levels[self.level_rows.index], self.shown))
        elif self.lines.line is not None:
            details.tell(*line_sentences(bench.now, self.lines.line, self.session.pantry, self.units))
        else:
            details.tell()

    def offers_changed(self) -> None:
        """Other offers are listed."""
        self._seen_levels.forget()
        self._show_levels()
        self._show_details()

    def _line_highlighted(self, index: int | None) -> None:
        self.finder.ask()
        self._show_details()

    def _level_highlighted(self, index: int | None) -> None:
        self._show_details()

    def _offer_highlighted(self, index: int | None) -> None:
        self._show_levels()
        self._show_details()

    @on(RowList.Chosen)
    def _row_chosen(self) -> None:
        self.action_do("take")

    def text_to_copy(self) -> str:
        """The formula with its readings, as the command line prints it."""
        from adapter.words.reports import balance_report
        from adapter.words.text_report import balance_text

        self.check_flour()
        return balance_text(balance_report(self.shown))

    def check_flour(self) -> None:
        """Raises InputProblem while there is no flour: everything counts in % of it."""
        if not self.session.open_bench.has_flour:
            raise InputProblem("the formula has no flour yet", right="a puts in a line, such as 500 g bread flour")

    def go_to(self, name: str) -> None:
        if name != "pantry":
            self.check_flour()
        super().go_to(name)

    def begin_line(self, begun: str = "") -> None:
        """Ask for a further line, begun with what was typed."""
        self._adding.ask_line(begun)

    # ------------------------------------------------------------------ moving about

    def action_next_part(self) -> None:
        self._to_part(1)

    def action_previous_part(self) -> None:
        self._to_part(-1)

    def _to_part(self, by: int) -> None:
        parts = [self.lines, self.level_rows, self.offers]
        here = parts.index(self.focused) if self.focused in parts else 0
        parts[(here + by) % len(parts)].focus()

    def action_back(self) -> None:
        self._saving.action_back()

    def leave_bench(self) -> None:
        """Back to the list of formulas."""
        super().action_back()

    def action_step_back(self) -> None:
        """Esc goes from swaps or levels to the formula, and from there back to the list."""
        if self.at_lines:
            self._saving.action_back()
        else:
            self.lines.focus()

    def action_take(self) -> None:
        if self.at_levels:
            self.action_why()
        elif not self.at_offers:
            self.offers.focus()
        elif self.offers.offer is not None:
            self._take(self.offers.offer)

    def _take(self, offer: Offer) -> None:
        bench = self.session.open_bench
        bench.apply(offer)
        arrived, stage = offer.chosen, offer.before.formula.lines[offer.line].stage
        lines = [place for place, each in enumerate(bench.formula.lines) if each.ingredient in arrived]
        here = [place for place in lines if bench.formula.lines[place].stage == stage]
        line = next(iter(here or lines), None)
        self.lines.focus()
        self.changed(line)
        units = self.units
        swap = f"{out_text(offer, units)} → {into_text(offer, units)}"
        yeast = yeast_text(offer.before, offer.after, units)
        self.say(" · ".join(part for part in (swap, yeast, "u undoes it") if part))

    # ------------------------------------------------------------------ solving again, holding, why

    def solve_again(self, solve: Callable[[], Offer]) -> bool:
        """Work the highlighted swap out anew, in its place; whether that could be done."""
        place = self.offers.index

        def other() -> None:
            if place is not None:
                self.offers.replace(place, solve())
                self._show_levels()
                self._show_details()

        return self.attempt(other)

    def action_hold(self) -> None:
        bench = self.session.open_bench
        if self.at_levels and self.level_rows.key is not None:
            key = self.level_rows.key
            name = self.level_rows.levels[self.level_rows.index or 0].label
        elif self.at_lines and self.lines.line is not None:
            key = LINE_HOLD + bench.formula.lines[self.lines.line].ingredient
            name = bench.formula.lines[self.lines.line].ingredient
        else:
            self.say("h holds a line or a level: Tab goes there")
            return
        held = bench.toggle_hold(key)
        self.changed()
        self.say(f"{name} is held: no swap moves it" if held else f"{name} is free again")

    def action_why(self) -> None:
        from adapter.screens.parts.why import WhyLine, WhyOffer, WhyReading

        self.check_flour()
        if self.at_levels and self.level_rows.key is not None:
            self.ask(WhyReading(self.shown, self.level_rows.key))
        elif self.at_offers and self.offers.offer is not None:
            self.ask(WhyOffer(self.offers.offer, self.session.pantry))
        elif self.lines.line is not None:
            self.ask(WhyLine(self.session.open_bench.now, self.lines.line))
