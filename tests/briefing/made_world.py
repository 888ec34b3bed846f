"""An invented world in the open ocean, made by hand."""

from datetime import UTC, datetime

import numpy as np
import pyproj
import shapely
from affine import Affine

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.world.airspace import AirspaceKind, AirspaceVolume, FacilityCell, LimitReference, VerticalLimit
from planner.world.layers import Jurisdiction
from planner.world.sites import Aerodrome, AerodromeKind, ClosedLand, FixedSite
from planner.world.structures import Structure
from planner.world.terrain import Terrain
from planner.world.world import World

CENTRE = Place(-150.2, 37.8)
FRAME = LocalFrame(CENTRE)
WINDOW = TimeWindow(
    datetime(2026, 11, 26, 1, 40, tzinfo=UTC), datetime(2026, 11, 26, 2, 5, tzinfo=UTC), "Pacific/Honolulu"
)
_CRS = pyproj.CRS("EPSG:32605")
_TO_CRS = pyproj.Transformer.from_crs("EPSG:4326", _CRS, always_xy=True)


def place(east_m: float, north_m: float) -> Place:
    return FRAME.xy_to_place(east_m, north_m)


def ring(*corners: tuple[float, float]) -> shapely.Polygon:
    return shapely.Polygon([(at.lon_deg, at.lat_deg) for at in (place(*corner) for corner in corners)])


def disc(east_m: float, north_m: float, radius_m: float) -> shapely.Polygon:
    turns = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    return ring(*((east_m + radius_m * np.sin(turn), north_m + radius_m * np.cos(turn)) for turn in turns))


def terrain() -> Terrain:
    """A ridge from west to east with a bay in the south, 25-m cells."""
    count, cell_m = 320, 25.0
    east, north = np.meshgrid(
        (np.arange(count) - count / 2) * cell_m, (count / 2 - np.arange(count)) * cell_m
    )
    wave = 60 * np.sin(east / 420) * np.cos(north / 510)
    ridge = 260 * np.exp(-(((north - 900 - 0.2 * east) / 900) ** 2)) + wave
    heights = np.maximum(ridge + 60 + north * 0.02, 0.0) * (north > -2500 + 300 * np.sin(east / 700))
    middle_x, middle_y = _TO_CRS.transform(CENTRE.lon_deg, CENTRE.lat_deg)
    corner = Affine(cell_m, 0, middle_x - count / 2 * cell_m, 0, -cell_m, middle_y + count / 2 * cell_m)
    return Terrain(heights.astype(np.float32), corner, _CRS)


def ground_m(places: list[Place], ground: Terrain) -> np.ndarray:
    x, y = _TO_CRS.transform([at.lon_deg for at in places], [at.lat_deg for at in places])
    return ground.at_grid(*ground.grid_position(np.asarray(x), np.asarray(y)))


def world(*, invented: bool = True) -> World:
    feet = 0.3048
    cells = tuple(
        FacilityCell(
            f"cell-{column}-{row}",
            ring(
                *(
                    (-2400 + 730 * (column + i), -2300 + 925 * (row + j))
                    for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))
                )
            ),
            value * feet if value is not None else None,
        )
        for row, values in enumerate(((0, 100, 200, None), (100, 200, 300, 400)))
        for column, value in enumerate(values)
    )
    return World(
        terrain=terrain(),
        airspace=(
            AirspaceVolume(
                "d",
                "INVENTED FIELD",
                AirspaceKind.CLASS_D,
                disc(-1500, -1900, 2600),
                top=VerticalLimit(LimitReference.SEA_LEVEL, 2500 * feet),
            ),
            AirspaceVolume(
                "c",
                "INVENTED SHELF",
                AirspaceKind.CLASS_C,
                disc(2600, 2600, 1800),
                floor=VerticalLimit(LimitReference.SEA_LEVEL, 1200 * feet),
                top=VerticalLimit(LimitReference.SEA_LEVEL, 4000 * feet),
            ),
            AirspaceVolume("p", "INVENTED PLANT", AirspaceKind.PROHIBITED, disc(1900, -400, 320)),
        ),
        cells=cells,
        structures=(
            Structure(
                "mast", "TOWER", place(900, 1150), 400.0, 120.0, 6.0, 1.0, guyed=True, name="Invented mast"
            ),
        ),
        fixed_sites=(FixedSite("site", "Invented flyers", disc(-300, -1700, 220), 60.96),),
        closed_lands=(ClosedLand("park", "Invented park", disc(-2600, 1500, 600)),),
        aerodromes=(Aerodrome("XXIF", "Invented field", place(-1500, -1900), 10.0, AerodromeKind.TOWERED),),
        jurisdictions=(Jurisdiction("XX", "Invented island", invented=invented),),
    )
