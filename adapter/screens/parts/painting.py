"""When a screen is painted: while keys are waiting only now and then."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from textual.messages import Prune
from textual.screen import Screen
from textual.widget import Widget

if TYPE_CHECKING:
    from adapter.screens.key_order import KeyOrder

Answer = TypeVar("Answer")


class WithKeys(Protocol):
    """What painting asks of the app."""

    @property
    def keys(self) -> KeyOrder: ...


class PaintedScreen(Screen[Answer]):
    """A screen that lets waiting keys go first, and keeps nothing of what it painted once it is closed."""

    def _compositor_refresh(self) -> None:
        if cast(WithKeys, self.app).keys.may_paint():
            super()._compositor_refresh()
        else:
            self._repaint_required = True
            self._update_timer.resume()

    async def on_prune(self, event: Prune) -> None:
        """What the parts of a closed screen have painted goes at once: no collection of garbage has to free it."""
        for part in self.walk_children(Widget):
            part._styles_cache.clear()
