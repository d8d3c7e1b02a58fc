"""What makes writing many rows at once cheaper."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["collector_resting"]


@contextmanager
def collector_resting() -> Iterator[None]:
    """No looking for circles of objects meanwhile.

    A plan of a hundred thousand rows holds some millions of objects and no circle; looking through them again and again
    takes a sixth of a read.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
