"""Reads a list's PDF: its embedded JSON, and the words on its pages, compared with what drawing it again gives."""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from PIL import Image

from inventory.condition_list.from_json import list_from_json
from inventory.condition_list.load_pictures import PictureOf, SmallPicture
from inventory.condition_list.words import CONFIDENTIAL
from inventory.condition_list.write_pdf import EMBEDDED, list_paper
from inventory.documents.read_text import open_pdf
from inventory.errors import Refused
from inventory.store.files import read_at_most

__all__ = ["compare_pages", "embedded_json", "words_of"]

_MOST = 64 * 2**20
_MOST_PAGES = 5_000
_PAGE_OF = re.compile(r"page \d+ of \d+")
#: How many words are named.
_NAMED = 12


def embedded_json(path: Path) -> dict[str, Any]:
    """The JSON that a list's PDF has embedded."""
    reader = _reader(read_at_most(path, _MOST), path)
    try:
        held = reader.attachments[EMBEDDED]
        content = json.loads(held[0])
        if not isinstance(content, dict) or len(held) != 1:
            raise ValueError
    except Exception:
        raise _no_list(path) from None
    return content


def compare_pages(path: Path, content: Mapping[str, Any], picture_of: PictureOf | None) -> tuple[list[str], list[str]]:
    """The words that drawing the list again has and its pages have not, and those that only its pages have.

    Without the record (`picture_of` None) the days in captions of pictures are not compared.
    """
    try:
        drawn = list_from_json(content)
        again = words_of(list_paper(drawn, picture_of or _blank).content(), path)
    except ValueError:
        raise _no_list(path) from None
    there = words_of(read_at_most(path, _MOST), path)
    gone, added = again - there, there - again
    if picture_of is None:  # pages may break elsewhere, so that their heads are more or fewer
        pictures = [each for item in drawn.items for each in item.evidence if each.picture]
        captions = " ".join(f"{each.when.on} (day stated)" for each in pictures)
        added -= Counter(["(day", "taken", "in)", "(camera's", "clock)"] * len(pictures))
        for word in f"{drawn.title} as of {drawn.as_of} {CONFIDENTIAL} {drawn.foot} {captions}".split():
            gone.pop(word, None)
            added.pop(word, None)
    return list(gone)[:_NAMED], list(added)[:_NAMED]


def words_of(held: bytes, path: Path) -> Counter[str]:
    """The words on the pages of a PDF, without the numbers of its pages."""
    reader = _reader(held, path)
    try:
        if len(reader.pages) > _MOST_PAGES:
            raise ValueError
        texts = [_PAGE_OF.sub("", " ".join(page.extract_text().split())) for page in reader.pages]
    except Exception:
        raise _no_list(path) from None
    return Counter(word for text in texts for word in text.split())


def _blank(_document: str, _pixels: int) -> SmallPicture:
    """A white picture in the place of one that only the record has."""
    held = io.BytesIO()
    Image.new("L", (2, 2), 255).save(held, "JPEG")
    return SmallPicture(held.getvalue())


def _reader(held: bytes, path: Path) -> Any:
    try:
        return open_pdf(held)
    except Exception:
        raise _no_list(path) from None


def _no_list(path: Path) -> Refused:
    return Refused(
        "list-not-checkable",
        f"{path} is no condition list of this program, or its pages or data cannot be read",
        where=str(path),
    )
