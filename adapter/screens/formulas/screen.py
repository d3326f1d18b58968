"""The first screen: the formulas that can be opened, found as you type, with a preview."""

from __future__ import annotations

import gc
from importlib import import_module

from textual import events, on
from textual.app import ComposeResult
from textual.worker import get_current_worker

from adapter.formula.problems import InputProblem
from adapter.screens.formulas.recipe_reading import RecipeReading
from adapter.screens.parts.columns import Cell, Column
from adapter.screens.parts.registry import SCREENS
from adapter.screens.parts.rows import Row, RowList, heading
from adapter.screens.parts.shell import OtherloafScreen
from adapter.work.formula_list import UNSAVED, Entry, file_entries, in_sight, matching, named_entry
from adapter.work.preferences import TO_BAKE

LIST_COLUMNS = (Column("", least=16), Column("", drop=1))
NARROW, MIDDLE = 100, 140
LONGEST_FILTER = 60
WARM_UP_AFTER_S = 0.7
"""The first formula is on the bench by then."""
ACTING = "?:+="
"""Characters that act and are no part of the filter."""


class FormulasScreen(OtherloafScreen):
    """Every formula in reach. What is typed is the filter; keys that are no letters act."""

    NAME = "formulas"
    TAKES_TEXT = True
    HELP_NOTES = (
        "Paste a recipe into the list, or F5: it is read line by line, and what is not sure is asked.",
        "Type a part of a name to find a formula. Unsaved work stands at the top until it is saved or thrown away.",
    )

    def __init__(self) -> None:
        super().__init__()
        self.filter = ""
        self.entries: list[Entry] = []
        self._shown: list[Entry | None] = []
        self._waiting: Entry | None = None
        self._started = False
        self._moved = False
        self._recipes = RecipeReading(self)
        self.parts = (self._recipes,)

    def body(self) -> ComposeResult:
        yield RowList("formulas", LIST_COLUMNS, empty="nothing is called that", id="list")

    def on_mount(self) -> None:
        self.top("otherloaf", "another loaf that still works")
        self.query_one("#list").focus()
        self.list_again()
        self.stand("reading the tables …")
        self.call_after_refresh(self._load)

    def on_screen_resume(self) -> None:
        if self._started:
            self.list_again()

    def on_resize(self, event: events.Resize) -> None:
        width = event.size.width
        self.wear({"-narrow": width < NARROW, "-middle": NARROW <= width < MIDDLE})

    # ------------------------------------------------------------------ tables, in the background

    def _load(self) -> None:
        self.run_worker(self._read_tables, thread=True, group="tables", exit_on_error=False)

    def _read_tables(self) -> None:
        """In a thread. Whatever goes wrong is said: without the tables nothing can be opened."""
        try:
            tables = self.session.load()
        except InputProblem as problem:
            self.back_on_screen(self.stand, f"{problem}: mend it and start again", True)
            return
        except Exception as fault:
            from adapter.screens.faults import report_fault

            report = report_fault(fault)
            where = f"; the report is in {report}" if report else ""
            self.back_on_screen(self.stand, f"the tables cannot be read: {type(fault).__name__} {fault}{where}", True)
            return
        self.units.amount(1.0, "water")  # what measures cups is loaded here, where nobody waits for it
        self.back_on_screen(self.call_later, self.tables_are_read)
        import_module(SCREENS["bench"].module)
        tables.solver.warm()
        gc.freeze()  # the tables stay: no later collection need look at them

    async def tables_are_read(self) -> None:
        """Fill the preview, and open what was asked for meanwhile."""
        from adapter.screens.formulas.preview import Preview

        await self.query_one("#body").mount(Preview(id="preview"))
        self._started = True
        self.after(WARM_UP_AFTER_S, self._warm_up)
        self.list_again()
        if self.session.notes:
            self.say("; ".join(self.session.notes), fault=True)
            self.session.notes = []
        if self._recipes.read_what_waits():
            return
        if self._waiting is None and len(self.session.files) == 1:
            self._waiting = named_entry(self.session.files[0])
        if self._waiting is not None:
            entry, self._waiting = self._waiting, None
            self.open_entry(entry)

    def _warm_up(self) -> None:
        from adapter.screens.formulas.warming import warm_up

        def work() -> None:
            worker = get_current_worker()
            warm_up(self.session, lambda: not worker.is_cancelled)

        self.run_worker(work, thread=True, group="warming", exit_on_error=False)

    # ------------------------------------------------------------------ the list

    def list_again(self) -> None:
        """Look anew what there is, and show what the filter finds. Unsaved work can be read with the tables only."""
        here = self.entry
        drafts = self.session.draft_entries() if self._started else []
        self.entries = [*drafts, *file_entries(self.session.files)]
        if self._started and self.session.several is None:
            self._mark_again()
        self.show_matching()
        if not self._moved:
            self.query_one("#list", RowList).highlight(0)
        elif here is not None and here in self._shown:
            self.query_one("#list", RowList).highlight(self._shown.index(here))

    def _mark_again(self) -> None:
        """What was marked to be baked before the program ended."""
        kept = self.preferences.text(TO_BAKE, "")
        if kept:
            from adapter.work.several import kept_again

            self.session.several = kept_again(kept, self.entries)

    def show_matching(self, index: int | None = None) -> None:
        rows: list[Row] = []
        self._shown = []
        group = None
        for entry in in_sight(self.entries, self.filter):
            if entry.group != group:
                group = entry.group
                rows.append(heading(group))
                self._shown.append(None)
            unsaved = entry.group == UNSAVED
            rows.append(Row((entry.title, self._beside(entry))))
            self._shown.append(entry)
            if unsaved:  # a row of its own: beside the name there is no room for it in a small window
                rows.append(heading(f"   {entry.detail}"))
                self._shown.append(None)
        if self.filter and not matching(self.entries, self.filter):
            rows.append(heading("nothing is called that"))
            self._shown.append(None)
        title = f"find: {self.filter}▏" if self.filter else "formulas, type to find"
        if index == 0 and self.filter:
            places = [at for at, each in enumerate(self._shown) if each is not None and each.found_by(self.filter)]
            index = places[0] if places else 0
        self.query_one("#list", RowList).show(rows, index, title)
        self._preview()

    def _beside(self, entry: Entry) -> Cell:
        """How many of it are baked, where that was said; else where it is from."""
        count = self.session.several.counts.get(entry) if self.session.several is not None else None
        if count is not None:
            return ((f"bake {count}", "accent"),)
        return "" if entry.group == UNSAVED else ((entry.detail, "faint"),)

    @property
    def entry(self) -> Entry | None:
        """The highlighted entry."""
        index = self.query_one("#list", RowList).index
        return None if index is None else self._shown[index]

    def on_key(self, event: events.Key) -> None:
        """Letters, digits and spaces make the filter."""
        character = event.character
        if event.key == "backspace" and self.filter:
            self.filter = self.filter[:-1]
        elif character and event.is_printable and character not in ACTING and (self.filter or character != " "):
            self.filter = (self.filter + character)[:LONGEST_FILTER]
        else:
            return
        event.stop()
        event.prevent_default()
        self.show_matching(0)

    @on(RowList.Highlighted, "#list")
    def _highlighted(self) -> None:
        self._moved = True
        self._preview()

    @on(RowList.Chosen, "#list")
    def _chosen(self) -> None:
        self.action_open()

    # ------------------------------------------------------------------ the preview

    def _preview(self) -> None:
        """Read and show the highlighted formula; what cannot be read is said in one line."""
        if not self._started:
            return
        from adapter.screens.formulas.preview import Preview
        from adapter.words.offer_words import tin_text

        preview, entry = self.query_one(Preview), self.entry
        if entry is None:
            preview.show_nothing("")
            self.stand("")
            return
        try:
            formula = self.session.read(entry)[0]
            if not self.session.has_flour(formula):
                preview.show_begun(formula, self.units)
                self.stand("no flour yet, so no levels: Enter goes on writing it")
                return
            measured = self.session.measured(formula)
        except InputProblem as problem:
            preview.show_nothing("cannot be opened")
            self.stand(str(problem), fault=True)
            return
        preview.show_formula(measured, self.units)
        self.stand(f"{tin_text(measured)} · {self.units.amount(measured.amount('mass'))} dough")

    def show_units(self) -> None:
        self._preview()

    # ------------------------------------------------------------------ actions

    def action_open(self) -> None:
        if self.entry is not None:
            self.open_entry(self.entry)

    def open_entry(self, entry: Entry) -> None:
        """Go to the bench with an entry, once the tables are read; bad input stays here, in one line."""
        if not self._started:
            self._waiting = entry
            self.say("opens as soon as the tables are read")
            return
        if self.is_in_front and self.attempt(lambda: self._open(entry)):
            self.go_to("bench")

    def _open(self, entry: Entry) -> None:
        self.session.open(entry)

    def on_paste(self, event: events.Paste) -> None:
        """A few words are a part of a name; more than that is a recipe."""
        event.stop()
        text = event.text.strip()
        if len(text) > LONGEST_FILTER or "\n" in text:
            self._recipes.read(text)
        elif text.isprintable():
            self.filter = (self.filter + text)[:LONGEST_FILTER]
            self.show_matching(0)

    def action_new(self) -> None:
        from adapter.formula.plain_text import clean
        from adapter.screens.parts.dialogs import AskDialog

        if self.session.tables is None:
            self.say("the tables are still being read")
            return

        def take(text: str | None) -> None:
            if text is not None:
                self._start(clean(text))

        def check(text: str) -> str | None:
            return None if clean(text) else "a formula needs a name"

        self.ask(AskDialog("A new formula: what is it called?", "New loaf", check=check), take)

    def _start(self, name: str) -> None:
        self.session.open_new(name)
        self.session.keep_draft()
        self.go_to("bench")

    def action_clear(self) -> None:
        if self.filter:
            self.filter = ""
            self.show_matching(0)
            return
        from adapter.screens.parts.dialogs import ConfirmDialog

        def leave(sure: bool | None) -> None:
            if sure:
                self.program.leave()

        if self.attempt(self.session.keep_draft):
            self.ask(ConfirmDialog("Leave otherloaf? Unsaved work is kept.", "leave", "stay", sure=True), leave)
        else:
            self.program.leave()

    def action_drop(self) -> None:
        entry = self.entry
        if entry is None or entry.group != UNSAVED:
            self.say("only unsaved work can be thrown away here")
            return
        from adapter.screens.parts.dialogs import ConfirmDialog

        def thrown(sure: bool | None) -> None:
            if sure and self.attempt(lambda: self.session.discard(entry)):
                self.list_again()
                self.say(f"{entry.title}: unsaved work thrown away")

        self.ask(ConfirmDialog(f"Throw away the unsaved work on {entry.title}?", "throw away", "keep"), thrown)

    def action_how_many(self) -> None:
        """Mark the highlighted formula to be baked with others, so many times."""
        if not self._started or self.entry is None:
            self.say("the tables are still being read" if not self._started else "put the highlight on a formula")
            return
        if self.entry.group == UNSAVED:
            self.say("unsaved work is not planned: save it first")
            return
        from adapter.screens.bakes.screen import ask_count

        def marked() -> None:
            self.list_again()
            self.say("= plans what is marked")

        ask_count(self, self.entry, marked)

    def action_bakes(self) -> None:
        self._go("bakes")

    def action_pantry(self) -> None:
        self._go("pantry")

    def _go(self, name: str) -> None:
        if self._started:
            self.go_to(name)
        else:
            self.say("the tables are still being read")
