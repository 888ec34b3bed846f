"""The world's aerodromes as the package `airportsdata` lists them: advisory, with no dates of their own."""

from functools import lru_cache

import airportsdata

from planner.geo.place import Place
from planner.units import FOOT_M
from planner.world.sites import Aerodrome, AerodromeKind

EDITION = airportsdata.__version__


@lru_cache(maxsize=1)
def all_aerodromes() -> tuple[Aerodrome, ...]:
    """Return every aerodrome that has a location indicator of four letters."""
    return tuple(_aerodrome(ident, entry) for ident, entry in airportsdata.load("ICAO").items())


def aerodrome_called(ident: str) -> Aerodrome | None:
    """Return the aerodrome with an identifier: location indicator, local one, or the airlines' own."""
    wanted = ident.strip().upper()
    for code in ("ICAO", "LID", "IATA"):
        entry = airportsdata.load(code).get(wanted)
        if entry is not None:
            return _aerodrome(wanted, entry)
    return None


def _aerodrome(ident: str, entry: airportsdata.Airport) -> Aerodrome:
    return Aerodrome(
        ident=ident,
        name=entry["name"],
        place=Place(entry["lon"], entry["lat"]),
        elevation_amsl_m=entry["elevation"] * FOOT_M,
        kind=_kind_by_name(entry["name"]),
    )


def _kind_by_name(name: str) -> AerodromeKind:
    # The package does not say what lands there; towers can't be told from it at all.
    return AerodromeKind.HELIPORT if "heli" in name.casefold() else AerodromeKind.UNKNOWN
