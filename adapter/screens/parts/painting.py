"""When a screen is painted: while keys are waiting only now and then."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from textual.screen import Screen

if TYPE_CHECKING:
    from adapter.screens.key_order import KeyOrder

Answer = TypeVar("Answer")


class WithKeys(Protocol):
    """What painting asks of the app."""

    @property
    def keys(self) -> KeyOrder: ...


class PaintedScreen(Screen[Answer]):
    """A screen that lets waiting keys go first."""

    def _compositor_refresh(self) -> None:
        if cast(WithKeys, self.app).keys.may_paint():
            super()._compositor_refresh()
        else:
            self._repaint_required = True
            self._update_timer.resume()
