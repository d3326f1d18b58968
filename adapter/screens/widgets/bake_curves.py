"""A curve with axes, under a bar like that of every other part of a screen."""

from __future__ import annotations

import math
from collections.abc import Sequence

from textual.app import ComposeResult
from textual.color import Color
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static
from textual_plotext import PlotextPlot

from adapter.screens.widgets.columns import cut, harmless
from adapter.screens.widgets.rows import MARK

Points = Sequence[tuple[float, float]]


class Curve(Vertical, can_focus=True):
    """One curve: its bar says what it shows, two lines cross where the wanted point lies."""

    DEFAULT_CSS = """
    Curve { height: 1fr; background: $surface; }
    Curve > .curve--bar { height: 1; background: $bar; color: $bar-text; }
    Curve:focus > .curve--bar { background: $accent; color: $background; text-style: bold; }
    Curve > PlotextPlot { height: 1fr; background: $surface; color: $foreground; }
    """

    def __init__(self, title: str, x_unit: str, y_unit: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.title = title
        self.besides: tuple[str, ...] = ("",)
        self.x_unit, self.y_unit = x_unit, y_unit
        self.points: Points = ()
        self.wanted: tuple[float, float] | None = None
        self.x_to = self.y_from = self.y_to = 0.0

    def compose(self) -> ComposeResult:
        yield Static(classes="curve--bar")
        yield PlotextPlot()

    def on_mount(self) -> None:
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())

    def show_curve(
        self,
        points: Points,
        wanted: tuple[float, float] | None,
        besides: tuple[str, ...],
        x_to: float = 0.0,
        y_from: float = 0.0,
        y_to: float = 0.0,
    ) -> None:
        """Show another curve; `wanted` is the point it is for, `besides` say it, from the fullest to the shortest."""
        self.points, self.wanted, self.besides = points, wanted, besides
        self.x_to = max([x_to, *(x for x, _ in points)])
        self.y_from = y_from
        self.y_to = max([y_to, *(y for _, y in points)])
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def on_focus(self) -> None:
        self._show_bar(True)

    def on_blur(self) -> None:
        self._show_bar(False)

    def _show_bar(self, focused: bool) -> None:
        lead = f"{MARK} " if focused else "  "
        width = max(1, self.size.width)
        texts = [harmless(f"{lead}{self.title}  {beside}") for beside in self.besides]
        text = next((text for text in texts if len(text) <= width), f"{lead}{self.title}")
        self.query_one(Static).update(Content(cut(text, width)))

    @property
    def text(self) -> str:
        """What is drawn, as plain text."""
        from rich.text import Text

        return Text.from_ansi(self.query_one(PlotextPlot).plt.build()).plain

    def _draw(self) -> None:
        if not self.is_mounted or self.size.width < 12 or self.size.height < 5:
            return
        self._show_bar(self.has_focus)
        plot = self.query_one(PlotextPlot)
        plt = plot.plt
        plt.clear_figure()
        plt.plotsize(self.size.width, self.size.height - 1)
        if self.points:
            xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
            plt.plot(xs, ys, marker="braille", color=self._colour("accent"))
            plt.xlim(0.0, self.x_to)
            plt.ylim(self.y_from, self.y_to)
            self._put_ticks(plt)
            if self.wanted is not None:
                plt.vline(self.wanted[0], self._colour("track"))
                plt.hline(self.wanted[1], self._colour("track"))
        plt.xaxes(True, False)
        plt.yaxes(True, False)
        plot.refresh()

    def _put_ticks(self, plt: object) -> None:
        across = ticks(0.0, self.x_to, max(3, self.size.width // 9))
        up = ticks(self.y_from, self.y_to, max(3, (self.size.height - 3) // 2))
        for put, values, unit in (("xticks", across, self.x_unit), ("yticks", up, self.y_unit)):
            labels = [f"{value:g}" for value in values]
            labels[-1] += f" {unit}"
            getattr(plt, put)(values, labels)

    def _colour(self, name: str) -> tuple[int, int, int]:
        return Color.parse(self.app.theme_variables[name]).rgb


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers from low to high, at most about `most` of them: steps of 1, 2 or 5 times a power of ten."""
    span = max(high - low, 1e-9)
    rough = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(number * step, 9) for number in range(first, last + 1)]
