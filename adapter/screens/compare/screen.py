"""Compare: variants side by side, with what changes against the first and what must be bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.geometry import Size

from adapter.formula.problems import InputProblem
from adapter.screens.compare.glance_words import glance_sentences
from adapter.screens.compare.variant_rows import ALLERGEN, BAKE, GLANCE, LINE, NEED, READING, Comparison, rows_of
from adapter.screens.compare.variant_table import VariantRow, VariantTable
from adapter.screens.parts.details import Details
from adapter.screens.parts.rows import RowList
from adapter.screens.parts.shared_tracks import SharedTracks
from adapter.screens.parts.shell import OtherloafScreen
from adapter.swaps.comparison import aligned_lines, allergen_table, compared, levels_against_first, needs
from adapter.words.comparison_words import (
    allergen_sentences,
    bake_sentences,
    line_sentences,
    need_sentences,
    origin_sentence,
    reading_sentences,
)
from adapter.words.offer_words import Sentence
from adapter.work.candidates import (
    BOOK,
    MOST_COLUMNS,
    Candidate,
    bakes_of,
    fetched,
    first_choice,
    go_on_with,
    names_of,
    on_bench,
)

if TYPE_CHECKING:
    from adapter.files.log_file import Bake
    from adapter.swaps.comparison import Need
    from adapter.work.formula_list import Entry


TALL, BOTH = 50, 150
LEVELS_LEAST = 70
ONLY_DIFFERING = "only_differing"


class CompareScreen(OtherloafScreen):
    """Two to four of the candidates as columns; all changes are against the first column."""

    NAME = "compare"
    HELP_NOTES = (
        "! a clear change; ~ no clear change: within what the figures can tell; ≈ the same in the digits shown.",
        "The levels have one track a reading: the first column is its middle, a letter is a column; inside the"
        " brackets [ ] a baker notices nothing. A small letter: no clear change.",
        "‹ and › with a number: so many columns more on that side.",
    )
    CSS_PATH = "compare.tcss"
    AUTO_FOCUS = "#table"

    def __init__(self) -> None:
        super().__init__()
        self.candidates: list[Candidate] = []
        self.chosen: list[Candidate] = []
        self.comparison: Comparison | None = None
        self.only_differing = False

    def body(self) -> ComposeResult:
        self._suit(self.app.size)
        with Horizontal(id="columns"):
            yield VariantTable(id="table")
            yield SharedTracks(id="tracks")
        yield Details(id="details")

    @property
    def table(self) -> VariantTable:
        return self.query_one("#table", VariantTable)

    @property
    def tracks(self) -> SharedTracks:
        return self.query_one("#tracks", SharedTracks)

    @property
    def at_tracks(self) -> bool:
        return self.focused is self.tracks

    @property
    def row(self) -> VariantRow | None:
        """What is highlighted: a row of the table, or the reading of a level."""
        if not self.at_tracks:
            return self.table.row
        key = self.tracks.key
        return None if key is None else VariantRow(READING, key, "")

    @property
    def candidate(self) -> Candidate:
        """The one whose column is highlighted."""
        return self.chosen[self.table.column]

    @property
    def only_clear(self) -> bool:
        """Whether what does not clearly differ is left out; of one alone all is shown."""
        return self.only_differing and len(self.chosen) > 1

    def on_mount(self) -> None:
        piece = self.session.open_piece
        self.candidates = on_bench(piece)
        self.chosen = self._remembered() or first_choice(self.candidates, piece.bench.work.shown)
        self.only_differing = self.preferences.flag(ONLY_DIFFERING)
        self.attempt(self.work_out)
        variants = [each.variant for each in self.chosen]
        if piece.bench.work.shown in variants:
            self.table.to_column(variants.index(piece.bench.work.shown))
        if len(self.chosen) == 1:
            self.say("one variant only: o fetches another formula · v on the bench starts a variant")

    def _remembered(self) -> list[Candidate]:
        """The columns as they were chosen before, if the shown variant is one of them, and the book where it is one."""
        piece = self.session.open_piece
        by_sign = {each.sign: each for each in self.candidates}
        chosen = [by_sign[sign] for sign in piece.compared if sign in by_sign]
        has_book = BOOK in piece.compared or BOOK not in by_sign
        return chosen if has_book and any(each.variant == piece.bench.work.shown for each in chosen) else []

    def on_resize(self, event: events.Resize) -> None:
        was_both = self.has_class("-both")
        self._suit(event.size)
        if self.comparison is not None:
            self._share_width(event.size.width)
            if self.has_class("-both") != was_both:
                self._show_tracks()
        self.call_after_refresh(self._show_top)

    def _suit(self, size: Size) -> None:
        both, at_tracks = size.width >= BOTH, self.is_mounted and self.at_tracks
        self.wear(
            {
                "-roomy": size.height >= TALL,
                "-both": both,
                "-fold": not both,
                "-at-tracks": at_tracks,
                "-at-table": not at_tracks,
            }
        )

    def _share_width(self, width: int) -> None:
        """Side by side the table takes what it needs, and the levels have the rest."""
        both = width >= BOTH
        self.table.styles.width = min(self.table.natural_width, width - LEVELS_LEAST) if both else "1fr"

    def on_descendant_focus(self) -> None:
        self._suit(self.app.size)
        if self.comparison is not None:
            self._show_tracks()
            self._show_top()
        self._show_details()

    def action_next_part(self) -> None:
        (self.table if self.at_tracks else self.tracks).focus()

    # ------------------------------------------------------------------ showing

    def work_out(self) -> None:
        """Everything anew for the chosen columns. Raises InputProblem for a formula that cannot be read."""
        assert self.session.tables is not None
        pantry = self.session.pantry
        variants = compared(self.session.tables.kitchen, [each.formula for each in self.chosen])
        self.comparison = Comparison(
            variants,
            aligned_lines(variants),
            levels_against_first(variants),
            allergen_table(variants),
            () if pantry is None else needs(variants, pantry),
            self._bakes(),
            pantry,
        )
        self.session.open_piece.compared = tuple(each.sign for each in self.chosen)
        self.show_table()

    def _bakes(self) -> tuple[tuple[Bake, ...], ...]:
        bakes: list[tuple[Bake, ...]] = []
        for candidate in self.chosen:
            try:
                bakes.append(bakes_of(candidate, self.chosen))
            except InputProblem as problem:
                self.say(str(problem), fault=True)
                bakes.append(())
        return tuple(bakes)

    def show_table(self) -> None:
        assert self.comparison is not None
        rows = rows_of(self.comparison, self.chosen[0].sign, self.only_clear, self.units)
        title = f"against {self.chosen[0].sign}" if len(self.chosen) > 1 else ""
        self.table.show_variants(names_of(self.chosen), rows, title)
        self._show_tracks()
        self._share_width(self.app.size.width)
        self._show_top()
        self._show_details()

    def _show_tracks(self) -> None:
        """The levels; beside the table they need not repeat its values."""
        assert self.comparison is not None
        signs = [each.sign for each in self.chosen]
        self.tracks.show_tracks(
            signs,
            self.comparison.levels,
            signs[0],
            only=self.only_clear,
            with_values=not self.has_class("-both"),
            first=self.table.column,
        )

    def show_units(self) -> None:
        if self.comparison is not None:
            self.show_table()

    def _show_top(self) -> None:
        table = self.table
        name = self.session.open_bench.book.name
        signs = " ".join(self.chosen[place].sign for place in table.in_sight)
        count = f"{len(self.chosen)} of {len(self.candidates)}"
        if table.hidden_columns() and not self.at_tracks:
            full = f"columns {signs} in sight, {table.hidden_columns()} more: ← →"
            self.top(f"compare · {name}", full, f"{signs} of {len(self.chosen)}: ← →")
        else:
            only = "clear differences · " if self.only_clear else ""
            self.top(f"compare · {name}", f"{only}{count} compared", count)

    def _show_details(self) -> None:
        details = self.query_one("#details", Details)
        if self.comparison is None:
            details.tell()
            return
        shown = self.comparison.variants[self.table.column]
        details.tell(*self.sentences(), origin_sentence(shown, self.candidate.sign, self.units))

    def sentences(self) -> Sequence[Sentence]:
        """What is to be said of the highlighted cell."""
        row, column, comparison = self.row, self.table.column, self.comparison
        if row is None or comparison is None:
            return []
        first, units = self.chosen[0].sign, self.units
        if row.part == LINE:
            return line_sentences(comparison.variants[column], comparison.lines[int(row.key)], column, first, units)
        if row.part == READING:
            level = next(level for level in comparison.levels[column] if level.key == row.key)
            return reading_sentences(comparison.variants[column], level, first)
        if row.part == ALLERGEN:
            allergen = next(each for each in comparison.allergens if each.group == row.key)
            return allergen_sentences(allergen, column, first)
        if row.part == NEED and comparison.pantry is not None:
            return need_sentences(self._need(row.key), column, comparison.pantry, units)
        if row.part in GLANCE:
            return glance_sentences(row.part, comparison, column, first, units)
        if row.part == BAKE and comparison.bakes[column]:
            return bake_sentences(comparison.bakes[column][-1], units)
        return []

    def _need(self, ingredient: str) -> Need:
        assert self.comparison is not None
        return next(each for each in self.comparison.needs if each.ingredient == ingredient)

    @on(RowList.Highlighted)
    @on(VariantTable.ColumnHighlighted)
    def _highlighted(self) -> None:
        self._show_top()
        self._show_details()

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.action_why()

    # ------------------------------------------------------------------ columns

    def action_column_left(self) -> None:
        self._to_column(self.table.column - 1)

    def action_column_right(self) -> None:
        self._to_column(self.table.column + 1)

    def _to_column(self, place: int) -> None:
        self.table.to_column(place)
        if self.comparison is not None:
            self._show_tracks()

    def action_from_here(self) -> None:
        place = self.table.column
        if place == 0:
            self.say(f"{self.candidate.sign} is the first already: all changes are against it")
            return
        before = list(self.chosen)
        self.chosen.insert(0, self.chosen.pop(place))
        if not self.attempt(self.work_out):
            self.chosen = before
            return
        self.table.to_column(0)
        self.say(f"changes are against {self.chosen[0].sign}, {self.chosen[0].formula.name}")

    def action_differences(self) -> None:
        self.only_differing = not self.only_differing
        self.preferences.put(ONLY_DIFFERING, self.only_differing)
        self.show_table()
        self.say("only what clearly differs" if self.only_differing else "everything")

    def action_compare(self) -> None:
        from adapter.screens.parts.pick_dialog import PickDialog

        names = names_of(self.candidates)
        picked = [self.candidates.index(each) for each in self.chosen]

        def take(places: list[int] | None) -> None:
            if places is not None:
                self._compare([self.candidates[place] for place in places])

        self.ask(PickDialog("Compare which?", names, picked, MOST_COLUMNS), take)

    def _compare(self, chosen: Sequence[Candidate]) -> bool:
        """Other columns; those that stood before keep their order. Whether all of them can be read."""
        before = list(self.chosen)
        staying = [each for each in before if each in chosen]
        self.chosen = [*staying, *(each for each in chosen if each not in staying)]
        if self.attempt(self.work_out):
            return True
        self.chosen = before
        return False

    def action_fetch(self) -> None:
        """One more formula, from a file or the samples, as a column."""
        from adapter.screens.parts.dialogs import ChooseDialog
        from adapter.work.formula_list import file_entries, matching

        entries: dict[str, Entry] = {}
        for entry in file_entries(self.session.files):
            title = entry.title if entry.title not in entries else f"{entry.title} ({entry.detail or entry.group})"
            entries.setdefault(title, entry)
        titles = {id(entry): title for title, entry in entries.items()}

        def find(words: str) -> list[tuple[str, str]]:
            return [(titles[id(each)], each.detail or each.group) for each in matching(entries.values(), words)]

        def take(title: str | None) -> None:
            if title is not None:
                self.attempt(lambda: self._fetch(entries[title]))

        self.ask(ChooseDialog("Compare with which formula?", find), take)

    def _fetch(self, entry: Entry) -> None:
        sign = str(1 + sum(1 for each in self.candidates if each.sign.isdecimal()))
        other = fetched(self.session, entry, sign)
        dropped = self.chosen[MOST_COLUMNS - 1 :]
        self.candidates.append(other)
        if not self._compare([*self.chosen[: MOST_COLUMNS - 1], other]):
            self.candidates.remove(other)
            return
        self.table.to_column(len(self.chosen) - 1)
        gone = f" · {dropped[0].sign} makes room: c brings it back" if dropped else ""
        self.say(f"{sign} is {other.formula.name}{gone}")

    # ------------------------------------------------------------------ what to do with it

    def text_to_copy(self) -> str:
        """The tables for readers, as an export has them."""
        from adapter.exports.comparison_markdown import comparison_markdown

        if self.comparison is None:
            return ""
        return comparison_markdown(self.comparison.variants, self.session.pantry)

    def action_keep(self) -> None:
        """Back to the bench with the highlighted column on it."""
        done = ""

        def go() -> None:
            nonlocal done
            done = go_on_with(self.session, self.candidate)

        if self.attempt(go):
            self.attempt(self.session.keep_draft)
            self.app.pop_screen()
            if isinstance(self.app.screen, OtherloafScreen):
                self.app.screen.say(f"going on with {done}")

    def action_why(self) -> None:
        from adapter.screens.parts.why import WhyLine, WhyReading

        row, comparison = self.row, self.comparison
        if row is None or comparison is None:
            return
        measured = comparison.variants[self.table.column]
        if row.part == READING:
            self.ask(WhyReading(measured, row.key))
        elif row.part == LINE:
            line = comparison.lines[int(row.key)]
            place = next(measured.formula.find(line.ingredient), None)
            if place is None:
                self.say(f"{self.candidate.sign} has no {line.ingredient}")
            else:
                self.ask(WhyLine(measured, place))
        else:
            self.say("w tells how a reading or a line came about")

    def action_export(self) -> None:
        from adapter.screens.export.forms import comparison_forms
        from adapter.screens.export.screen import ExportScreen

        if self.comparison is not None:
            self.put_over(ExportScreen(comparison_forms(self.session, self.comparison.variants)))
