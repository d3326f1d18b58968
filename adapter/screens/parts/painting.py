"""When a screen is painted: while keys are waiting only now and then."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from textual.messages import Prune
from textual.screen import Screen
from textual.widget import Widget

if TYPE_CHECKING:
    from adapter.screens.key_order import KeyOrder

Answer = TypeVar("Answer")
PAINTED_EVERY_S = 0.03
"""How often a screen is painted while keys are waiting."""


class WithKeys(Protocol):
    """What painting asks of the app."""

    @property
    def keys(self) -> KeyOrder: ...


class PaintedScreen(Screen[Answer]):
    """A screen that lets waiting keys go first, and keeps nothing of what it painted once it is closed."""

    _painted_at = 0.0
    _is_owed = False
    """Whether a painting was left out that is still to come."""

    def _compositor_refresh(self) -> None:
        now = monotonic()
        self._is_owed = now - self._painted_at < PAINTED_EVERY_S and cast(WithKeys, self.app).keys.are_waiting
        if self._is_owed:
            self._update_timer.resume()
        else:
            super()._compositor_refresh()
            self._painted_at = now

    def _on_timer_update(self) -> None:
        super()._on_timer_update()
        if self._is_owed and self.is_current:
            self._compositor_refresh()

    async def on_prune(self, event: Prune) -> None:
        """What the parts of a closed screen have painted goes at once: no collection of garbage has to free it."""
        for part in self.walk_children(Widget):
            part._styles_cache.clear()
