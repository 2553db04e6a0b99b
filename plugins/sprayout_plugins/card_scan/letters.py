"""Capital letters and digits as dots, for the overlay: no font, no library."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["WIDTH", "letters"]

_SIZE = 2
WIDTH = 4 * _SIZE
"""How far one letter is from the next, pixels."""

# five rows of three dots each, the left dot counting 4
_SHAPES = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71717", "4": "55711", "5": "74717", "6": "74757",
    "7": "71122", "8": "75757", "9": "75717", "A": "25755", "B": "65656", "C": "34443", "D": "65556",
    "E": "74647", "F": "74644", "G": "34553", "H": "55755", "I": "72227", "J": "11152", "K": "55655",
    "L": "44447", "M": "57755", "N": "65555", "O": "25552", "P": "65644", "Q": "25563", "R": "65655",
    "S": "34216", "T": "72222", "U": "55557", "V": "55552", "W": "55775", "X": "55255", "Y": "55222",
    "Z": "71247", "-": "00700", ".": "00002", " ": "00000",
}  # fmt: skip


def letters(text: str) -> npt.NDArray[np.bool_]:
    """Return a line of text as dots, (rows, columns); letters without a shape are left blank."""
    rows = [
        [bool(int(_SHAPES.get(letter, "00000")[row]) >> dot & 1) for letter in text for dot in (3, 2, 1, 0)]
        for row in range(5)
    ]
    drawn = np.pad(np.array(rows, dtype=bool).reshape(5, -1), 1)
    return np.kron(drawn, np.ones((_SIZE, _SIZE), dtype=bool))
