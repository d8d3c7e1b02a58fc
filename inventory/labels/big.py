"""A tag in large letters, to be copied onto a label by hand where there is no printer. Pure."""

from __future__ import annotations

__all__ = ["big_lines"]

_GLYPHS = {
    "0": ".##. #..# #..# #..# .##.",
    "1": ".#. ##. .#. .#. ###",
    "2": "###. ...# .##. #... ####",
    "3": "###. ...# .##. ...# ###.",
    "4": "#..# #..# #### ...# ...#",
    "5": "#### #... ###. ...# ###.",
    "6": ".##. #... ###. #..# .##.",
    "7": "#### ...# ..#. .#.. .#..",
    "8": ".##. #..# .##. #..# .##.",
    "9": ".##. #..# .### ...# .##.",
    "C": ".### #... #... #... .###",
    "D": "###. #..# #..# #..# ###.",
    "E": "#### #... ###. #... ####",
    "F": "#### #... ###. #... #...",
    "H": "#..# #..# #### #..# #..#",
    "J": "..## ...# ...# #..# .##.",
    "K": "#..# #.#. ##.. #.#. #..#",
    "N": "#...# ##..# #.#.# #..## #...#",
    "P": "###. #..# ###. #... #...",
    "R": "###. #..# ###. #.#. #..#",
    "T": "##### ..#.. ..#.. ..#.. ..#..",
    "V": "#...# #...# #...# .#.#. ..#..",
    "X": "#...# .#.#. ..#.. .#.#. #...#",
    "-": "... ... ### ... ...",
}


def big_lines(tag: str) -> list[str]:
    """A tag in five lines of at most 74 characters. What it is made of is the letter itself, so none is misread."""
    rows = [[] for _ in range(5)]  # type: list[list[str]]
    for sign in tag:
        for row, dots in zip(rows, _GLYPHS[sign].split(), strict=True):
            row.append(dots.replace("#", sign * 2).replace(".", "  "))
    return [" ".join(row).rstrip() for row in rows]
