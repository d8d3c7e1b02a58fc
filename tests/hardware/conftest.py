"""The command line on a workshop's record, as the tests of commands have it."""

from __future__ import annotations

from tests.cli.conftest import _hand, file_shop, shop

__all__ = ["_hand", "file_shop", "shop"]
