"""A table of features and how it becomes a layer of the GeoPackage."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from pyogrio import set_gdal_config_options
from pyogrio.raw import write

Value = str | float | int | None
Row = dict[str, Value]


@dataclass
class Table:
    """Features with the publisher's attribute names."""

    name: str
    kind: str
    publisher: str
    source: str
    crs: str = "EPSG:4326"
    rows: list[Row] = field(default_factory=list)
    shapes: list[Any] = field(default_factory=list)

    def add(self, shape: Any, **row: Value) -> None:
        """Append one feature; its coordinates are longitude and latitude [deg]."""
        self.rows.append({"OBJECTID": len(self.rows) + 1, **row})
        self.shapes.append(shape)


def _column(values: list[Value]) -> tuple[NDArray[Any], NDArray[np.bool_] | None]:
    missing = np.array([value is None for value in values])
    known = [value for value in values if value is not None]
    if any(isinstance(value, str) for value in known) or not known:
        return np.array(values, dtype=object), None
    whole = all(isinstance(value, int) for value in known)
    filled = [0 if value is None else value for value in values]
    column = np.array(filled, dtype=np.int32 if whole else np.float64)
    return column, missing if missing.any() else None


def write_tables(path: Path, tables: list[Table], written_utc: str) -> None:
    """Write the GeoPackage anew, byte for byte the same for the same tables."""
    set_gdal_config_options({"OGR_CURRENT_DATE": written_utc})
    path.unlink(missing_ok=True)
    for table in tables:
        names = list(dict.fromkeys(name for row in table.rows for name in row))
        columns = [_column([row.get(name) for row in table.rows]) for name in names]
        write(
            path,
            geometry=shapely.to_wkb(np.array(table.shapes, dtype=object)),
            field_data=[values for values, _ in columns],
            fields=names,
            field_mask=[mask for _, mask in columns],
            geometry_type=table.kind,
            crs=table.crs,
            driver="GPKG",
            layer=table.name,
        )
    set_gdal_config_options({"OGR_CURRENT_DATE": None})
