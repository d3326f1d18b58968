"""Garbage is collected while no key is under way, rather than in the middle of one, which would wait for it."""

from __future__ import annotations

import asyncio
import gc

BY_ITSELF = (700, 10, 60)
"""When Python collects by itself, see `gc.set_threshold`: everything only after a long time without rest."""
REST_S = 0.05
"""How long no key has been under way when it is time to collect."""
WORTH_IT = 4
"""So many collections of what is young make one of everything worth its time."""


class Tidying:
    """Collects once keys have been at rest for a moment."""

    def __init__(self) -> None:
        self._planned: asyncio.TimerHandle | None = None

    def begin(self) -> None:
        gc.set_threshold(*BY_ITSELF)

    def keys_rest(self) -> None:
        """The last key that came has been dealt with."""
        self.keys_go_on()
        if gc.get_count()[2] >= WORTH_IT:
            self._planned = asyncio.get_running_loop().call_later(REST_S, gc.collect)

    def keys_go_on(self) -> None:
        """A key has come: a collection has to wait."""
        if self._planned is not None:
            self._planned.cancel()
            self._planned = None
