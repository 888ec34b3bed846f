"""Small chart files made for one test."""

import json
import shutil
from pathlib import Path

import numpy as np
import rasterio
import shapely
from affine import Affine

from planner.world.readers.row import Row
from planner.world.readers.table import Table

ISLAND = Path(__file__).resolve().parents[2] / "resources" / "island"
SQUARE = shapely.box(-150.21, 37.79, -150.19, 37.81)
GRID = Affine(0.001, 0, -150.25, 0, -0.001, 37.85)
CLASS_D = {
    "NAME": "INVENTED D",
    "CLASS": "D",
    "LOCAL_TYPE": "CLASS_D",
    "LOWER_VAL": 0,
    "LOWER_UOM": "FT",
    "LOWER_CODE": "SFC",
    "UPPER_VAL": 2500,
    "UPPER_UOM": "FT",
    "UPPER_CODE": "MSL",
}


def table(*attributes, shape=SQUARE, name="a_table"):
    """Return a table as it comes from a file, all rows with one shape."""
    rows = tuple(Row({key.upper(): value for key, value in row.items()}, shape) for row in attributes)
    columns = frozenset().union(*(row.attributes for row in rows))
    return Table(name, columns, rows, len(rows))


def feature(shape=SQUARE, **attributes):
    geometry = json.loads(shapely.to_geojson(shape)) if isinstance(shape, shapely.Geometry) else shape
    return {"type": "Feature", "properties": attributes, "geometry": geometry}


def write_geojson(path, *features, **members):
    path.write_text(
        json.dumps({"type": "FeatureCollection", **members, "features": list(features)}), encoding="utf-8"
    )
    return path


def island_copy(tmp_path, name="island"):
    """Return a copy of the demo island's chart set that a test may break."""
    folder = tmp_path / name
    folder.mkdir()
    shutil.copytree(ISLAND / "terrain", folder / "terrain")
    for file in ("set.json", "charts.gpkg"):
        shutil.copy(ISLAND / file, folder / file)
    return folder


def edit_set(folder, change):
    """Change a chart set's record in place."""
    path = folder / "set.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    change(content)
    path.write_text(json.dumps(content), encoding="utf-8")


def write_raster(path, heights, transform=GRID, **profile):
    heights = np.asarray(heights)
    heights = heights[np.newaxis] if heights.ndim == 2 else heights
    settings = {"driver": "GTiff", "crs": "EPSG:4326", "dtype": heights.dtype, **profile}
    if transform is not None:
        settings["transform"] = transform
    units = settings.pop("units", None)
    count, height, width = heights.shape
    with rasterio.open(path, "w", count=count, height=height, width=width, **settings) as dataset:
        dataset.write(heights)
        if units:
            dataset.units = (units,)
    return path
