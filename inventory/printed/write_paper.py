"""A PDF that is printed: A4 with a running head and "page 2 of 5", or a roll with one label on each page.

All lengths are mm, sizes of type are points. Everything is black on white, so a page survives a grey printer and a
copier. Noto Sans is embedded as far as it is used; its bold is the regular drawn with an outline, because cutting a
bold one out of the variable font takes seconds. An A4 page has what PDF/A asks for (fonts and the profile of the
colours embedded, title, language), but does not say that it is PDF/A: no validator has read it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import nullcontext
from typing import Any, Literal

from fpdf import FPDF
from fpdf.enums import OutputIntentSubType, TextMode
from fpdf.output import PDFICCProfile
from fpdf.util import builtin_srgb2014_bytes

from inventory.printed.cid_keyed import CidOutput, coded_by_cid
from inventory.printed.lines import broken
from inventory.printed.load_fonts import CJK_EXTRA, cjk_fonts, sans
from inventory.store.words.text import clean

__all__ = ["LEAST", "MARGIN", "Paper"]

#: The smallest type (points) on a page that is read standing at a car.
LEAST = 9.0
#: Free space on each side of an A4 page (mm).
MARGIN = 14.0
_A4 = (210.0, 297.0)
_HEAD = MARGIN - 6  # where the running head stands
_OF_FOOT = 7.0  # more free space at the bottom of a page with a foot
_RIGHT = 0.34  # the least share of its width for day and number of the page
_LINE = 1.35  # the height of a line, as a multiple of the size of its type
_MM_PER_POINT = 25.4 / 72
_QUIET = 4  # modules left free around a QR code (ISO/IEC 18004)
#: More than stands on any line: of a text that is cut, the rest is not measured.
_ON_A_LINE = 1000
_OUTLINE = 0.022  # the outline of bold type, as a multiple of its size
#: Stands for a sign that no installed font has.
_NO_SIGN = "\u00a4"


class Paper(FPDF):
    """Pages to print. `title` and `day` stand in the head of each page, `foot` at its foot, in one line or two.

    `size` (width, height) makes pages without head and foot.

    `missing` has the signs that no font here has, in the order of their use.
    """

    def __init__(self, title: str, day: str = "", *, foot: str = "", size: tuple[float, float] | None = None) -> None:
        super().__init__(unit="mm", format=size or _A4)
        self._title, self._day, self._foot, self._is_plain = title, day, foot, size is not None
        self._has_more_fonts = False
        self.str_alias_nb_pages = ""  # else "{nb}" in somebody's words would become the number of pages
        self.missing: dict[str, None] = {}
        self.add_font("sans", "", sans())
        self.set_font("sans", "", 10)
        self._signs = set(self.fonts["sans"].cmap)  # type: ignore[union-attr]
        self._widths: dict[str, float] = {}
        self.set_lang("en-GB")
        self.set_title(self.printable(title))
        self.set_creator("matchmark")
        self.set_margin(0 if self._is_plain else MARGIN)
        self.set_auto_page_break(auto=not self._is_plain, margin=MARGIN + (_OF_FOOT if foot else 0))
        self.c_margin = 0

    def header(self) -> None:
        """The running head: title, and a rule. Day and number of the page follow when all pages are there."""
        if self._is_plain:
            return
        self.set_xy(self.l_margin, _HEAD)
        self.words(self._title, LEAST, width=self.epw - self._head_right, bold=True)
        self.set_line_width(0.2)
        self.line(self.l_margin, MARGIN - 1, self.w - self.r_margin, MARGIN - 1)
        self.set_xy(self.l_margin, MARGIN + 1)

    def footer(self) -> None:
        """The foot of the page."""
        if not self._foot:
            return
        self.set_xy(self.l_margin, self.h - self.b_margin + 1)
        for line in self._foot.splitlines():
            self.words(line, LEAST)

    @property
    def _head_right(self) -> float:
        """The width (mm) for day and number of the page in the running head."""
        return max(self.epw * _RIGHT, self.width(f"{self._day}   page 9999 of 9999", LEAST) + 2)

    def words(
        self,
        text: str,
        size: float = 10,
        *,
        bold: bool = False,
        width: float = 0,
        lines: int = 1,
        align: Literal["L", "C", "R"] = "L",
    ) -> float:
        """Write text at the current position and go below it; return its height (mm).

        `width`: of the block, by default to the right margin. `lines`: how many at most, then it is cut with three
        dots; 0: as many as it takes, over the page's end if need be.
        """
        left = self.x
        across = width or self.w - self.r_margin - left
        return self.write_lines(self.lines_of(text, size, across, lines), size, across, bold=bold, align=align)

    def lines_of(self, text: str, size: float, across: float, most: int = 0) -> list[str]:
        """The lines of a text in a width (mm): broken between words, at most `most` (0: all)."""
        said = self.printable(text[: most * _ON_A_LINE or None])
        return broken(said, across / size, self._width, most)

    def write_lines(
        self,
        lines: Sequence[str],
        size: float,
        across: float,
        *,
        bold: bool = False,
        align: Literal["L", "C", "R"] = "L",
    ) -> float:
        """Write lines as `lines_of` gives them at the current position and go below; return their height (mm)."""
        self.set_font("sans", "", size)
        left, high = self.x, self.line_height(size)
        with self.local_context(**_bold(size)) if bold else nullcontext():
            for line in lines:
                self.set_x(left)
                self.cell(across, high, line, align=align, new_x="LEFT", new_y="NEXT")
        return high * len(lines)

    def line_height(self, size: float) -> float:
        """The height (mm) of a line of type of this size."""
        return size * _MM_PER_POINT * _LINE

    def height(self, text: str, size: float, width: float, lines: int = 0) -> float:
        """The height (mm) that `words` takes for this text."""
        return self.line_height(size) * len(self.lines_of(text, size, width, lines))

    def fits(self, text: str, size: float, width: float) -> bool:
        """Whether text of this size stands on one line of a width."""
        return self.width(text, size) <= width

    def width(self, text: str, size: float) -> float:
        """The width (mm) of text on one line."""
        return self._width(self.printable(text)) * size

    @property
    def room(self) -> float:
        """The height (mm) that is left on this page."""
        return self.page_break_trigger - self.y

    def keep(self, high: float) -> None:
        """Go to a new page if so much (mm) does not stand on this one; what is higher than a page may begin here."""
        if high > self.room and high <= self.eph - 20:
            self.add_page()

    def heading(self, text: str, size: float = 13, *, level: int = 0, below: float = 20, bookmark: str = "") -> None:
        """A heading with its bookmark in the outline; `below`: what stands under it (mm) and must be on its page."""
        self.keep(below + 3 + self.height(text, size, self.epw))
        if self.y > MARGIN + 2:
            self.ln(3 if level == 0 else 2)
        self.start_section(self.printable(bookmark or text), level, strict=False)
        self.words(text, size, bold=True, lines=0)
        self.ln(1)

    def attach(self, name: str, held: bytes, media_type: str, says: str) -> None:
        """Embed a file in the PDF."""
        self.embed_file(bytes=held, basename=name, mime_type=media_type, desc=says, compress=True)

    def box(self, x: float, y: float, side: float = 3.5) -> None:
        """An empty box to tick by hand."""
        self.set_line_width(0.3)
        self.rect(x, y, side, side)

    def qr(self, coded: str, x: float, y: float, side: float) -> None:
        """A QR code with its quiet zone, in a square (mm): black rectangles, sharp at any resolution."""
        import segno

        rows = [list(row) for row in segno.make_qr(coded, error="m").matrix]
        module = side / (len(rows) + 2 * _QUIET)
        self.set_fill_color(0)
        for down, row in enumerate(rows):
            dark = "".join("1" if one else "0" for one in row)
            for run in re.finditer("1+", dark):
                at = x + (_QUIET + run.start()) * module, y + (_QUIET + down) * module
                self.rect(*at, (run.end() - run.start()) * module, module, style="F")

    def printable(self, text: str) -> str:
        """Text as it is printed: without control characters; a sign that no font has is replaced, and noted."""
        said = clean(text)
        if any(ord(sign) not in self._signs for sign in said) and not self._has_more_fonts:
            self._add_more_fonts()
        lost = {sign for sign in said if ord(sign) not in self._signs}
        self.missing.update(dict.fromkeys(sorted(lost)))
        return "".join(_NO_SIGN if sign in lost else sign for sign in said)

    def missing_sentence(self) -> str:
        """What could not be printed, and what to install; "" if everything was."""
        if not self.missing:
            return ""
        signs = " ".join(list(self.missing)[:12])
        return f"Printed as {_NO_SIGN}, since no font here has it: {signs}. Chinese, Japanese, Korean: {CJK_EXTRA}"

    def content(self) -> bytes:
        """The finished PDF."""
        for number in range(1, 0 if self._is_plain else self.pages_count + 1):
            self.page = number
            self.set_font("sans", "", 1)  # so that the next size is written on this page too
            self.set_xy(self.w - self.r_margin - self._head_right, _HEAD)
            self.words(f"{self._day}   page {number} of {self.pages_count}".strip(), LEAST, align="R")
        if not self._is_plain and not self.output_intents:
            colours = PDFICCProfile(contents=builtin_srgb2014_bytes(), n=3, alternate="DeviceRGB")
            self.add_output_intent(OutputIntentSubType.PDFA, "sRGB", dest_output_profile=colours, info="sRGB2014")
        return bytes(self.output(output_producer_class=CidOutput))

    def _width(self, text: str) -> float:
        """The width (mm) of text of one point; no sign moves its neighbours, so each is measured once."""
        wide = 0.0
        for sign in text:
            if sign not in self._widths:
                self._widths[sign] = self.get_string_width(sign) / self.font_size_pt
            wide += self._widths[sign]
        return wide

    def _add_more_fonts(self) -> None:
        self._has_more_fonts = True
        size, names = self.font_size_pt, []
        for number, path in enumerate(cjk_fonts()):
            names.append(f"cjk{number}")
            self.add_font(names[-1], "", path)
            coded_by_cid(self.fonts[names[-1]])  # type: ignore[arg-type]
            self._signs |= set(self.fonts[names[-1]].cmap)  # type: ignore[union-attr]
        self.set_fallback_fonts(names, exact_match=False)
        self.set_font("sans", "", size)


def _bold(size: float) -> dict[str, Any]:
    return {"text_mode": TextMode.FILL_STROKE, "line_width": _OUTLINE * size * _MM_PER_POINT}
