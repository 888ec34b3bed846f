"""Publishers' files of a whole invented country: true to the published schema, every value made up.

The country lies in the open ocean. Its size is that of a large real one: 450,000 facility map cells, 6,000
class volumes (median 200 corners, twenty of 6,000), 600,000 structures, 20,000 aerodromes; `share` makes it
smaller.

Run from the top of the checkout: ``python -m tests.bench.national FOLDER [SHARE] [DRIVER]``.
"""

import math
import sys
from pathlib import Path

import attrs
import numpy as np
import pyogrio
import shapely

WEST_DEG, SOUTH_DEG, EAST_DEG, NORTH_DEG = -172.0, 29.0, -130.0, 49.0
CELLS, VOLUMES, STRUCTURES, AERODROMES = 450_000, 6_000, 600_000, 20_000
CELL_DEG = 1 / 120
CELLS_ACROSS = 22
HUGE_CORNERS, HUGE = 6_000, 20
MEDIAN_CORNERS = 200
MAP_EFF = "5/14/2026"
SUFFIXES = {"GPKG": "gpkg", "GeoJSON": "geojson", "ESRI Shapefile": "shp"}


@attrs.frozen(eq=False)
class Made:
    """One publisher's file as arrays: shapes (WKB) and attributes by name."""

    name: str
    geometry_type: str
    shapes: np.ndarray
    fields: dict[str, np.ndarray]

    def write(self, folder: Path, driver: str = "GPKG") -> Path:
        path = folder / f"{self.name}.{SUFFIXES[driver]}"
        pyogrio.raw.write(
            path,
            self.shapes,
            list(self.fields.values()),
            list(self.fields),
            layer=self.name,
            crs="EPSG:4326",
            geometry_type=self.geometry_type,
            driver=driver,
        )
        return path


def country(share: float = 1.0, seed: int = 1) -> dict[str, Made]:
    """Return the country's files by name; `share` of the whole country lies in its west."""
    random = np.random.default_rng(seed)
    east_deg = WEST_DEG + (EAST_DEG - WEST_DEG) * share
    fields = _places(random, max(round(CELLS * share / CELLS_ACROSS**2), 1), east_deg)
    return {
        made.name: made
        for made in (
            facility_map(random, fields, round(CELLS * share)),
            class_airspace(random, fields, round(VOLUMES * share)),
            structures(random, fields, round(STRUCTURES * share), east_deg),
            aerodromes(random, fields, round(AERODROMES * share), east_deg),
        )
    }


def coast(corners: int = 50_000) -> shapely.Polygon:
    """Return the outline of the whole country, rough at every corner as a coast is."""
    random = np.random.default_rng(7)
    corners_of_box = shapely.box(WEST_DEG - 1, SOUTH_DEG - 1, EAST_DEG + 1, NORTH_DEG + 1).exterior
    smooth = corners_of_box.interpolate(np.linspace(0, 1, corners, endpoint=False), normalized=True)
    middle = np.array([(WEST_DEG + EAST_DEG) / 2, (SOUTH_DEG + NORTH_DEG) / 2])
    # Every corner a little nearer or farther on its own ray, so that the ring never crosses itself.
    reach = 1 + random.uniform(-0.01, 0.01, (corners, 1))
    return shapely.Polygon(middle + (shapely.get_coordinates(smooth) - middle) * reach)


def towns(share: float = 1.0, seed: int = 1) -> np.ndarray:
    """Return (n, 2) longitude and latitude of the airports that `country` has cells about."""
    east_deg = WEST_DEG + (EAST_DEG - WEST_DEG) * share
    count = max(round(CELLS * share / CELLS_ACROSS**2), 1)
    return _places(np.random.default_rng(seed), count, east_deg)


def facility_map(random: np.random.Generator, fields: np.ndarray, count: int) -> Made:
    """Return cells of 30 seconds of arc, in blocks about the airports."""
    per_field = CELLS_ACROSS**2
    owner = np.minimum(np.arange(count) // per_field, len(fields) - 1)
    place = np.arange(count) % per_field
    column, row = place % CELLS_ACROSS, place // CELLS_ACROSS
    corner = np.floor(fields[owner] / CELL_DEG)
    west = (corner[:, 0] + column - CELLS_ACROSS // 2) * CELL_DEG
    south = (corner[:, 1] + row - CELLS_ACROSS // 2) * CELL_DEG
    away = np.hypot(column - CELLS_ACROSS / 2, row - CELLS_ACROSS / 2)
    steps = np.clip(np.round(away * random.uniform(0.5, 1.2, count)), 0, 8)
    texts = {
        "UNIT": np.full(count, "Feet", dtype=object),
        "MAP_EFF": np.full(count, MAP_EFF, dtype=object),
        "LAST_EDIT": np.full(count, "5/1/2026", dtype=object),
        "REGION": _named("REGION", owner % 9),
        "AIRSPACE_1": _named("INVENTED CLASS D", owner),
        "AIRSPACE_2": np.full(count, None, dtype=object),
        "APT1_FAAID": _named("Q", owner),
        "APT1_ICAO": _named("KQ", owner),
        "APT1_NAME": _named("INVENTED FIELD", owner),
        "APT2_FAAID": np.full(count, None, dtype=object),
        "APT2_ICAO": np.full(count, None, dtype=object),
        "APT2_NAME": np.full(count, None, dtype=object),
    }
    figures = {
        "OBJECTID": np.arange(1, count + 1, dtype=np.int32),
        "CEILING": (50 * steps).astype(np.int32),
        "LATITUDE": south + CELL_DEG / 2,
        "LONGITUDE": west + CELL_DEG / 2,
        "AIRS_COUNT": np.ones(count, dtype=np.int32),
        "APT1_LAANC": np.ones(count, dtype=np.int32),
        "APT2_LAANC": np.zeros(count, dtype=np.int32),
    }
    ids = {"GLOBALID": _ids(random, count)}
    squares = shapely.box(west, south, west + CELL_DEG, south + CELL_DEG)
    return Made("facility_map", "Polygon", shapely.to_wkb(squares), {**figures, **ids, **texts})


def class_airspace(random: np.random.Generator, fields: np.ndarray, count: int) -> Made:
    """Return surface areas, shelves and Class E about the airports."""
    corners = np.maximum(random.lognormal(math.log(MEDIAN_CORNERS), 0.6, count).round().astype(int), 5)
    corners = np.minimum(corners, 3_000)
    corners[: min(HUGE, count)] = HUGE_CORNERS
    random.shuffle(corners)
    owner = np.arange(count) % len(fields)
    kind = random.choice(["B", "C", "D", "E2", "E4", "E5"], count, p=[0.05, 0.1, 0.1, 0.1, 0.05, 0.6])
    radius_deg = random.uniform(0.06, 0.3, count)
    floor_ft = np.where(np.isin(kind, ["E5"]), 700, np.where(random.random(count) < 0.4, 1_500, 0))
    floor_code = np.where(kind == "E5", "SFC", np.where(floor_ft > 0, "MSL", "SFC"))
    shapes = [
        _rough_ring(random, fields[place], size, number)
        for place, size, number in zip(owner, radius_deg, corners, strict=True)
    ]
    texts = {
        "GLOBAL_ID": _ids(random, count),
        "IDENT": _named("Q", owner),
        "NAME": _named("INVENTED", owner),
        "LOWER_UOM": np.full(count, "FT", dtype=object),
        "LOWER_CODE": floor_code.astype(object),
        "UPPER_UOM": np.full(count, "FT", dtype=object),
        "UPPER_CODE": np.full(count, "MSL", dtype=object),
        "TYPE_CODE": np.full(count, "CLASS", dtype=object),
        "LOCAL_TYPE": np.char.add("CLASS_", kind.astype(str)).astype(object),
        "CLASS": np.array([letter[0] for letter in kind], dtype=object),
        "WKHR_RMK": np.full(count, None, dtype=object),
    }
    figures = {
        "OBJECTID": np.arange(1, count + 1, dtype=np.int32),
        "LOWER_VAL": floor_ft.astype(np.int32),
        "UPPER_VAL": np.full(count, 4_000, dtype=np.int32),
    }
    return Made("class_airspace", "Polygon", shapely.to_wkb(np.array(shapes)), {**figures, **texts})


def structures(random: np.random.Generator, fields: np.ndarray, count: int, east_deg: float) -> Made:
    """Return structures, half of them about the airports' towns."""
    near = fields[random.integers(len(fields), size=count // 2)] + random.normal(0, 0.15, (count // 2, 2))
    places = np.vstack([near, _places(random, count - len(near), east_deg)])
    height_ft = random.choice([60, 120, 199, 250, 402, 900], count) + random.integers(0, 40, count)
    kinds = ["TOWER", "POLE", "BLDG", "STACK", "WINDMILL", "CATENARY", "UTILITY POLE"]
    texts = {
        "OAS": _named("99", np.arange(count)),
        "VERIFIED": np.full(count, "O", dtype=object),
        "COUNTRY": np.full(count, "QQ", dtype=object),
        "STATE": _named("S", random.integers(0, 50, count)),
        "CITY": _named("INVENTED TOWN", random.integers(0, 5_000, count)),
        "TYPE": random.choice(kinds, count).astype(object),
        "LIGHTING": random.choice(["R", "D", "N"], count).astype(object),
        "H_ACC": random.choice(["1", "2", "4", "5", "9"], count).astype(object),
        "V_ACC": random.choice(["A", "B", "D", "E", "I"], count).astype(object),
        "STUDY": np.full(count, "2020QQ00001OE", dtype=object),
        "ACTION": random.choice(["A", "C"], count).astype(object),
    }
    figures = {
        "QUANTITY": np.ones(count, dtype=np.int32),
        "AGL": height_ft.astype(np.int32),
        "AMSL": (height_ft + 500).astype(np.int32),
    }
    return Made("obstacles", "Point", _points(places), {**texts, **figures})


def aerodromes(random: np.random.Generator, fields: np.ndarray, count: int, east_deg: float) -> Made:
    """Return the airports and as many small fields as it takes."""
    places = np.vstack([fields, _places(random, max(count - len(fields), 0), east_deg)])[:count]
    kinds = ["towered", "untowered", "heliport"]
    return Made(
        "aerodromes",
        "Point",
        _points(places),
        {
            "IDENT": _named("Q", np.arange(len(places))),
            "NAME": _named("INVENTED FIELD", np.arange(len(places))),
            "KIND": random.choice(kinds, len(places)).astype(object),
            "ELEV_FT": random.integers(0, 4_000, len(places)).astype(np.int32),
        },
    )


def _places(random: np.random.Generator, count: int, east_deg: float) -> np.ndarray:
    return random.uniform([WEST_DEG, SOUTH_DEG], [east_deg, NORTH_DEG], (count, 2))


def _points(places: np.ndarray) -> np.ndarray:
    points: np.ndarray = shapely.to_wkb(shapely.points(places))
    return points


def _rough_ring(
    random: np.random.Generator, centre: np.ndarray, radius_deg: float, corners: int
) -> shapely.Polygon:
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = radius_deg * (1 + random.uniform(-0.004, 0.004, corners))
    return shapely.Polygon(
        np.column_stack([centre[0] + reach * np.cos(angle), centre[1] + reach * np.sin(angle)])
    )


def _named(word: str, number: np.ndarray) -> np.ndarray:
    return np.char.add(f"{word} ", number.astype(str)).astype(object)


def _ids(random: np.random.Generator, count: int) -> np.ndarray:
    digits = random.integers(0, 2**63, (count, 2), dtype=np.int64)
    return np.array([f"{{{high:016X}-{low:016X}}}" for high, low in digits.tolist()], dtype=object)


def main() -> None:
    """Write the country's files into a folder."""
    folder = Path(sys.argv[1])
    share = float(sys.argv[2]) if len(sys.argv) > 2 else 1.0
    driver = sys.argv[3] if len(sys.argv) > 3 else "GPKG"
    folder.mkdir(parents=True, exist_ok=True)
    for made in country(share).values():
        path = made.write(folder, driver)
        print(f"{path}: {len(made.shapes):,} features, {path.stat().st_size / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
