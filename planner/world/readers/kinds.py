"""Every kind of table that can be read, by its layer."""

from collections.abc import Mapping
from types import MappingProxyType

from planner.world.layers import LayerName
from planner.world.readers import (
    activity_sites,
    class_airspace,
    facility_map,
    ground,
    obstacles,
    security,
    sites,
    special_use,
    stadiums,
    temporary,
    zones,
)
from planner.world.readers.reading import FileKind

KINDS: Mapping[LayerName, FileKind] = MappingProxyType(
    {
        kind.layer: kind
        for kind in (
            class_airspace.KIND,
            special_use.KIND,
            facility_map.KIND,
            security.KIND,
            sites.FIXED_SITES,
            sites.EXEMPT_AREAS,
            sites.PARK_LANDS,
            obstacles.KIND,
            ground.AERODROMES,
            ground.RUNWAYS,
            stadiums.KIND,
            ground.ROADS,
            ground.BUILDINGS,
            ground.GATHERING_PLACES,
            ground.FREQUENCIES,
            ground.WIRES,
            ground.WATER,
            ground.LAND_COVER,
            activity_sites.TRAINING_ROUTES,
            activity_sites.PARACHUTE_SITES,
            activity_sites.GLIDER_SITES,
            zones.KIND,
            temporary.KIND,
        )
    }
)
"""Stadium events are not here: they are read together with their stadiums."""

_GUESSED_UP_TO, _GUESSES, _NAMED_COLUMNS = 0.5, 2, 8
_ALL = (*KINDS.values(), temporary.DEFENCE_AREAS)


def kind_of(columns: frozenset[str]) -> FileKind | None:
    """Return the one kind that a table with these columns (upper case) is of, else None."""
    fitting = [kind for kind in _ALL if kind.fits(columns)]
    return fitting[0] if len(fitting) == 1 else None


def nearest_kinds(columns: frozenset[str]) -> str:
    """Return in words what the table most likely is and what it then lacks; else only what it has."""
    lacking = sorted(
        (
            (len(missing) / len(kind.recognised_by), kind.title, missing)
            for kind in _ALL
            if (missing := kind.missing_from(columns)) and not kind.never_with & columns
        ),
        key=lambda item: item[:2],
    )
    # Where more than half is missing, a guess helps nobody.
    near = [item for item in lacking if item[0] <= _GUESSED_UP_TO]
    if near:
        return "; ".join(
            f"for {title} it lacks {' and '.join(missing)}" for _share, title, missing in near[:_GUESSES]
        )
    has = sorted(columns - {"FID", "GEOM"})
    more = " …" if len(has) > _NAMED_COLUMNS else ""
    return f"it has {', '.join(name[:40] for name in has[:_NAMED_COLUMNS])}{more}" if has else "it has none"
