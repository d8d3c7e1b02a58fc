"""Fonts whose glyphs have numbers (CIDs), written so that every reader gives their text back.

fpdf2 counts the codes of such a font from 0 and embeds a table from code to CID; pypdf does not read that table and
takes each half of a code for a sign. Here the code of a sign is its CID, for which PDF has a name: Identity-H.
"""

from __future__ import annotations

from typing import Any

from fpdf.fonts import Glyph, SubsetMap, TTFFont
from fpdf.output import OutputProducer, PDFFont
from fpdf.syntax import Name

__all__ = ["CidOutput", "coded_by_cid"]


def coded_by_cid(font: TTFFont) -> None:
    """Make the codes of a font its CIDs, if it has them. Call it before the font is used."""
    if font.is_cff and font.is_cid_keyed:
        font.subset = _CidSubset(font)


class _CidSubset(SubsetMap):
    def pick_glyph(self, glyph: Glyph | None) -> int | None:
        """The code of a glyph, noted as used."""
        if glyph is None:
            return None
        name = glyph.glyph_name.removeprefix("cid")
        return self._char_id_per_glyph.setdefault(glyph, int(name) if name.isdigit() else glyph.glyph_id)


class CidOutput(OutputProducer):
    """Writes the PDF, with the name for codes that are CIDs."""

    def _add_fonts(self, *objects: Any) -> Any:
        found = super()._add_fonts(*objects)
        for each in self.pdf_objs:
            if isinstance(each, PDFFont) and each.c_i_d_to_g_i_d_map is None and each.encoding is not None:
                each.encoding = Name("Identity-H")
        return found
