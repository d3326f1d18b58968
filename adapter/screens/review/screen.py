"""A recipe that was read, as a table: each line as written, what was understood, how sure. Doubts first."""

from __future__ import annotations

from typing import Any

from textual import events, on
from textual.app import ComposeResult
from textual.screen import Screen

from adapter.formula.problems import InputProblem
from adapter.screens.parts.columns import Column
from adapter.screens.parts.details import Details
from adapter.screens.parts.dialogs import AskDialog, ConfirmDialog
from adapter.screens.parts.rows import Row, RowList
from adapter.screens.parts.shell import OtherloafScreen
from adapter.words.units import Units
from adapter.work.recipe_review import DOUBT, DROPPED, Item, Review, said_of

COLUMNS = (
    Column("", room=1),
    Column("as written", least=24, most=60),
    Column("understood", least=16, most=36),
    Column("grams", right=True, room=6),
    Column("stage", least=6, most=16, drop=2),
    Column("how sure", least=9, most=60, drop=1),
)
MARKS = {DOUBT: "?", DROPPED: "–"}


class ReviewScreen(OtherloafScreen):
    """Goes through the session's recipe. Enter accepts a line, typing corrects it, Del drops it."""

    NAME = "review"
    HELP_NOTES = (
        "? in doubt: Enter accepts the line as it was understood. Type an ingredient, an amount or the whole line to"
        " correct it. – dropped: it stays in the note of the formula.",
        "When nothing is in doubt, Enter opens the formula on the bench; it is not saved until you save it.",
    )
    CSS_PATH = "review.tcss"
    AUTO_FOCUS = "#lines"

    def body(self) -> ComposeResult:
        yield RowList("recipe", COLUMNS, id="lines")
        yield Details(id="details")

    @property
    def review(self) -> Review:
        assert self.session.review is not None
        return self.session.review

    @property
    def rows(self) -> RowList:
        return self.query_one("#lines", RowList)

    @property
    def place(self) -> int | None:
        """The highlighted line, by its place in the text."""
        index = self.rows.index
        return None if index is None else self.review.order()[index]

    def on_mount(self) -> None:
        self.rows.tell = lambda index: self._show_details()
        self.show_all(0)

    # ------------------------------------------------------------------ showing

    def show_all(self, index: int | None = None) -> None:
        review = self.review
        doubts = len(review.in_doubt())
        units = self.units
        name, *columns = COLUMNS
        self.rows.columns = (name, *columns[:2], columns[2]._replace(title=units.head), *columns[3:])
        self.rows.show(
            [_row(review.items[place], units) for place in review.order()], index, title="as written, doubts first"
        )
        state = f"{doubts} in doubt" if doubts else "nothing in doubt"
        lines = f"{len(review.items)} lines"
        self.top(f"recipe · {review.recipe.name}", f"{lines} · {state} · not saved", f"{state} · not saved", state)
        self.stand(
            "Enter accepts, typing corrects, Del drops"
            if doubts
            else "Enter opens the formula · typing corrects a line"
        )
        self._show_details()

    def show_units(self) -> None:
        self.show_all()

    def _show_details(self, review: Review | None = None) -> None:
        place = self.place
        if place is None:
            return
        item = (review or self.review).items[place]
        line = item.line
        weight = f" {self.units.amount(line.grams, line.ingredient or '')}" if line.grams is not None else ""
        said = f"{line.text.strip()}  →  {said_of(line)}{weight}"
        near = f"perhaps {', '.join(line.candidates)}" if line.candidates and not line.sure else ""
        whole = [(f"of the recipe: {doubt}", True) for doubt in self.review.recipe.doubts]
        doubts = [(doubt, True) for doubt in line.doubts]
        self.query_one("#details", Details).tell((said, False), *doubts, (near, False), (line.note, False), *whole)

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.action_do("accept")

    def text_to_copy(self) -> str:
        """The recipe as the command line prints it."""
        from adapter.recipes.report import read_report, read_text_report

        return read_text_report(read_report([self.review.kept()]))

    # ------------------------------------------------------------------ going through it

    def _take(self, review: Review) -> None:
        """Take a changed review; the highlight goes on to the next doubt from a line that is settled."""
        place, index = self.place, self.rows.index
        self.session.review = review
        doubts, order = review.in_doubt(), review.order()
        if place is not None and review.items[place].state != DOUBT and doubts:
            behind = [order.index(each) for each in doubts]
            index = next((each for each in behind if each > (index or 0)), behind[0])
        self.show_all(index)

    def action_accept(self) -> None:
        review, place = self.review, self.place
        if not review.in_doubt():
            self.action_put_on_bench()
        elif place is not None and review.items[place].state == DOUBT:
            self._take(review.accepted(place))
        else:
            self._take(review)

    def action_drop(self) -> None:
        if self.place is not None:
            self._take(self.review.toggled(self.place))

    def on_key(self, event: events.Key) -> None:
        """What is typed corrects the highlighted line."""
        if event.is_printable and event.character and event.character not in "?: " and self.place is not None:
            event.stop()
            event.prevent_default()
            self._correct(self.place, event.character)

    def _correct(self, place: int, begun: str) -> None:
        review = self.review

        def watch(text: str) -> None:
            try:
                self._show_details(review.corrected(place, text))
            except InputProblem:
                self._show_details()

        def check(text: str) -> str | None:
            review.corrected(place, text)
            return None

        def take(text: str | None) -> None:
            if text is None:
                self._show_details()
            else:
                self._take(review.corrected(place, text))

        hint = "an ingredient, an amount, or the whole line · Enter takes it · Esc leaves it"
        question = f"{review.items[place].line.text.strip()}: what is it?"
        self.ask(AskDialog(question, begun, check=check, watch=watch, hint=hint, select=False), take)

    # ------------------------------------------------------------------ to the bench

    def action_put_on_bench(self) -> None:
        doubts = len(self.review.in_doubt())
        if not doubts:
            self._open()
            return

        def sure(yes: bool | None) -> None:
            if yes:
                self._open()

        what = "1 line is" if doubts == 1 else f"{doubts} lines are"
        question = f"{what} in doubt still. Open it all the same? What has no weight goes into the note."
        self.ask(ConfirmDialog(question, "open it", "go on here"), sure)

    def _open(self) -> None:
        self.session.open_read(self.review.formula())
        self.session.review = None
        self.session.keep_draft()
        self.go_to("bench")

    def put_over(self, screen: Screen[Any]) -> None:
        """The bench takes the place of this screen."""
        self.app.switch_screen(screen)


def _row(item: Item, units: Units) -> Row:
    line = item.line
    grams = units.cell(line.grams, line.ingredient or "") if line.grams is not None and not item.dropped else ""
    doubtful = item.state == DOUBT
    sure = f"{item.state}: {line.doubts[0]}" if doubtful else item.state
    style = "faint" if item.dropped else ""
    return Row(
        (
            ((MARKS.get(item.state, ""), "warn"),),
            ((line.text.strip(), style),),
            ((said_of(line), style),),
            ((grams, "strong"),),
            ((line.stage, "faint"),),
            ((sure, "warn" if doubtful else "faint"),),
        )
    )
