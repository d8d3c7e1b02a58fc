"""Lets all engines of a test run share what a statement was compiled to.

Each command in a test opens its record anew, with an engine of its own, and half its time would go into compiling the
same statements. A compiled statement depends on the kind of engine and on the version of its server, on nothing else.
"""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import util
from sqlalchemy.engine import Engine
from sqlalchemy.engine.default import DefaultDialect

__all__ = ["share_compiled"]

#: How many compiled statements are kept for a kind of engine.
_KEPT = 5000


def share_compiled(patch: pytest.MonkeyPatch) -> None:
    """Give every engine that is made from now on the compiled statements of those before it."""
    caches: dict[str, Any] = {}
    made = Engine.__init__

    def make(engine: Engine, *args: Any, **options: Any) -> None:
        made(engine, *args, **options)
        engine._compiled_cache = caches.setdefault(engine.dialect.name, util.LRUCache(_KEPT))  # type: ignore[assignment]

    def sort(dialect: Any) -> tuple[Any, ...]:
        return type(dialect), dialect.driver, getattr(dialect, "server_version_info", None)

    patch.setattr(Engine, "__init__", make)
    patch.setattr(DefaultDialect, "__eq__", lambda one, other: other is one or sort(one) == sort(other), raising=False)
    patch.setattr(DefaultDialect, "__hash__", lambda dialect: hash(dialect.name), raising=False)
