"""Make the invented demo island: `python resources/island/build/make.py`.

Writes `terrain/island.tif`, `charts.gpkg` and `set.json` beside this folder. Seeded: the same
libraries write the same bytes. It knows nothing of the planner; it plays the publishers' part.
"""

import json
from pathlib import Path
from typing import Any

import airspace
import drawn
import numpy as np
import people
import places
import rasterio
from frame import CELL_M, SIDE_KM, UTM_EPSG, Array, Frame, island_frame
from rasterio.transform import from_origin
from shapely import Polygon, box, buffer
from shapely.geometry import mapping
from tables import Table, write_tables
from terrain import NODATA, SEED, island_ground

OUT = Path(__file__).resolve().parent.parent
DATES = {
    "effective": "2026-01-01T00:00:00Z",
    "expires": "2036-12-31T00:00:00Z",
    "imported": "2026-11-25T00:00:00Z",
}
CHARTED = box(-150.33, 37.68, -150.07, 37.92)
SURVEY_INSET_KM = 0.03


def write_terrain(path: Path, frame: Frame, ground_m: Array) -> None:
    """Write the heights [m] as a tiled, compressed GeoTIFF, north up."""
    path.parent.mkdir(parents=True, exist_ok=True)
    profile = {
        "driver": "GTiff",
        "dtype": "float32",
        "count": 1,
        "nodata": NODATA,
        "width": ground_m.shape[1],
        "height": ground_m.shape[0],
        "crs": f"EPSG:{UTM_EPSG}",
        "transform": from_origin(frame.west_m, frame.north_m, CELL_M, CELL_M),
        "tiled": True,
        "blockxsize": 256,
        "blockysize": 256,
        "compress": "deflate",
        "predictor": 3,
        "zlevel": 9,
    }
    with rasterio.open(path, "w", **profile) as raster:
        raster.write(ground_m[::-1].astype(np.float32), 1)
        raster.set_band_description(1, "INVENTED ground height above invented mean sea level [m]")
        raster.update_tags(TITLE="INVENTED demo island, not for navigation")


def surveyed(frame: Frame) -> Polygon:
    """Where the terrain answers: inside the outermost cell centres, short of the unsurveyed corner."""
    (x0, y0), (x1, y1) = drawn.SURVEY_END
    whole = Polygon([(0, 0), (SIDE_KM, 0), (x1, y1), (x0, y0), (0, SIDE_KM)])
    inset = buffer(whole, -SURVEY_INSET_KM, join_style="mitre")
    dense = inset.segmentize(0.5)
    ring = frame.ring([(x, y) for x, y in dense.exterior.coords])
    return Polygon([(round(lon, 7), round(lat, 7)) for lon, lat in ring])


def _geojson(shape: Polygon) -> dict[str, Any]:
    """GeoJSON with its outer ring counter-clockwise (RFC 7946)."""
    plain: dict[str, Any] = json.loads(json.dumps(mapping(shape.normalize().reverse())))
    return plain


def describe(tables: list[Table], survey: Polygon) -> dict[str, Any]:
    """Content of `set.json`."""
    layers = {
        table.name: {
            "publisher": table.publisher,
            "source": table.source,
            **DATES,
            "features": len(table.rows),
            "coverage": _geojson(CHARTED),
        }
        for table in tables
    }
    terrain = {
        "file": "terrain/island.tif",
        "publisher": "Invented Survey of the Island",
        "source": "Invented ground survey, 2026",
        **DATES,
        "surface": "bare-earth",
        "vertical_datum": "invented mean sea level",
        "horizontal_uncertainty_m": 3.0,
        "vertical_uncertainty_m": 2.0,
        "coverage": _geojson(survey),
    }
    return {
        "schema": 1,
        "id": "demo-island",
        "title": "Demo island (INVENTED, not for navigation)",
        "invented": True,
        "jurisdiction": {
            "code": "INVENTED-US",
            "name": "Invented island (rules as in the United States)",
            "area": _geojson(CHARTED),
        },
        "layers": layers,
        "terrain": [terrain],
    }


def island_tables(frame: Frame, ground_m: Array) -> list[Table]:
    """Every table of the chart set."""
    site = people.Site(frame, ground_m)
    return [
        airspace.class_airspace(frame),
        airspace.facility_map(frame),
        airspace.special_use(frame),
        airspace.security(frame),
        *people.stadiums(site),
        *people.flying_sites(site),
        people.obstacles(site),
        *people.aerodromes(site),
        people.roads(site),
        people.buildings(site, SEED + 61),
        people.gathering_places(site),
    ]


def main() -> None:
    """Make everything anew."""
    frame = island_frame()
    ground_m = island_ground(places.PADS)
    write_terrain(OUT / "terrain" / "island.tif", frame, ground_m)
    tables = island_tables(frame, ground_m)
    write_tables(OUT / "charts.gpkg", tables, DATES["imported"])
    text = json.dumps(describe(tables, surveyed(frame)), indent=1)
    (OUT / "set.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
