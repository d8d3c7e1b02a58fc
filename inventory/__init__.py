"""A parts-and-condition record for the classic-car workshop: the library and its command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from os import PathLike

    from inventory.frames import Frames

__all__ = ["open"]


def open(target: str | PathLike[str]) -> Frames:  # noqa: A001
    """Open a record for reading as pandas tables. `target` is its path, or its address on PostgreSQL.

    It cannot write. A record of an earlier version is upgraded first, as by any command. Raises
    `inventory.errors.Refused` if there is no record.

    >>> import inventory
    >>> with inventory.open(target) as record:
    ...     record.parts["serial"].tolist()
    ['71-18806', '71-40822']
    """
    from inventory.frames import Frames  # pandas and the mapped tables cost about 0.5 s
    from inventory.opening import open_record

    return Frames(open_record(str(target)))
