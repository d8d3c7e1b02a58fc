"""The command line on a record of either engine."""

from tests.cli.conftest import _hand, file_shop, shop

__all__ = ["_hand", "file_shop", "shop"]
