"""Letters five lines high, for a screen that is read from two metres: what chord symbols and counts need."""

from __future__ import annotations

ROWS = 5
# Each glyph's five rows, from the top; a dot is empty. Drawn by us.
_GLYPHS = {
    "0": ".##. #..# #..# #..# .##.",
    "1": ".#. ##. .#. .#. ###",
    "2": "###. ...# .##. #... ####",
    "3": "###. ...# .##. ...# ###.",
    "4": "#..# #..# #### ...# ...#",
    "5": "#### #... ###. ...# ###.",
    "6": ".### #... ###. #..# .##.",
    "7": "#### ...# ..#. .#.. .#..",
    "8": ".##. #..# .##. #..# .##.",
    "9": ".##. #..# .### ...# ###.",
    "A": ".##. #..# #### #..# #..#",
    "B": "###. #..# ###. #..# ###.",
    "C": ".### #... #... #... .###",
    "D": "###. #..# #..# #..# ###.",
    "E": "#### #... ###. #... ####",
    "F": "#### #... ###. #... #...",
    "G": ".### #... #.## #..# .###",
    "N": "#..# ##.# #.## #..# #..#",
    "M": "#...# ##.## #.#.# #...# #...#",
    "a": ".... .##. #..# #..# .###",
    "b": "#... #... ###. #..# ###.",
    "d": "...# ...# .### #..# .###",
    "g": ".### #..# .### ...# ###.",
    "i": "# . # # #",
    "j": "..# ... ..# #.# .#.",
    "l": "# # # # #",
    "m": "..... ##.#. #.#.# #.#.# #.#.#",
    "o": ".... .##. #..# #..# .##.",
    "s": ".... .### ##.. ..## ###.",
    "t": ".#. ### .#. .#. .##",
    "u": ".... #..# #..# #..# .###",
    "#": ".#.#. ##### .#.#. ##### .#.#.",
    "/": "...# ..#. ..#. .#.. #...",
    "(": ".# #. #. #. .#",
    ")": "#. .# .# .# #.",
    "+": "... .#. ### .#. ...",
    "-": "... ... ### ... ...",
    ".": ". . . . #",
    ":": ". # . # .",
    "°": "### #.# ### ... ...",
    " ": ".. .. .. .. ..",
}
GLYPHS = {letter: tuple(rows.split()) for letter, rows in _GLYPHS.items()}
BLANK = GLYPHS[" "]


def big(text: str, ink: str = "█") -> list[str]:
    """Return *text* as five lines; each dot of a glyph is two columns wide, as terminals' cells are tall."""
    lines = []
    for row in range(ROWS):
        glyphs = (GLYPHS.get(letter, GLYPHS.get(letter.upper(), BLANK))[row] for letter in text)
        lines.append("  ".join(glyph.replace("#", ink * 2).replace(".", "  ") for glyph in glyphs))
    return lines


def width(text: str) -> int:
    """Return how many columns *text* takes in big type."""
    return len(big(text)[0]) if text else 0
