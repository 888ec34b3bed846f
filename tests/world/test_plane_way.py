"""The quick way from the plane to a raster's coordinates is the one PROJ finds by itself."""

import numpy as np
import pyproj
import pytest

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.geo.plane_way import PlaneWay

# Geographic, with and without a datum of its own; zones, conics, feet, and systems with a datum shift.
SYSTEMS = {
    "EPSG:4326": (-150.2, 37.8),
    "EPSG:4269": (-84.4, 36.3),
    "EPSG:32605": (-150.2, 37.8),
    "EPSG:26916": (-84.4, 36.3),
    "EPSG:5070": (-84.4, 36.3),
    "EPSG:2274": (-84.4, 36.3),
    "EPSG:3857": (-150.2, 37.8),
    "EPSG:2056": (8.0, 47.0),
    "EPSG:27700": (-1.0, 52.0),
}


@pytest.mark.parametrize("name", SYSTEMS)
def test_it_leads_where_proj_leads(name):
    frame, crs = LocalFrame(Place(*SYSTEMS[name])), pyproj.CRS(name)
    x_m, y_m = np.random.default_rng(1).uniform(-20_000, 20_000, (2, 500))
    way = PlaneWay.between(frame, crs)
    found = np.stack(way.there(x_m, y_m))
    expected = np.stack(pyproj.Transformer.from_crs(frame.plane_crs, crs, always_xy=True).transform(x_m, y_m))
    assert np.abs(found - expected).max() < (1e-11 if crs.is_geographic else 1e-6)
    # And back to where it came from; a shift between datums is undone to a few millimetres.
    assert np.abs(np.stack(way.back(*found)) - [x_m, y_m]).max() < 0.005


def test_the_plane_is_the_one_proj_makes_of_its_description():
    frame = LocalFrame(Place(-150.2, 37.8))
    lon, lat = np.random.default_rng(2).uniform([-151.0, 37.0], [-149.0, 38.5], (500, 2)).T
    to_plane = pyproj.Transformer.from_crs("EPSG:4326", frame.plane_crs, always_xy=True)
    assert np.abs(np.stack(frame.forward(lon, lat)) - to_plane.transform(lon, lat)).max() < 1e-6
    back = frame.inverse(*frame.forward(lon, lat))
    assert np.abs(np.stack(back) - [lon, lat]).max() < 1e-11
