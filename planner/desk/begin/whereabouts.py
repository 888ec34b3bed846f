"""A place as a pilot names it: coordinates in any usual form, or an aerodrome's identifier."""

import re
from collections.abc import Sequence

import attrs

from planner.desk.positions import parse_place
from planner.errors import PlanError
from planner.geo.place import Place
from planner.world.sites import Aerodrome

_IDENTIFIER = re.compile(r"[A-Za-z0-9-]{2,7}")


@attrs.frozen
class Whereabouts:
    """A place that was found, and how it is called ('' for bare coordinates)."""

    place: Place
    name: str = ""


def find_whereabouts(text: str, charted: Sequence[Aerodrome]) -> Whereabouts:
    """Return the place that somebody typed; aerodromes on the charts go before the packaged list.

    Raises
    ------
    PlanError
        If it is neither a position nor the identifier of a known aerodrome.
    """
    typed = text.strip()
    if _IDENTIFIER.fullmatch(typed) and not re.fullmatch(r"[\d-]+", typed):
        return _of_aerodrome(typed, charted)
    return Whereabouts(parse_place(typed))


def _of_aerodrome(typed: str, charted: Sequence[Aerodrome]) -> Whereabouts:
    for aerodrome in charted:
        if aerodrome.ident.casefold() == typed.casefold():
            return Whereabouts(aerodrome.place, aerodrome.name or aerodrome.ident)
    # Imported here: the list of all the world's aerodromes takes a moment to load.
    from planner.world.readers.packaged_aerodromes import aerodrome_called

    found = aerodrome_called(typed)
    if found is None:
        raise PlanError(
            f"no aerodrome is called {typed.upper()!r}",
            remedy="type its identifier as charted, or coordinates like 37.8121 -150.2440",
        )
    return Whereabouts(found.place, found.name or found.ident)
