"""A place as a pilot names it: coordinates in any usual form, an aerodrome's identifier or charted name."""

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
        If it is neither a position nor a known aerodrome, or may be several.
    """
    typed = text.strip()
    may_be_ident = _IDENTIFIER.fullmatch(typed) is not None and not re.fullmatch(r"[\d-]+", typed)
    found = _identified(typed, charted) if may_be_ident else None
    found = found or _by_name(typed, charted)
    if found is not None:
        return _at(found)
    try:
        return Whereabouts(parse_place(typed))
    except PlanError as error:
        listed = _by_name(typed, _all_listed()) if re.fullmatch(r"[^\d,;:]{4,60}", typed) else None
        if listed is not None:
            return _at(listed)
        if not may_be_ident:
            raise
        raise PlanError(
            f"no aerodrome is called {typed.upper()!r}",
            remedy="type its identifier or name as charted, or coordinates like 37.8121 -150.2440",
        ) from error


def _at(aerodrome: Aerodrome) -> Whereabouts:
    return Whereabouts(aerodrome.place, aerodrome.name or aerodrome.ident)


def _all_listed() -> Sequence[Aerodrome]:
    # Imported here: the list of all the world's aerodromes takes a moment to load.
    from planner.world.readers.packaged_aerodromes import all_aerodromes

    return all_aerodromes()


def _identified(typed: str, charted: Sequence[Aerodrome]) -> Aerodrome | None:
    for aerodrome in charted:
        if typed.casefold() in (aerodrome.ident.casefold(), aerodrome.name.casefold()):
            return aerodrome
    # Imported here, too: the same list.
    from planner.world.readers.packaged_aerodromes import aerodrome_called

    return aerodrome_called(typed)


def _by_name(typed: str, known: Sequence[Aerodrome]) -> Aerodrome | None:
    """Return the aerodrome whose name is typed, or begins so, in whole words."""
    wanted = " ".join(typed.casefold().split())
    if len(wanted) < 3 or not any(letter.isalpha() for letter in wanted):
        return None
    names = [(one, " ".join(one.name.casefold().split())) for one in known]
    same = [one for one, name in names if name == wanted]
    found = same or [one for one, name in names if re.match(rf"{re.escape(wanted)}\b", name)]
    if len({one.place for one in found}) > 1:
        several = ", ".join(sorted({one.ident for one in found})[:6])
        raise PlanError(f"several aerodromes are called {typed!r}", remedy=f"type one of {several}")
    return found[0] if found else None
