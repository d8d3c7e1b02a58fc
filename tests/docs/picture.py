"""Draws the picture of the README from the demo's record. To draw it anew: python -m tests.docs.picture

The clock stands still and tags are drawn from a seed, so that it comes out the same each time.
"""

from __future__ import annotations

import random
import tempfile
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from unittest.mock import patch

from inventory.cli import main
from inventory.opening import open_record
from tests.docs.readme import NOON, README
from tui.picture import picture

PICTURE = README.parent / "demo_db" / "readme" / "browser.svg"


def drawn(folder: Path) -> str:
    """The picture, drawn from a demo that is built in a folder."""
    with (
        patch("inventory.store.days.clock.now", lambda: NOON),
        patch("secrets.token_bytes", random.Random(1972).randbytes),
        redirect_stdout(StringIO()),
    ):
        assert main(["demo", str(folder / "demo"), "--by", "Ines"]) == 0
        record = open_record(str(folder / "demo" / "workshop.db"))
        picture(record, "71-40822", folder / "browser.svg", by="Ines")
        record.close()
    return (folder / "browser.svg").read_text(encoding="utf-8")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as empty:
        PICTURE.write_text(drawn(Path(empty)), encoding="utf-8")
