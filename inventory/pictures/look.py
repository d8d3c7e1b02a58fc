"""What was read of each picture of a folder, and what somebody answered about them. Plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

__all__ = ["NO_CAMERA", "Answers", "Look", "shown_camera"]

NO_CAMERA = "no camera"
"""How the camera of pictures that name none is written."""


@dataclass(frozen=True)
class Look:
    """A file of the folder. `name`: its path within the folder; `codes`: what the QR codes in it say.

    `taken`: by the camera's clock, without a zone unless the camera wrote one; `by_camera`: false if it is the file's
    time. `pixels`: see `digest_of_pixels`. `why_not`: why it was not read; its time may be known all the same.
    """

    name: str
    digest: str = ""
    size: int = 0
    taken: datetime | None = None
    by_camera: bool = True
    camera: str = ""
    codes: tuple[str, ...] = ()
    pixels: str = ""
    why_not: str = ""


@dataclass(frozen=True)
class Answers:
    """What somebody answered.

    `give`: the part (tag) that begins at a picture. `leave`: pictures to leave out. `clocks`: what is to be added to
    the times of a camera; under "" to those of every camera without its own. `hour`: which of the repeated hours.
    """

    give: Mapping[str, str] = field(default_factory=dict)
    leave: frozenset[str] = frozenset()
    clocks: Mapping[str, timedelta] = field(default_factory=dict)
    hour: str = ""
    shows: str = "whole"

    def clock_of(self, camera: str) -> timedelta | None:
        """What is to be added to the times of a camera; None if nobody said anything about its clock."""
        words = shown_camera(camera).casefold()
        named = [shift for name, shift in self.clocks.items() if name and name.casefold() in words]
        return named[0] if named else self.clocks.get("")


def shown_camera(camera: str) -> str:
    """A camera's name for people."""
    return camera or NO_CAMERA
