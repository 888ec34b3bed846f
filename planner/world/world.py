"""The world around one plan, as far as the charts given know it."""

import attrs

from planner.world.airspace import AirspaceVolume, FacilityCell
from planner.world.layers import Jurisdiction, LayerRecord
from planner.world.sites import (
    Aerodrome,
    ClosedLand,
    ExemptArea,
    FixedSite,
    Frequency,
    GroundFeature,
    Stadium,
)
from planner.world.structures import Structure
from planner.world.terrain import Terrain
from planner.world.terrain_differs import TerrainDiffers


@attrs.frozen(eq=False)
class World:
    """Everything that is there. The order of features carries no meaning.

    `layers` has a record for every layer that was given, also for those that
    could not be read; a layer without a record is missing. `terrain_differs` says where rasters
    that both tell its ground contradict each other.
    """

    terrain: Terrain | None = None
    airspace: tuple[AirspaceVolume, ...] = ()
    cells: tuple[FacilityCell, ...] = ()
    structures: tuple[Structure, ...] = ()
    fixed_sites: tuple[FixedSite, ...] = ()
    exempt_areas: tuple[ExemptArea, ...] = ()
    closed_lands: tuple[ClosedLand, ...] = ()
    aerodromes: tuple[Aerodrome, ...] = ()
    stadiums: tuple[Stadium, ...] = ()
    frequencies: tuple[Frequency, ...] = ()
    ground_features: tuple[GroundFeature, ...] = ()
    layers: tuple[LayerRecord, ...] = ()
    jurisdictions: tuple[Jurisdiction, ...] = ()
    terrain_differs: TerrainDiffers | None = None

    @property
    def invented(self) -> bool:
        """Whether any of it is invented, so that it must be stamped."""
        return any(jurisdiction.invented for jurisdiction in self.jurisdictions)
