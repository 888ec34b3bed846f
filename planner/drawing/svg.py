"""SVG as text: numbers short and always written alike, words always escaped."""

import html
import unicodedata
from collections.abc import Iterable

import attrs
import numpy as np
from numpy.typing import ArrayLike

from planner.drawing.ink import FONT, INK, PAPER

_WIDTHS = ((" ", 0.2), ("iIjl.,:;'|·", 0.27), ("t!()[]-/fr", 0.36), ("MWmw@%—", 0.84), ("…", 0.96))
_LAST_WESTERN, _FIRST_SQUARE = 0x58F, 0x2E80


def element(tag: str, *children: str, **attributes: str | float | None) -> str:
    """Return one element; `stroke_width` becomes stroke-width, None is left out."""
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for name, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return f"<{tag}{written}>{inside}</{tag}>" if inside else f"<{tag}{written}/>"


def document(width: float, height: float, *children: str) -> str:
    """Return a whole picture, `width` by `height` points."""
    return element(
        "svg",
        *children,
        xmlns="http://www.w3.org/2000/svg",
        width=width,
        height=height,
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FONT,
    )


@attrs.frozen
class Letters:
    """How words are written: size [pt], weight (500 and up), colour, halo width [pt]."""

    size: float = 9.0
    weight: int = 500
    fill: str = INK
    halo: float = 0.0


def words(text: str, x: float, y: float, letters: Letters = Letters(), anchor: str = "start") -> str:
    """Return a line of text whose baseline starts at x, y; a halo keeps it legible over lines."""
    halo = letters.halo or None
    return element(
        "text",
        printable(text),
        x=x,
        y=y,
        font_size=letters.size,
        font_weight=letters.weight,
        text_anchor=anchor,
        fill=letters.fill,
        stroke=PAPER if halo else None,
        stroke_width=halo,
        stroke_linejoin="round" if halo else None,
        paint_order="stroke" if halo else None,
    )


def polyline(points: ArrayLike, *, closed: bool = False) -> str:
    """Return path data through (n, 2) points."""
    array = np.asarray(points, dtype=float)
    steps = " L".join(f"{number(x)} {number(y)}" for x, y in array)
    return f"M{steps}{' Z' if closed else ''}" if len(array) else ""


def polylines(parts: Iterable[ArrayLike], *, closed: bool = False) -> str:
    """Return path data through several runs of points."""
    return " ".join(data for part in parts if (data := polyline(part, closed=closed)))


def text_width(text: str, size: float, weight: int = 500) -> float:
    """Return about how wide a line of text is, in points; rather too wide."""
    units = sum(_letter_width(letter) for letter in text)
    return units * size * (1.0 + 0.00022 * (weight - 500))


def shortened(text: str, letters: int) -> str:
    """Return the text on one line, cut with an ellipsis past `letters`."""
    line = " ".join(text.split())
    return line if len(line) <= letters else f"{line[: letters - 1].rstrip()}…"


def printable(text: str) -> str:
    """Return text that is safe inside XML: escaped, without control characters."""
    clean = "".join(" " if letter in "\t\n\r" else letter for letter in text)
    clean = "".join(letter for letter in clean if letter >= " " and not 0xD800 <= ord(letter) <= 0xDFFF)
    return html.escape(clean.replace("\ufffe", "").replace("\uffff", ""), quote=True)


def number(value: float) -> str:
    """Return a number with at most two decimals, never '-0'."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _value(value: str | float) -> str:
    return value if isinstance(value, str) else number(value)


def _letter_width(letter: str) -> float:
    """Return the advance of a letter at weight 500, in ems, measured on the font and rounded up."""
    if ord(letter) > _LAST_WESTERN:
        return 1.0 if ord(letter) > _FIRST_SQUARE else 0.75
    if unicodedata.combining(letter):
        return 0.0
    known = next((width for letters, width in _WIDTHS if letter in letters), None)
    if known is not None:
        return known
    return 0.59 if letter.isupper() else 0.51
