"""Ask for a loaf: at the left what must be so, at the right the ways to have it, with their levels on one track."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from adapter.screens.ask.sentences import level_sentences, way_sentences, wish_sentences
from adapter.screens.ask.way_rows import WayRows
from adapter.screens.ask.wish_rows import (
    ADD,
    AIM,
    HOLD,
    MOST,
    PINNED,
    REFUSED,
    STORE,
    WAYS,
    WITHOUT,
    WishRows,
)
from adapter.screens.parts.details import Details
from adapter.screens.parts.dialogs import AskDialog
from adapter.screens.parts.newest import Newest
from adapter.screens.parts.rows import RowList
from adapter.screens.parts.shared_tracks import SharedTracks
from adapter.screens.parts.shell import DIGITS, OtherloafScreen
from adapter.screens.parts.swap_rows import sure_text
from adapter.work.asking import Asked, Asking, aim_question

if TYPE_CHECKING:
    from adapter.swaps.adapt import Answer
    from adapter.swaps.way import Way

WIDE, ROOMY, TALL = 110, 160, 50
WISH_HINT = "milk, nuts, animal, honey … or salt=1.6, sweetness=-30%, tta=7..8, price=..3 · Enter · Esc"


class AskScreen(OtherloafScreen):
    """Wishes of the open piece, and their answers; nothing on the bench changes until a way becomes a variant."""

    MORE_BINDINGS = DIGITS
    NAME = "ask"
    HELP_NOTES = (
        "Every answer is final: rounded to the scale, yeast and water put right, read again.",
        "Space on a swap refuses it; again: it must be; again: it is free. All is worked out anew each time.",
        "On the levels ← and → make an aim of a reading and move it by what a baker notices; a digit types one.",
        "What is ruled out is ruled out by the tables, hidden in other things too. The packets' labels come first.",
    )
    CSS_PATH = "ask.tcss"
    AUTO_FOCUS = "#ways"

    def __init__(self) -> None:
        super().__init__()
        self.asking: Asking | None = None
        self.only_differing = False
        self._newest = Newest(self, "ask", self._show)
        self._took_s = 0.0

    def body(self) -> ComposeResult:
        with Horizontal(id="parts"):
            yield WishRows(id="wishes")
            with Vertical(id="answers"):
                yield WayRows(id="ways")
                yield SharedTracks(id="levels")
        yield Details(id="details")

    @property
    def wish_rows(self) -> WishRows:
        return self.query_one("#wishes", WishRows)

    @property
    def way_rows(self) -> WayRows:
        return self.query_one("#ways", WayRows)

    @property
    def tracks(self) -> SharedTracks:
        return self.query_one("#levels", SharedTracks)

    @property
    def asked(self) -> Asked:
        """What has been asked of this piece so far: it stays while the program runs."""
        piece = self.session.open_piece
        if piece.asked is None:
            piece.asked = Asked(from_store=self.session.pantry is not None)
        return piece.asked

    @property
    def answer(self) -> Answer | None:
        return self.way_rows.answer

    def on_mount(self) -> None:
        self.attempt(self._begin)

    def _begin(self) -> None:
        from adapter.files.places import own_table_folders
        from adapter.swaps.ruled_out import load_without

        words = load_without(own_table_folders())
        self.asking = Asking(self.session.open_bench.swapper(), self.session.pantry, words)
        self.work_out()

    def on_screen_resume(self) -> None:
        """Back from the pantry, which may be another by now."""
        if self.asking is not None and self.asking.pantry is not self.session.pantry:
            self.attempt(self._begin)

    # ------------------------------------------------------------------ layout

    def on_resize(self, event: events.Resize) -> None:
        width, height = event.size
        self._suit({"-fold": width < WIDE, "-roomy": width >= ROOMY and height >= TALL})
        self.call_after_refresh(self._show_ways)

    def _show_ways(self) -> None:
        self.way_rows.show_ways(self.answer, self.session.pantry, self.units, self._took_s, self.way_rows.empty)

    def show_units(self) -> None:
        self._show_ways()
        self._show_details()

    def on_descendant_focus(self) -> None:
        self._suit({})

    def _suit(self, classes: Mapping[str, bool]) -> None:
        """In a small window the wishes, or the ways with their levels, are what is seen."""
        parts = {"wishes": self.wish_rows, "ways": self.way_rows, "levels": self.tracks}
        here = next((name for name, part in parts.items() if self.focused is part), "ways")
        self.wear({**classes, **{f"-at-{name}": name == here for name in parts}})
        self.show_keys(here)
        self._show_details()

    def action_next_part(self) -> None:
        self._to_part(1)

    def action_previous_part(self) -> None:
        self._to_part(-1)

    def _to_part(self, by: int) -> None:
        parts = [self.way_rows, self.tracks, self.wish_rows]
        here = parts.index(self.focused) if self.focused in parts else 0
        parts[(here + by) % len(parts)].focus()

    # ------------------------------------------------------------------ working it out

    def work_out(self) -> None:
        """Ask anew for what is wished now. Raises InputProblem for wishes that cannot be understood."""
        assert self.asking is not None
        bench = self.session.open_bench
        self.wish_rows.show_wishes(self.asked, bench.work.holds, bench.now, self.session.pantry)
        self.top(f"ask for a loaf · {bench.formula.name}", "looking …")
        self._newest.drop()
        if self.asked.is_nothing:
            self._show(None, "nothing is wished yet: a adds a wish, ← → on a level sets an aim", 0.0)
            return
        wishes = self.asking.wishes(self.asked)
        if self.answer is None:
            self.way_rows.show_ways(
                None, self.session.pantry, self.units, 0.0, f"looking …, at most {wishes.seconds:g} s"
            )
        else:
            self.way_rows.looking_anew()
        self._newest.ask(lambda: bench.adapt(wishes))

    def _show(self, answer: Answer | None, empty: str, took_s: float) -> None:
        self._took_s = took_s
        self.way_rows.show_ways(answer, self.session.pantry, self.units, took_s, empty)
        self._show_tracks()
        bench = self.session.open_bench
        self.top(f"ask for a loaf · {bench.formula.name}", self._standing(answer, took_s), f"{took_s:.1f} s")
        self._show_details()

    def _standing(self, answer: Answer | None, took_s: float) -> str:
        if answer is None:
            return "nothing asked"
        if not answer.ways:
            return f"no way · {took_s:.1f} s"
        best = answer.ways[0]
        return f"{'' if best.proven else 'the time ran out, '}{sure_text(best.proven, best.gap)} · {took_s:.1f} s"

    def _show_tracks(self) -> None:
        from adapter.dough.readings.levels import levels

        now = self.session.open_bench.now
        ways = () if self.answer is None else self.answer.ways
        columns = [levels(now, now), *(levels(way.after, now) for way in ways)]
        signs = ["now", *(str(number) for number in range(1, len(ways) + 1))]
        self.tracks.show_tracks(signs, columns, "now", only=self.only_differing)

    def _change(self, asked: Asked) -> None:
        """Take other wishes; those that cannot be understood leave everything as it was."""
        before = self.asked
        self.session.open_piece.asked = asked
        if not self.attempt(self.work_out):
            self.session.open_piece.asked = before
            self.attempt(self.work_out)
        self.keep_work()

    # ------------------------------------------------------------------ what is said

    @on(RowList.Highlighted)
    def _highlighted(self) -> None:
        self._show_details()

    def _show_details(self) -> None:
        now = self.session.open_bench.now
        if self.focused is self.wish_rows:
            said = wish_sentences(self.wish_rows.wish, self.asked, self.answer)
        elif self.focused is self.tracks:
            said = level_sentences(self.tracks.key, now, self.answer)
        else:
            said = way_sentences(self.way_rows.way, self.way_rows.place, self.units)
        self.query_one("#details", Details).tell(*said)

    def text_to_copy(self) -> str:
        """The answer as the command line prints it."""
        from adapter.words.adapt_report import adapt_report, adapt_text

        return "" if self.answer is None else adapt_text(adapt_report(self.answer), self.units)

    # ------------------------------------------------------------------ wishes

    def action_add(self) -> None:
        self._ask_wish("What else must be so?", "")

    def _ask_wish(self, question: str, begun: str, instead: str | None = None) -> None:
        assert self.asking is not None
        asking = self.asking
        start = self.asked if instead is None else self.asked.without_aim(instead)

        def check(text: str) -> str | None:
            asking.wishes(asking.added(start, text))
            return None

        def take(text: str | None) -> None:
            if text is not None:
                self._change(asking.added(start, text))

        self.ask(AskDialog(question, begun, check=check, hint=WISH_HINT, select=False), take)

    def action_weigh(self, digit: str) -> None:
        """A digit on a level types an aim for it."""
        if self.focused is self.tracks:
            self._ask_aim(digit)

    def _ask_aim(self, begun: str) -> None:
        key = self.tracks.key
        if key is not None:
            self._ask_wish(aim_question(key), f"{key}={begun}")

    def action_strike(self) -> None:
        wish = self.wish_rows.wish
        if self.focused is not self.wish_rows or wish is None:
            self.say("x strikes a wish: Tab goes there")
        elif wish.kind == WITHOUT:
            self._change(self.asked.allowing(wish.text))
        elif wish.kind == AIM:
            self._change(self.asked.without_aim(wish.text))
        elif wish.kind == HOLD:
            self._hold(wish.text)
        elif wish.kind in (REFUSED, PINNED):
            self._change(self.asked.freed(wish.text))
        else:
            self.say("this stays: Space changes it")

    def _hold(self, hold: str) -> None:
        self.session.open_bench.toggle_hold(hold)
        self.keep_work()
        self.attempt(self.work_out)

    def action_hold(self) -> None:
        if self.focused is self.tracks and self.tracks.key is not None:
            self._hold(self.tracks.key)
        else:
            self.say("h holds a level: Tab goes there")

    def action_mark(self) -> None:
        """Space: a swap refused, pinned, free; the store taken or not."""
        from dataclasses import replace

        wish, place, way = self.wish_rows.wish, self.way_rows.place, self.way_rows.way
        if self.focused is self.wish_rows and wish is not None:
            if wish.kind == STORE and self.session.pantry is not None:
                self._change(replace(self.asked, from_store=not self.asked.from_store))
            elif wish.kind in (REFUSED, PINNED):
                self._change(self.asked.ticked(wish.text))
        elif self.focused is self.way_rows and place is not None and way is not None and place.swap is not None:
            name = way.swaps[place.swap].candidate.name
            self._change(self.asked.ticked(name))
            if name in self.asked.refused:
                self.say("refused · it stands among the wishes (Tab): Space there makes it a must, x frees it")
        else:
            self.say("Space refuses a swap, or takes the store: put the highlight on one")

    def action_nudge_up(self) -> None:
        self._nudge(1)

    def action_nudge_down(self) -> None:
        self._nudge(-1)

    def _nudge(self, by: int) -> None:
        assert self.asking is not None
        wish = self.wish_rows.wish
        if self.focused is self.tracks and self.tracks.key is not None:
            self._change(self.asking.nudged(self.asked, self.tracks.key, by))
        elif self.focused is self.wish_rows and wish is not None:
            if wish.kind == WAYS:
                self._change(self.asked.with_ways(by))
            elif wish.kind == MOST:
                self._change(self.asked.with_most_swaps(by))
            elif wish.kind == AIM and not wish.text.startswith("price"):
                self._change(self.asking.nudged(self.asked, wish.text.partition("=")[0], by))

    def action_differences(self) -> None:
        self.only_differing = not self.only_differing
        self._show_tracks()
        self.say("only what clearly changes" if self.only_differing else "every level")

    # ------------------------------------------------------------------ taking

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.action_take()

    def action_take(self) -> None:
        wish, way = self.wish_rows.wish, self.way_rows.way
        if self.focused is self.tracks:
            self._ask_aim("")
        elif self.focused is self.wish_rows and wish is not None:
            if wish.kind in (STORE, REFUSED, PINNED):
                self.action_mark()
            elif wish.kind == AIM:
                self._ask_wish("What is it to be?", wish.text, wish.text)
            elif wish.kind == ADD:
                self.action_add()
            else:
                self.say("← → changes it" if wish.kind in (WAYS, MOST) else "x strikes it")
        elif way is not None:
            self._make([way])

    def action_new_variant(self) -> None:
        """Every way as a variant of its own."""
        if self.answer is None or not self.answer.ways:
            self.say("there is no way to take")
        else:
            self._make(list(self.answer.ways))

    def _make(self, ways: Sequence[Way]) -> None:
        """Variants of the formula that was asked about, one for each way; the first of them is shown."""
        piece = self.session.open_piece
        bench = piece.bench
        start, made = bench.work.shown, []
        for way in ways:
            if way.before.formula is not bench.work.variants[start].formula:
                self.say("the formula is another by now: it is worked out anew")
                self.attempt(self._begin)
                return
            bench.show(start)
            if not piece.new_variant():
                break
            bench.take_way(way)
            made.append(bench.work.shown)
        if not made:
            self.say("there are as many variants as there are letters · Del on the bench drops one", fault=True)
            return
        bench.show(made[0])
        letters = ", ".join(bench.letter(number) for number in made)
        self.keep_work()
        self.app.pop_screen()
        if isinstance(self.app.screen, OtherloafScreen):
            word = "variant" if len(made) == 1 else "variants"
            self.app.screen.say(f"{word} {letters} · c compares · Del drops it · [ ] goes to the others")

    def action_why(self) -> None:
        from textual.content import Content

        from adapter.screens.parts.columns import harmless
        from adapter.screens.parts.dialogs import TextDialog
        from adapter.screens.parts.why import WhyReading
        from adapter.words.adapt_report import adapt_report, adapt_text

        way, key = self.way_rows.way, self.tracks.key
        if self.focused is self.tracks and key is not None:
            self.ask(WhyReading(self.session.open_bench.now if way is None else way.after, key))
        elif self.answer is not None:
            text = "\n".join(harmless(line) for line in adapt_text(adapt_report(self.answer), self.units).split("\n"))
            self.ask(TextDialog("the ways in full", Content(text)))
