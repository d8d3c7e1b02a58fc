"""Reads the text of a document, as far as a program can."""

from __future__ import annotations

import io
import logging
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pypdf import PdfReader

__all__ = ["open_pdf", "text_of"]

_PDF_PAGES = 50


def open_pdf(held: bytes) -> PdfReader:
    """A PDF, opened. Raises whatever pypdf raises for what is none; nothing is logged."""
    from pypdf import PdfReader

    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    return PdfReader(io.BytesIO(held))


def text_of(held: bytes, media_type: str) -> str | None:
    """The text of a document, of a PDF that of its first pages; None if it cannot be read: a picture, a scan."""
    if media_type.startswith("text/"):
        return held.decode("utf-8", "replace")
    if media_type != "application/pdf":
        return None
    try:
        pages = [page.extract_text() for page in open_pdf(held).pages[:_PDF_PAGES]]
    except Exception:  # a library that reads anything raises anything
        return None
    return "\n".join(pages) if any(page.strip() for page in pages) else None
