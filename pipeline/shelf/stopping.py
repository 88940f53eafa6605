"""The key that stops a long run: heard between two tasks, never in the midst of one."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager

_KEY = {signal.SIGINT}


class StopKey:
    """Whether the key was pressed since it was held back."""

    def __init__(self) -> None:
        self._pressed = False

    def pressed(self) -> bool:
        """Whether it was; once true, it stays so."""
        if not self._pressed and signal.SIGINT in signal.sigpending():
            signal.sigwait(_KEY)
            self._pressed = True
        return self._pressed


@contextmanager
def stop_key() -> Iterator[StopKey]:
    """Hold the key back in this thread, and in processes started meanwhile, whose end their parent sees to.

    A second press, after the block, interrupts as usual.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _KEY)
    key = StopKey()
    try:
        yield key
    finally:
        key.pressed()
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
