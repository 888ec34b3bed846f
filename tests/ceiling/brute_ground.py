"""The ground a second time, for `brute_force`: bilinear by hand, and its lowest within an error sideways."""

import math

import pyproj

from planner.world.terrain import Terrain

GEOD = pyproj.Geod(ellps="WGS84")
UNKNOWN = None
AT_RIM_M = 0.01
"""So near the rim of the disc of the raster's error the two ways to reckon may differ on a node."""


class BruteGround:
    """The ground of one terrain, one place at a time."""

    def __init__(self, terrain: Terrain | None) -> None:
        self.terrain = terrain
        self.sideways = terrain.horizontal_uncertainty_m if terrain else 0.0
        self.to_raster = (
            pyproj.Transformer.from_crs("EPSG:4326", terrain.crs, always_xy=True) if terrain else None
        )

    def at(self, lon: float, lat: float) -> float | None:
        if self.terrain is None or self.to_raster is None:
            return UNKNOWN
        return bilinear(self.terrain, *self.to_raster.transform(lon, lat))

    def lowest(self, lon: float, lat: float, ground: float | None) -> tuple[float | None, float | None]:
        """The lowest ground within the raster's error sideways, without and with nodes at the very rim.

        By definition: under the middle, under the corners of a polygon of 16 about the disc, and nodes in it.
        """
        if ground is None or not self.sideways:
            return ground, ground
        corners = 16
        azimuths = [90 - 360 / corners * k for k in range(corners)]
        rim = [self.sideways / math.cos(math.pi / corners)] * corners
        at = GEOD.fwd([lon] * corners, [lat] * corners, azimuths, rim)[:2]
        found = [ground]
        found += [bilinear(self.terrain, *xy) for xy in zip(*self.to_raster.transform(*at), strict=True)]
        nodes = self.nodes_about(lon, lat)
        near, far = (
            found + [height for away, height in nodes if away <= self.sideways + spare]
            for spare in (-AT_RIM_M, AT_RIM_M)
        )
        return tuple(UNKNOWN if None in each else min(each) for each in (near, far))

    def nodes_about(self, lon: float, lat: float) -> list[tuple[float, float | None]]:
        """How far away each node of the raster about a place is, and its height."""
        terrain, reach = self.terrain, math.ceil(self.sideways / 30.0) + 1
        transform = terrain.cell_to_crs
        x, y = self.to_raster.transform(lon, lat)
        across, down = (
            math.floor((x - transform.c) / transform.a),
            math.floor((y - transform.f) / transform.e),
        )
        rows, columns = terrain.heights_m.shape
        nodes = [
            (row, column)
            for row in range(max(down - reach, 0), min(down + reach + 1, rows))
            for column in range(max(across - reach, 0), min(across + reach + 1, columns))
        ]
        east = [transform.c + (column + 0.5) * transform.a for _, column in nodes]
        north = [transform.f + (row + 0.5) * transform.e for row, _ in nodes]
        at = self.to_raster.transform(east, north, direction="INVERSE")
        away = GEOD.inv([lon] * len(nodes), [lat] * len(nodes), *at)[2]
        heights = [float(terrain.heights_m[node]) for node in nodes]
        return [(far, UNKNOWN if math.isnan(high) else high) for far, high in zip(away, heights, strict=True)]


def bilinear(terrain: Terrain, x: float, y: float) -> float | None:
    transform = terrain.cell_to_crs
    across = (x - transform.c) / transform.a - 0.5
    down = (y - transform.f) / transform.e - 0.5
    rows, columns = terrain.heights_m.shape
    if not (0 <= across <= columns - 1 and 0 <= down <= rows - 1):
        return UNKNOWN
    column, row = min(int(across), columns - 2), min(int(down), rows - 2)
    fx, fy = across - column, down - row
    total = 0.0
    for next_row, weight_y in ((0, 1 - fy), (1, fy)):
        for next_column, weight_x in ((0, 1 - fx), (1, fx)):
            weight = weight_x * weight_y
            height = float(terrain.heights_m[row + next_row, column + next_column])
            if weight == 0.0:
                continue
            if math.isnan(height):
                return UNKNOWN
            total += weight * height
    return total
