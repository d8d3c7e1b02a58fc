"""How a scanner is set, from what arrives when it reads the test code. Pure.

A scanner types as a keyboard does. Set for another country than the computer, it presses keys that mean something else
there. Tags leave out the letters that move; shifted digits break every tag. Which keys differ: the standard layouts of
the two countries, as any keyboard shows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["TEST", "Setting", "how_set"]

#: What the test code holds: the letters that move between layouts, all digits, and what tags and checks may need.
TEST = "YZAQWM-0123456789*"

_DIGITS = slice(7, 17)
#: What arrives for TEST: scanner and computer as set, and which letters and digits change.
_LAYOUTS = {
    "ZYAQWMß0123456789(": ("US", "German"),
    "ZYAQWM/0123456789}": ("German", "US"),
    "YWQAZ?)à&é\"'(-è_ç8": ("US", "French"),
    "YWQAZ:6)!@#$%^&*(\\": ("French", "US"),
}
_SHIFTED = {
    "YZAQWM-)!@#$%^&*(*": "US",
    'YZAQWM-=!"§$%&/()*': "German",
    "YZAQWM-à&é\"'(-è_ç*": "French",
}


@dataclass(frozen=True)
class Setting:
    """Whether labels will be read as they are, what is found, and what to do. `suffix`: what the scanner sends last."""

    ok: bool
    says: str
    mend: str = ""
    suffix: str = ""


def how_set(scanned: str) -> Setting:
    """What the scanner's settings are, from the text that arrived, with the key that ended it if that is seen."""
    suffix = "Tab" if scanned.endswith("\t") else "Enter" if scanned.endswith(("\r", "\n")) else ""
    return replace(_how_set(scanned.strip("\r\n\t ")), suffix=suffix)


def _how_set(text: str) -> Setting:
    if not text:
        return Setting(False, "Nothing arrived", "is the scanner in keyboard mode, and was this window in front?")
    if text == TEST:
        return Setting(True, "The scanner is set right: letters, digits, dash and star arrive as they are")
    if text.upper() == TEST:
        return Setting(True, "Small letters arrive: labels are read all the same", "Caps Lock may be on")
    for arrives, (scanner, computer) in _LAYOUTS.items():
        if text in (arrives, arrives.swapcase()):
            spoilt = arrives[_DIGITS] != TEST[_DIGITS]
            so = "digits arrive as signs, so no label can be read" if spoilt else "labels are read all the same"
            says = f"The scanner is set for a {scanner} keyboard, the computer for a {computer} one: {so}"
            return Setting(not spoilt, says, f"set the scanner to {computer}: its handbook has a code for that")
    for arrives, country in _SHIFTED.items():
        if text in (arrives, arrives.lower()):
            says = f"Digits arrive shifted ({country} keyboard), so no label can be read"
            return Setting(False, says, "Shift or Caps Lock is stuck, or the scanner sends it: see its handbook")
    if TEST in text:
        sides = zip(text.split(TEST, 1), ("before", "after"), strict=True)
        added = " and ".join(f'"{extra}" {where} it' for extra, where in sides if extra)
        return Setting(False, f"The scanner adds {added}", "switch prefix and suffix off; Enter or Tab may stay")
    if TEST.startswith(text) or TEST.endswith(text):
        return Setting(False, f"Only {len(text)} of {len(TEST)} characters arrived", "scan again, closer")
    says = f'"{text[:40]}" arrived, which is the test code on no keyboard known here'
    return Setting(False, says, "scan the test code, not another label; then set scanner and computer to one country")
