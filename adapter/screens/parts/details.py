"""A few lines about what is highlighted."""

from __future__ import annotations

from textwrap import wrap

from textual.content import Content
from textual.widget import Widget

from adapter.screens.parts.columns import harmless


class Details(Widget):
    """A few lines about what is highlighted: plain text, wrapped, never markup."""

    DEFAULT_CSS = """
    Details { height: 3; background: $surface; color: $foreground; padding: 0 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.parts: tuple[tuple[str, bool], ...] = ()

    def tell(self, *parts: tuple[str, bool]) -> None:
        """Sentences, each with whether it warns; empty ones are left out."""
        sentences = tuple((harmless(text), warns) for text, warns in parts if text)
        if sentences != self.parts:
            self.parts = sentences
            self.refresh()

    @property
    def text(self) -> str:
        return "\n".join(text for text, _ in self.parts)

    def render(self) -> Content:
        width, height = self.size.width - 2, self.size.height
        lines: list[tuple[str, bool]] = []
        for text, warns in self.parts:
            wrapped = wrap(f"! {text}" if warns else text, max(10, width))
            lines += [(line, warns) for line in wrapped]
        if len(lines) > height:
            last, warns = lines[height - 1]
            lines = [*lines[: height - 1], (shorten(last, width - 14) + " … w: more", warns)]
        styled = [Content.styled(line, "bold $warning") if warns else Content(line) for line, warns in lines]
        return Content("\n").join(styled)


def shorten(text: str, width: int) -> str:
    """As many whole words as fit."""
    return text if len(text) <= width else text[: max(1, width)].rpartition(" ")[0]
