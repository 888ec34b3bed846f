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


def kind_of(columns: frozenset[str]) -> FileKind | None:
    """Return the one kind that a table with these columns (upper case) is of, else None."""
    fitting = [kind for kind in KINDS.values() if kind.fits(columns)]
    return fitting[0] if len(fitting) == 1 else None


def nearest_kinds(columns: frozenset[str]) -> str:
    """Return in words what the table could be and what it then lacks."""
    lacking = sorted(
        (
            (len(missing) / len(kind.recognised_by), kind.title, missing)
            for kind in KINDS.values()
            if (missing := kind.missing_from(columns))
        ),
        key=lambda item: item[:2],
    )
    near = [item for item in lacking if item[0] < 1.0] or lacking
    return "; ".join(f"for {title} it lacks {' and '.join(missing)}" for _share, title, missing in near[:3])
