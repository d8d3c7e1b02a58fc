"""Reads the format code of a number cell: what its currency is, how a whole number is shown, how exact a day is. Pure.

The grammar is ECMA-376 part 1, 18.8.31 (numFmts): up to four sections, texts in quotes or after a backslash, `_x` for a
gap, `*x` for a fill, `[Red]`, `[>=100]`, `[$sign-locale]`, the digits `0 # ?`, and the letters of days.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from inventory.money import is_currency

__all__ = ["BUILT_IN", "NumberFormat", "currency_named", "number_format"]

_TOKEN = re.compile(
    r'"(?P<quoted>[^"]*)"?|\\(?P<escaped>.)|_(?P<gap>.)|\*(?P<fill>.)'
    r"|\[\$(?P<sign>[^\]-]*)(?:-(?P<locale>[^\]]*))?\]|\[(?P<elapsed>h+|m+|s+)\]|\[(?P<bracket>[^\]]*)\]"
    r"|(?P<general>General)|(?P<half>AM/PM|A/P)|(?P<power>E[+-])|(?P<digit>[0#?])|(?P<figures>[.,%/])|(?P<end>;)"
    r"|(?P<text>@)|(?P<day>y+|m+|d+|h+|s+|e+|g+|b+)|(?P<literal>.)",
    re.IGNORECASE | re.DOTALL,
)
_COMPARED = re.compile("[<>=]")
#: Formats that a file may use by number without spelling them (ECMA-376 part 1, 18.8.30). 5 to 8 and 37 to 44 depend on
#: the language of the program; these are the English ones, whose bare $ names no country.
BUILT_IN = {
    1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 5: '"$"#,##0_);("$"#,##0)', 6: '"$"#,##0_);[Red]("$"#,##0)',
    7: '"$"#,##0.00_);("$"#,##0.00)', 8: '"$"#,##0.00_);[Red]("$"#,##0.00)', 9: "0%", 10: "0.00%", 11: "0.00E+00",
    12: "# ?/?", 13: "# ??/??", 14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM",
    19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss", 22: "m/d/yy h:mm",
    37: "#,##0_);(#,##0)", 38: "#,##0_);[Red](#,##0)",
    39: "#,##0.00_);(#,##0.00)", 40: "#,##0.00_);[Red](#,##0.00)", 41: '_(* #,##0_);_(* (#,##0);_(* "-"_);_(@_)',
    42: '_("$"* #,##0_);_("$"* (#,##0);_("$"* "-"_);_(@_)', 43: '_(* #,##0.00_);_(* (#,##0.00);_(* "-"??_);_(@_)',
    44: '_("$"* #,##0.00_);_("$"* (#,##0.00);_("$"* "-"??_);_(@_)', 45: "mm:ss", 46: "[h]:mm:ss", 47: "mm:ss.0",
    48: "##0.0E+0", 49: "@",
}  # fmt: skip
#: Currencies by the locale beside their sign (Microsoft, "[MS-LCID]"; ISO 4217, both from memory).
_OF_LOCALE = {
    0x409: "USD", 0x540A: "USD", 0x1009: "CAD", 0xC0C: "CAD", 0xC09: "AUD", 0x1409: "NZD", 0x1004: "SGD", 0xC04: "HKD",
    0x80A: "MXN", 0x2C0A: "ARS", 0x340A: "CLP", 0x240A: "COP", 0x404: "TWD", 0x809: "GBP", 0x807: "CHF", 0x100C: "CHF",
    0x810: "CHF", 0x41D: "SEK", 0x414: "NOK", 0x814: "NOK", 0x406: "DKK", 0x40F: "ISK", 0x411: "JPY", 0x804: "CNY",
    0x415: "PLN", 0x405: "CZK", 0x40E: "HUF", 0x416: "BRL", 0x1C09: "ZAR",
}  # fmt: skip
_OF_LANGUAGE = {
    "en-us": "USD", "es-us": "USD", "en-ca": "CAD", "fr-ca": "CAD", "en-au": "AUD", "en-nz": "NZD", "en-sg": "SGD",
    "zh-hk": "HKD", "es-mx": "MXN", "es-ar": "ARS", "en-gb": "GBP", "de-ch": "CHF", "fr-ch": "CHF", "it-ch": "CHF",
    "sv-se": "SEK", "nb-no": "NOK", "nn-no": "NOK", "da-dk": "DKK", "is-is": "ISK", "ja-jp": "JPY", "zh-cn": "CNY",
    "pl-pl": "PLN", "cs-cz": "CZK", "hu-hu": "HUF", "pt-br": "BRL", "en-za": "ZAR",
}  # fmt: skip
#: The signs of which a locale says whose they are; other signs belong to one country whatever the locale is.
_SHARED = frozenset({"$", "¥", "￥", "kr", "kr.", "fr", "fr.", "sfr.", "sfr", "zł", "kč", "ft", "r$", "r", "£"})
_SIGNS = {"€": "EUR", "£": "GBP", "us$": "USD", "ca$": "CAD", "c$": "CAD", "a$": "AUD", "nz$": "NZD", "sfr.": "CHF",
          "sfr": "CHF", "zł": "PLN", "kč": "CZK", "r$": "BRL", "dm": "DEM", "f": "FRF", "ff": "FRF", "l.": "ITL",
          "lit.": "ITL", "lit": "ITL", "ös": "ATS", "hfl": "NLG", "pts": "ESP", "bef": "BEF"}  # fmt: skip
#: Signs that say no country: they are told as they are, and asked about.
_BARE = {"$": "$", "¥": "¥", "￥": "¥", "kr": "kr", "kr.": "kr"}
_CODE = re.compile(r"[A-Z]{3}")
#: Codes that are no more: amounts in them are never taken for another currency.
_NO_MORE = frozenset({"DEM", "FRF", "ITL", "ATS", "NLG", "BEF", "ESP", "PTE", "FIM", "IEP", "LUF", "GRD"})


@dataclass(frozen=True)
class NumberFormat:
    """What a format says of a number: `currency`: a code, or a bare sign ("$") that names no country, or "".

    `digits`: the section of positive numbers if it shows whole numbers digit by digit with leading zeros or signs
    between, as `0000000` or `0 000 000 000`; its texts and its places for digits in order. `grain`: of a format of days
    that shows no day, the least part that it shows: "month" (`mmm-yy`) or "year"; "" of all other formats. `percent`: a
    number is shown a hundred times as large, with a percent sign.
    """

    currency: str = ""
    digits: tuple[str, ...] = ()
    grain: str = ""
    percent: bool = False

    def shown(self, number: str) -> str:
        """A whole number as the format shows it; any other text, and one that the format leaves as it is, unchanged."""
        if not self.digits or not number.isdecimal():
            return number
        places = sum(1 for each in self.digits if each in ("0", "#", "?"))
        left = list(number.lstrip("0").rjust(places, "\0"))
        first = len(left) - places
        found: list[str] = []
        for each in self.digits:
            if each not in ("0", "#", "?"):
                found.append(each[1:])
                continue
            some, left = left[: first + 1], left[first + 1 :]
            first = 0
            zero = {"0": "0", "?": " "}.get(each, "")
            found.append("".join(zero if digit == "\0" else digit for digit in some))
        return "".join(found).strip()


@lru_cache(maxsize=4096)
def number_format(code: str) -> NumberFormat:
    """What a format code says; a code that is damaged says nothing."""
    sections: list[list[tuple[str, str, str]]] = [[]]
    for token in _TOKEN.finditer(code[:255]):
        kind = token.lastgroup or ""
        if kind == "locale":
            kind = "sign"
        if kind == "end":
            sections.append([])
        else:
            sections[-1].append((kind, token[kind], token["locale"] or ""))
    first = sections[0]
    currency = next((found for section in sections for each in _runs(section) if (found := _currency(*each))), "")
    if grain := _grain([text.casefold() for kind, text, _ in first if kind in ("day", "elapsed", "half")]):
        return NumberFormat(grain="" if grain in ("day", "time") else grain)
    percent = ("figures", "%") in [each[:2] for each in first]
    return NumberFormat(currency, () if currency else _digits(first), percent=percent)


def _runs(section: list[tuple[str, str, str]]) -> list[tuple[str, str]]:
    """The texts of a section, neighbours joined, each with its locale."""
    found: list[tuple[str, str]] = []
    together = False
    for kind, text, locale in section:
        if kind == "sign":
            found.append((text, locale))
        elif kind in ("quoted", "escaped", "literal"):
            if together:
                found[-1] = (found[-1][0] + text, "")
            else:
                found.append((text, ""))
        together = kind in ("quoted", "escaped", "literal")
    return found


def _currency(text: str, locale: str) -> str:
    """The currency that a text and its locale name; a bare sign if they do not say whose; "" for any other text."""
    sign = text.strip(" ()-+\u00a0\u202f").strip()
    key = sign.casefold()
    if locale and key in _SHARED and (found := _of_locale(locale)):
        return found
    return currency_named(sign)


def _of_locale(locale: str) -> str:
    if re.fullmatch("[0-9A-Fa-f]{1,8}", locale):
        return _OF_LOCALE.get(int(locale, 16) & 0xFFFF, "")
    return _OF_LANGUAGE.get(locale.split(",")[0].casefold(), "")


def currency_named(sign: str) -> str:
    """The code of a currency's sign or code, a bare sign as it is; "" if the text names no currency."""
    if _CODE.fullmatch(sign):
        return sign if sign in _NO_MORE or is_currency(sign) else ""
    return _SIGNS.get(sign.casefold(), "") or _BARE.get(sign.casefold(), "")


def _grain(letters: list[str]) -> str:
    """The least part of a day that these letters show; "time" if they show a time alone, "" if there are none."""
    if not letters:
        return ""
    clock = any(each[0] in "hs" or each in ("am/pm", "a/p") for each in letters)
    if any(each[0] == "d" for each in letters):
        return "day"
    if any(each[0] == "m" for each in letters) and not clock:
        return "month"
    if any(each[0] in "yeb" for each in letters):
        return "day" if clock else "year"
    return "time"


def _digits(section: list[tuple[str, str, str]]) -> tuple[str, ...]:
    """The places and texts of a section of plain digits with at least two zeros; empty for any other section."""
    found: list[str] = []
    for kind, text, _ in section:
        if kind == "digit":
            found.append(text)
        elif kind in ("quoted", "escaped", "literal", "sign"):
            found.append(f"'{text}")
        elif (
            (kind == "figures" and text == "/")
            or kind in ("figures", "general", "power", "text")
            or (kind == "bracket" and _COMPARED.search(text))
        ):
            return ()
    return tuple(found) if found.count("0") >= 2 else ()
