"""Keys are dealt with one after another: the next one waits until all that came of the one before is done.

A slow link sends keys in bursts. Without this, a key that moves the keys elsewhere, or opens a dialog, is still under
way when the next one is given to whatever had the keys before.
"""

from __future__ import annotations

import asyncio
from collections import deque
from contextlib import suppress
from time import monotonic
from typing import TYPE_CHECKING

from textual.events import Key
from textual.message import Message

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from textual import events
    from textual.app import App
    from textual.message_pump import MessagePump

LONGEST_S = 2.0
"""A key that takes longer than this no longer holds up the next."""
QUIET_ROUNDS = 2
LOOK_S = 0.02
"""How often it is looked whether what is waited for can still come."""


class KeyOrder:
    """A queue of keys and pastes in front of the app."""

    class Passed(Message, bubble=True):
        """Goes the way of a key, behind it: where it arrives, the key has been dealt with."""

        def __init__(self, arrived: asyncio.Event) -> None:
            super().__init__()
            self.arrived = arrived

    def __init__(self, app: App[None], give: Callable[[events.Event], Awaitable[None]]) -> None:
        """`give` hands an event on to whatever has the keys."""
        self._app = app
        self._give = give
        self._waiting: deque[events.Event] = deque()
        self._under_way: asyncio.Task[None] | None = None

    @property
    def is_busy(self) -> bool:
        return self._under_way is not None

    @property
    def are_waiting(self) -> bool:
        """Whether keys have come that could not be dealt with yet."""
        return bool(self._waiting)

    async def take(self, event: events.Event) -> None:
        """Hand a key on at once where none is under way, else when it is its turn."""
        if self.is_busy:
            self._waiting.append(event)
            return
        self._under_way = asyncio.create_task(self._work_off())
        await self._give(event)

    async def _work_off(self) -> None:
        try:
            await self._done()
            while self._waiting and self._app.is_running:
                handed_on, event = asyncio.Event(), self._waiting.popleft()
                self._app.call_later(self._give_and_tell, event, handed_on)
                await self._told(handed_on, self._app, monotonic() + LONGEST_S)
                if not self._is_typed_on(event):
                    await self._done()
        finally:
            self._under_way = None

    def _is_typed_on(self, event: events.Event) -> bool:
        """Whether a field takes the next key as surely as it took this one: letters of a word move no keys."""
        both = (event, self._waiting[0]) if self._waiting else ()
        letters = [each for each in both if isinstance(each, Key) and each.is_printable]
        return len(letters) == 2 and getattr(self._app.focused, "TAKES_LETTERS", False)

    async def _give_and_tell(self, event: events.Event, handed_on: asyncio.Event) -> None:
        await self._give(event)
        handed_on.set()

    async def _done(self) -> None:
        """Until whatever has the keys has nothing more to do: what a key sets going may set more going."""
        until = monotonic() + LONGEST_S
        quiet = 0
        while quiet < QUIET_ROUNDS and monotonic() < until and self._app.is_running:
            pumps = self._pumps()
            arrived = asyncio.Event()
            if pumps[0].post_message(self.Passed(arrived)):
                await self._told(arrived, pumps[0], until)
            still = any(pump.message_queue_size or pump._next_callbacks for pump in pumps)
            quiet = 0 if still or pumps != self._pumps() else quiet + 1

    def _pumps(self) -> list[MessagePump]:
        """What a key goes through: the part that has the keys, all that it stands in, the app."""
        screens = self._app.screen_stack
        if not screens:
            return [self._app]
        focused = screens[-1].focused or screens[-1]
        return [*focused.ancestors_with_self]

    @staticmethod
    async def _told(told: asyncio.Event, pump: MessagePump, until: float) -> None:
        """Wait for something that comes by way of a pump, unless that has gone meanwhile."""
        while not told.is_set() and not pump._closing and monotonic() < until:
            with suppress(TimeoutError):
                await asyncio.wait_for(told.wait(), LOOK_S)
