"""Attribute names as a shapefile holds them: its table ends each after ten letters."""

from collections.abc import Sequence

MOST_LETTERS = 10
_LONG = frozenset(
    {
        *("STATUS_CODE", "AIRPORT_IDENT", "BLDG_HEIGHT", "BUILDING_ID", "DESCRIPTION", "FREQUENCY_MHZ"),
        *("LINE_VOLTAGE", "WIDTH_RIGHT"),
    }
)
"""Every attribute that is read and has a longer name."""
_FULL = {name[:MOST_LETTERS]: name for name in _LONG}


def full_names(names: Sequence[str]) -> tuple[str, ...]:
    """Return attribute names (upper case) whole again, where all of a table's are short enough to be cut."""
    if any(len(name) > MOST_LETTERS for name in names):
        return tuple(names)
    return tuple(_FULL.get(name, name) for name in names)
