"""What is typed and asked for on the bench: weights, lines, names, variants, saving, and the ways to other screens."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.dough.readings.measured import Measured, measure
from adapter.files.toml.source import exists
from adapter.formula.amounts import grams_of
from adapter.formula.model import DEFAULT_STAGE, Line
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.screens.parts.dialogs import AskDialog, ChooseDialog, ConfirmDialog
from adapter.screens.parts.shell import OtherloafScreen
from adapter.swaps.variant import with_amount
from adapter.words.text_report import grams_text
from adapter.work.paths import check_no_sample, path_typed

if TYPE_CHECKING:
    from adapter.formula.ingredient import Ingredient
    from adapter.formula.pantry import Pantry
    from adapter.screens.bench.lines import Lines
    from adapter.screens.bench.offers import Offers
    from adapter.swaps.bench import Bench
    from adapter.swaps.offer import Offer
    from adapter.swaps.pantry_plan import PantryPlan


class BenchEdits(OtherloafScreen):
    """The half of the bench that asks. Its other half, BenchScreen, shows."""

    @property
    def lines(self) -> Lines:
        raise NotImplementedError

    @property
    def offers(self) -> Offers:
        raise NotImplementedError

    @property
    def at_lines(self) -> bool:
        raise NotImplementedError

    @property
    def at_offers(self) -> bool:
        raise NotImplementedError

    def show_typed(self, typed: Measured | None) -> None:
        raise NotImplementedError

    def other_offer(self, solve: Callable[[], Offer]) -> bool:
        raise NotImplementedError

    def show_all(self, line: int | None = None) -> None:
        raise NotImplementedError

    def changed(self, line: int | None = None) -> None:
        """The work changed: show it, and keep it where the next start finds it."""
        self.show_all(line)
        self.keep_work()

    # ------------------------------------------------------------------ weights and lines

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Digits weigh only where there is a line or a swap to weigh."""
        return self.at_lines or self.at_offers if action == "weigh" else True

    def action_weigh(self, digit: str) -> None:
        """A digit on a line, or on a swap, begins a weight."""
        self._ask_weight(digit)

    def action_grams(self) -> None:
        self._ask_weight(None)

    def _ask_weight(self, begun: str | None) -> None:
        offer = self.offers.offer
        if self.at_offers and offer is not None:
            self._ask_grams_of_offer(offer, begun)
        elif self.lines.line is not None:
            self._ask_grams_of_line(self.lines.line, begun)
        else:
            self.say("there is no line to weigh")

    def _ask_grams_of_line(self, place: int, begun: str | None) -> None:
        bench = self.session.open_bench
        line = bench.formula.lines[place]
        ingredient = bench.kitchen.catalogue.get(line.ingredient)

        def measured(text: str) -> Measured:
            formula, _ = with_amount(bench.formula, place, _grams(text, ingredient))
            return measure(bench.kitchen, formula, bench.now.book)

        def watch(text: str) -> None:
            try:
                self.show_typed(measured(text))
            except InputProblem:
                self.show_typed(None)

        def check(text: str) -> str | None:
            measured(text)
            return None

        def take(text: str | None) -> None:
            self.show_typed(None)
            if text is None:
                return
            grams = _grams(text, ingredient)
            if self.attempt(lambda: bench.type_amount(place, grams)):
                self.changed(place)
                self.say(f"{line.ingredient}: {grams_text(line.grams)} → {grams_text(grams)} g · u undoes it")

        self._ask(f"How much {line.ingredient}?", line.grams, begun, check, take, watch)

    def _ask_grams_of_offer(self, offer: Offer, begun: str | None) -> None:
        """A weight for the first ingredient that comes in; the rest is balanced around it."""
        bench = self.session.open_bench
        name = offer.chosen[0]
        ingredient = bench.kitchen.catalogue.get(name)
        now = next((amount.grams for amount in offer.into if amount.ingredient == name), 0.0)

        def check(text: str) -> str | None:
            return None if _grams(text, ingredient) > 0 else "it has to be more than nothing"

        def take(text: str | None) -> None:
            if text is None:
                return
            typed = {name: _grams(text, ingredient)}
            holds = bench.work.holds
            if self.other_offer(lambda: bench.swapper().offer_again(offer, offer.share_percent, holds, typed)):
                self.say(f"{name} {typed[name]:g} g, the rest balanced around it · Enter takes it")

        self._ask(f"How much {name} in this swap?", now, begun, check, take)

    def _ask(
        self,
        question: str,
        grams: float,
        begun: str | None,
        check: Callable[[str], str | None],
        take: Callable[[str | None], None],
        watch: Callable[[str], None] | None = None,
    ) -> None:
        hint = "grams, or as people write it: 1 1/2 cups, 2 tbsp, 0.5 lb · Enter takes it · Esc leaves it"
        value = f"{grams:g}" if begun is None else begun
        dialog = AskDialog(question, value, check=check, watch=watch, hint=hint, select=begun is None)
        self.app.push_screen(dialog, take)

    def action_strike(self) -> None:
        place = self.lines.line
        if not self.at_lines or place is None:
            self.say("x strikes a line of the formula: Tab goes there")
            return
        name = self.session.open_bench.formula.lines[place].ingredient
        if self.attempt(lambda: self.session.open_bench.strike(place)):
            self.changed(place)
            self.say(f"{name} struck out · u undoes it")

    def action_add_line(self) -> None:
        catalogue = self.session.open_bench.kitchen.catalogue

        def find(words: str) -> Sequence[tuple[str, str]]:
            return [(item.name, ", ".join(item.aliases)) for item in catalogue.search(words)[:60]]

        self.app.push_screen(ChooseDialog("Put in which ingredient?", find), self._ask_grams_of_new)

    def _ask_grams_of_new(self, name: str | None) -> None:
        if name is None:
            return
        bench = self.session.open_bench
        ingredient = bench.kitchen.catalogue.get(name)
        after = self.lines.line
        stage = bench.formula.lines[after].stage if after is not None else DEFAULT_STAGE
        at = after + 1 if after is not None else 0

        def take(text: str | None) -> None:
            if text is None:
                return
            line = Line(name, _grams(text, ingredient), stage)
            if self.attempt(lambda: bench.add(line, at)):
                self.changed(at)
                self.say(f"{name} {line.grams:g} g put in · u undoes it")

        def check(text: str) -> str | None:
            _grams(text, ingredient)
            return None

        self.app.push_screen(
            AskDialog(f"How much {name}?", "", check=check, hint="grams, cups, tbsp … · Enter · Esc"), take
        )

    # ------------------------------------------------------------------ history and variants

    def _history(self, step: Callable[[], bool], done: str, nothing: str) -> None:
        said = self.through_history(step, done, nothing)
        if said:
            self.changed()
            self.say(said)

    def action_begin_here(self) -> None:
        if self.session.open_bench.begin_here():
            self.changed()
            self.say("from here on this is the book formula · u undoes it")
        else:
            self.say("it is a book formula already")

    def action_undo(self) -> None:
        self._history(self.session.open_bench.undo, "undone", "this is where the variant starts")

    def action_redo(self) -> None:
        self._history(self.session.open_bench.redo, "done again", "there is nothing to do again")

    def action_new_variant(self) -> None:
        bench = self.session.open_bench
        if not self.session.open_piece.new_variant():
            self.say("there are as many variants as there are letters", fault=True)
            return
        self.changed()
        letter = bench.letter(bench.work.shown)
        self.say(f"variant {letter}, from what was shown · [ and ] change between variants · n names it")

    def action_variant_before(self) -> None:
        self._to_variant(-1)

    def action_variant_after(self) -> None:
        self._to_variant(1)

    def _to_variant(self, by: int) -> None:
        bench = self.session.open_bench
        if len(bench.work.variants) == 1:
            self.say("there is one variant only · v starts another")
            return
        bench.show(bench.work.shown + by)
        self.changed()
        self.say(f"variant {bench.letter(bench.work.shown)}: {bench.formula.name}")

    def action_drop_variant(self) -> None:
        bench = self.session.open_bench
        if len(bench.work.variants) == 1:
            self.say("the last variant stays · t throws unsaved work away")
            return
        name = f"variant {bench.letter(bench.work.shown)}, {bench.formula.name}"

        def drop(sure: bool | None) -> None:
            if sure and self.session.open_piece.drop_variant():
                self.changed()
                self.say(f"{name} dropped")

        self.app.push_screen(ConfirmDialog(f"Drop {name}? Its steps are lost.", "drop", "keep"), drop)

    def action_rename(self) -> None:
        bench = self.session.open_bench

        def take(text: str | None) -> None:
            name = clean(text or "")
            if name and name != bench.formula.name:
                bench.rename(name)
                self.changed()
                self.say(f"now called {name}")

        def check(text: str) -> str | None:
            return None if clean(text) else "a formula needs a name"

        self.app.push_screen(AskDialog("What is it called?", bench.formula.name, check=check), take)

    # ------------------------------------------------------------------ saving

    def action_save(self) -> None:
        """Ask where; over another file than its own only when told so."""

        def take(text: str | None) -> None:
            if text is None:
                return
            path = path_typed(text)
            if exists(path) and not self.session.is_its_own(path):
                question = f"{path.name} is there already. Write over it? Its comments stay, its formula goes."
                self.app.push_screen(
                    ConfirmDialog(question, "write over it", "leave it"), lambda sure: self._save(path, sure)
                )
            else:
                self._save(path, True)

        def check(text: str) -> str | None:
            path = path_typed(text)
            check_no_sample(path)
            return f"{path.name[:60]} is a folder" if exists(path) and path.is_dir() else None

        self.app.push_screen(
            AskDialog("Save where?", str(self.session.path_to_offer()), check=check, select=False), take
        )

    def _save(self, path: Path, sure: bool | None) -> None:
        if not sure or not self.attempt(lambda: self.session.save(path)):
            return
        self.changed()
        self.say(f"saved in {path}")

    def action_throw_away(self) -> None:
        if self.session.open_piece.is_all_saved:
            self.say("nothing is unsaved")
            return

        def thrown(sure: bool | None) -> None:
            if sure and self.attempt(self.session.throw_away):
                self.show_all(0)
                self.say("unsaved work thrown away")

        self.app.push_screen(ConfirmDialog("Throw away everything that is not saved?", "throw away", "keep"), thrown)

    # ------------------------------------------------------------------ making do with the pantry

    def action_make_do(self) -> None:
        from adapter.swaps.pantry_plan import missing

        bench, pantry = self.session.open_bench, self.session.pantry
        if pantry is None:
            self.say("there is no pantry to make do with · p opens it")
        elif not missing(bench.formula, pantry, bench.kitchen.catalogue):
            self.say("the pantry holds all of it")
        else:
            self.say("looking through the pantry …")
            self.run_worker(lambda: self._make_do(bench, pantry), thread=True, group="make-do", exclusive=True)

    def _make_do(self, bench: Bench, pantry: Pantry) -> None:
        try:
            with self.session.solving:
                plan = bench.make_do(pantry)
        except InputProblem as problem:
            self.app.call_from_thread(self.say, str(problem), True)
            return
        self.app.call_from_thread(self._ask_make_do, bench, plan)

    def _ask_make_do(self, bench: Bench, plan: PantryPlan) -> None:
        from adapter.screens.bench.make_do import MakeDoDialog
        from adapter.words.make_do_report import make_do_report, plan_lines

        if bench.formula is not plan.before.formula:  # something else was done meanwhile
            return

        def take(sure: bool | None) -> None:
            self.show_typed(None)
            if sure and plan.swaps:
                bench.take_plan(plan)
                self.changed()
                self.say("made do with the pantry · u undoes it")
            else:
                self.say("left as it was")

        self.show_typed(plan.after)
        self.app.push_screen(MakeDoDialog(plan_lines(make_do_report(plan))), take)

    # ------------------------------------------------------------------ to other screens

    def action_compare(self) -> None:
        self.go_to("compare")

    def action_pantry(self) -> None:
        self.go_to("pantry")

    def action_bake(self) -> None:
        self.go_to("bake")

    def action_export(self) -> None:
        self.go_to("export")


def _grams(text: str, ingredient: Ingredient) -> float:
    """Grams of an amount as written for an ingredient. Raises InputProblem."""
    if not text.strip():
        raise InputProblem("no amount", right="grams, such as 250")
    return grams_of(text, ingredient.property("density_g_ml") or None, ingredient.property("each_g") or None)
