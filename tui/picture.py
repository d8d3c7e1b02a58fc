"""A picture of the browser as it stands on a record, for the README: `python -m tui.picture RECORD WORDS FILE.svg`."""

from __future__ import annotations

import asyncio
import sys
from pathlib import Path

from textual.pilot import Pilot

from inventory.opening import open_record
from inventory.store.record import Record
from tui.app import Browser
from tui.screens import make_view

__all__ = ["main", "picture"]


def picture(record: Record, words: str, file: Path, *, by: str, size: tuple[int, int] = (150, 36)) -> None:
    """Write an SVG picture: Find with these words, the first part's card open at its second judgement."""
    asyncio.run(_take(record, words, file, by, size))


async def _take(record: Record, words: str, file: Path, by: str, size: tuple[int, int]) -> None:
    browser = Browser(record, by)
    async with browser.run_test(size=size) as pilot:
        browser.frame.open(make_view("find", browser.sitting, words))
        await _rest(browser, pilot)
        for key in ("enter", "down", "right"):
            await pilot.press(key)
            await _rest(browser, pilot)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(browser.export_screenshot(title="matchmark"), encoding="utf-8")


async def _rest(browser: Browser, pilot: Pilot[None]) -> None:
    """Until everything that was asked of the record has been shown."""
    for _ in range(3):
        await pilot.pause()
        await browser.workers.wait_for_complete()
    await pilot.pause()


def main(arguments: list[str]) -> int:
    """Take the picture named by a record, the words to find, and a file."""
    target, words, file = arguments
    record = open_record(target)
    try:
        picture(record, words, Path(file), by="Ines")
    finally:
        record.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
