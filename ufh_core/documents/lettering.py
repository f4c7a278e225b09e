"""How wide a text is on paper, without asking the machine for its fonts.

Widths are advance widths of a wide sans-serif face in em, rounded up, so that a box that holds the
estimate holds the text in any common face. Source: measured on a free sans-serif font.
"""

from __future__ import annotations

import unicodedata

EM_PER_CAP_HEIGHT = 1.37
BOLD_FACTOR = 1.12
_WIDTH_GROUPS = {
    0.28: "'ijl",
    0.30: "IJ",
    0.33: " ,.·",
    0.36: "/:;\\|f-",
    0.40: "()[]t!²³r",
    0.50: '"*_`°–sz',
    0.56: "?cL",
    0.60: "Fkvxy",
    0.64: "PTYaoeESbdghnpqu$0123456789{}",
    0.70: "KAVBRXZC",
    0.79: "UHNDG&OQ",
    0.85: "w#+<=>^~",
    1.00: "M%mW@—…",
}
_WIDTHS = {letter: width for width, letters in _WIDTH_GROUPS.items() for letter in letters}


def text_width(text: str, height_mm: float, bold: bool = False) -> float:
    """Width [mm] of `text` with capitals `height_mm` high."""
    em = sum(_letter_width(letter) for letter in text)
    return em * height_mm * EM_PER_CAP_HEIGHT * (BOLD_FACTOR if bold else 1.0)


def reach_mm(text: str, height_mm: float) -> tuple[float, float]:
    """Lowest and highest [mm] that the letters of `text` reach over their baseline, capitals `height_mm` high.

    Source: measured on a free sans-serif font, rounded outwards; letters beyond ASCII may carry accents.
    """
    plain = all(ord(letter) < 128 or letter in "·°²³½¼¾–" for letter in text)
    deep = not plain or any(letter in "gjpqyQ,;()[]{}|/_@$" for letter in text)
    return (-0.34 * height_mm if deep else -0.03 * height_mm, (1.07 if plain else 1.45) * height_mm)


def wrapped(text: str, width_mm: float, height_mm: float, most_lines: int = 99, bold: bool = False) -> tuple[str, ...]:
    """`text` in lines of at most `width_mm`; what is over `most_lines` ends in an ellipsis.

    >>> wrapped("living room", 12, 2.0)
    ('living', 'room')
    """
    lines = [""]
    for word in clean(text).split(" "):
        for part in _parts(word, width_mm, height_mm, bold):
            longer = f"{lines[-1]} {part}".strip()
            if lines[-1] and text_width(longer, height_mm, bold) > width_mm:
                lines.append(part)
            else:
                lines[-1] = longer
    if len(lines) > most_lines:
        last = lines[most_lines - 1]
        while last and text_width(last + "…", height_mm, bold) > width_mm:
            last = last[:-1]
        lines = [*lines[: most_lines - 1], last.rstrip() + "…"]
    return tuple(lines)


def clean(text: str) -> str:
    """`text` on one line, without control characters and lone surrogates that no drawing file can hold."""
    spaced = "".join(" " if letter.isspace() else letter for letter in text)
    kept = "".join(letter for letter in spaced if unicodedata.category(letter) not in ("Cc", "Cs", "Cn", "Co"))
    return " ".join(kept.split())


def _parts(word: str, width_mm: float, height_mm: float, bold: bool) -> list[str]:
    """`word`, cut where it is wider than a line."""
    parts = [""]
    for letter in word:
        if parts[-1] and text_width(parts[-1] + letter, height_mm, bold) > width_mm:
            parts.append("")
        parts[-1] += letter
    return parts


def _letter_width(letter: str) -> float:
    if letter in _WIDTHS:
        return _WIDTHS[letter]
    if unicodedata.category(letter).startswith("M"):
        return 0.0
    base = unicodedata.normalize("NFD", letter)[0]
    if base in _WIDTHS:
        return _WIDTHS[base]
    if unicodedata.east_asian_width(letter) in ("W", "F"):
        return 1.0
    return 0.85 if letter.isupper() else 0.72
