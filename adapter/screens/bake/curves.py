"""A curve with axes, under a bar like that of every other part of a screen.

textual-plotext draws it without colours; the colours are put on here, sign by sign, so that they are those of the room
the program is in, and so that a curve costs no more than a list.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.strip import Strip
from textual.widget import Widget
from textual_plotext import Plot

from adapter.screens.parts.columns import cut, harmless
from adapter.screens.parts.rows import MARK

Points = Sequence[tuple[float, float]]
COLOUR_OFF = "\x1b[0m"
_PIECES = re.compile(r"(?P<dots>[⠁-⣿]+)|(?P<rails>[─-╿]+)|(?P<text>[^⠁-⣿─-╿]+)")
LEAST_WIDTH, LEAST_HEIGHT = 12, 5


class Curve(Widget, can_focus=True):
    """One curve: its bar says what it shows, two lines cross where the wanted point lies."""

    COMPONENT_CLASSES = {"curve--bar", "curve--bar-focused", "curve--dots", "curve--rails"}
    DEFAULT_CSS = """
    Curve { width: 1fr; height: 1fr; background: $surface; color: $foreground; }
    Curve > .curve--bar { background: $bar; color: $bar-text; }
    Curve > .curve--bar-focused { background: $accent; color: $background; text-style: bold; }
    Curve > .curve--dots { color: $accent; text-style: bold; }
    Curve > .curve--rails { color: $track; }
    """

    def __init__(self, title: str, x_unit: str, y_unit: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.title = title
        self.besides: tuple[str, ...] = ("",)
        self.x_unit, self.y_unit = x_unit, y_unit
        self.points: Points = ()
        self.wanted: tuple[float, float] | None = None
        self.x_to = self.y_from = self.y_to = 0.0
        self._plot = Plot()
        self._lines: list[str] = []
        self._drawn_for: tuple[int, int] | None = None
        self._said: tuple[object, ...] = ()
        self._styles: dict[str, Style] = {}

    def show_curve(
        self,
        points: Points,
        wanted: tuple[float, float] | None,
        besides: tuple[str, ...],
        x_to: float = 0.0,
        y_from: float = 0.0,
        y_to: float = 0.0,
        title: str = "",
        units: tuple[str, str] | None = None,
    ) -> None:
        """Show another curve; `wanted` is the point it is for, `besides` say it, from the fullest to the shortest.

        `title` and `units` (across, up) are others than before where they are given.
        """
        said = (tuple(points), wanted, besides, x_to, y_from, y_to, title, units)
        if said == self._said:
            return
        self._said = said
        self.title = title or self.title
        self.x_unit, self.y_unit = units or (self.x_unit, self.y_unit)
        self.points, self.wanted, self.besides = points, wanted, besides
        self.x_to = max([x_to, *(x for x, _ in points)])
        self.y_from = y_from
        self.y_to = max([y_to, *(y for _, y in points)])
        self._drawn_for = None
        self.refresh()

    # ------------------------------------------------------------------ drawing

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        if y == 0:
            return self._bar(width)
        lines = self._drawn()
        styles = self._styles or self._look_up_styles()
        if y > len(lines):
            return Strip([]).adjust_cell_length(width, styles["text"])
        segments = [Segment(piece[0], styles[str(piece.lastgroup)]) for piece in _PIECES.finditer(lines[y - 1])]
        return Strip(segments).adjust_cell_length(width, styles["text"])

    def _look_up_styles(self) -> dict[str, Style]:
        ground = self.rich_style
        self._styles = {
            "dots": ground + self.get_component_rich_style("curve--dots", partial=True),
            "rails": ground + self.get_component_rich_style("curve--rails", partial=True),
            "text": ground,
        }
        return self._styles

    def notify_style_update(self) -> None:
        self._styles = {}
        super().notify_style_update()

    def _bar(self, width: int) -> Strip:
        focused = self.has_focus
        lead = f"{MARK} " if focused else "  "
        texts = [harmless(f"{lead}{self.title}  {beside}") for beside in self.besides]
        text = next((text for text in texts if len(text) <= width), f"{lead}{self.title}")
        name = "curve--bar-focused" if focused else "curve--bar"
        return Strip([Segment(cut(text, width), self.rich_style + self.get_component_rich_style(name, partial=True))])

    @property
    def text(self) -> str:
        """What is drawn under the bar, as plain text."""
        return "\n".join(self._drawn())

    def _drawn(self) -> list[str]:
        size = (self.size.width, self.size.height)
        if self._drawn_for != size:
            self._drawn_for = size
            self._lines = self._draw(size[0], size[1] - 1)
        return self._lines

    def _draw(self, width: int, height: int) -> list[str]:
        if not self.points or width < LEAST_WIDTH or height < LEAST_HEIGHT:
            return []
        plot = self._plot
        plot.clear_figure()
        plot.theme("clear")
        plot.plotsize(width, height)
        plot._set_size(width, height)  # plotsize alone keeps a size that was set before
        plot.plot([x for x, _ in self.points], [y for _, y in self.points], marker="braille")
        plot.xlim(0.0, self.x_to)
        plot.ylim(self.y_from, self.y_to)
        self._put_ticks(width, height)
        if self.wanted is not None:
            plot.vline(self.wanted[0])
            plot.hline(self.wanted[1])
        plot.xaxes(True, False)
        plot.yaxes(True, False)
        lines: list[str] = plot.build().split("\n")
        return [line.replace(COLOUR_OFF, "") for line in lines]

    def _put_ticks(self, width: int, height: int) -> None:
        across = ticks(0.0, self.x_to, max(3, width // 9))
        up = ticks(self.y_from, self.y_to, max(3, (height - 2) // 2))
        for put, values, unit in ((self._plot.xticks, across, self.x_unit), (self._plot.yticks, up, self.y_unit)):
            labels = [f"{value:g}" for value in values]
            labels[-1] += f" {unit}"
            put(values, labels)

    def on_resize(self, event: events.Resize) -> None:
        self.refresh()

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers from low to high, at most about `most` of them: steps of 1, 2 or 5 times a power of ten."""
    span = max(high - low, 1e-9)
    rough = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(number * step, 9) for number in range(first, last + 1)]
