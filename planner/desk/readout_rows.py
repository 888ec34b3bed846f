"""Parts of a line laid out over some rows: whole where there is room, else in fewer letters."""

import re
from collections.abc import Callable, Sequence
from typing import Final

GAP: Final = "    "
_INVENTED = re.compile(r" \(invented\)", re.IGNORECASE)
_SHORTER: Final[tuple[Callable[[str], str], ...]] = (
    lambda text: _INVENTED.sub("", text),
    lambda text: text.replace(" above ground", " AGL").replace(" above sea", " AMSL"),
    lambda text: text.replace(" above launch", " launch").replace(" AGL if asked for", " if asked"),
    lambda text: re.sub(r"in sight down to (.*?) lower", r"\1 to spare", text),
    lambda text: text.replace("in no controlled airspace", "uncontrolled").replace(" ft (121.9 m)", " ft"),
)


def in_rows(parts: Sequence[str], rows: int, width_px: float, width_of: Callable[[str], float]) -> list[str]:
    """Return one text a row, parts never divided; of what finds no room the last row holds the rest.

    Parameters
    ----------
    parts : what is to be told, in order.
    rows, width_px : how many there are, and how wide each is.
    width_of : how wide a text is drawn.
    """
    told = [part for part in parts if part]
    laid = _flow(told, width_px, width_of)
    for shorter in _SHORTER:
        if len(laid) <= rows and all(width_of(row) <= width_px for row in laid):
            break
        told = [shorter(part) for part in told]
        laid = _flow(told, width_px, width_of)
    if len(laid) > rows or any(width_of(row) > width_px for row in laid):
        # Between words, then: no room is left over at a row's end.
        ended = [part if part.endswith(".") else f"{part};" for part in told[:-1]]
        laid = _flow(" ".join([*ended, *told[-1:]]).split(), width_px, width_of, " ")
    kept = laid[: rows - 1] + ([" ".join(laid[rows - 1 :])] if len(laid) >= rows else [])
    return kept + [""] * (rows - len(kept))


def _flow(
    parts: Sequence[str], width_px: float, width_of: Callable[[str], float], gap: str = GAP
) -> list[str]:
    laid: list[str] = []
    for part in parts:
        longer = f"{laid[-1]}{gap}{part}" if laid else part
        if laid and width_of(longer) <= width_px:
            laid[-1] = longer
        else:
            laid.append(part)
    return laid
