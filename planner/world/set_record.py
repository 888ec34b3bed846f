"""What a chart set says of itself: `set.json`, schema 1."""

import json
import math
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TypeAlias

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError
from planner.geo.antimeridian import crosses
from planner.world.layers import Jurisdiction, LayerName, LayerRecord
from planner.world.readers.moments import moment_of
from planner.world.readers.plain import one_line
from planner.world.readers.terrain import StatedTerrain
from planner.world.set_outlines import Outline, with_outlines
from planner.world.terrain import SurfaceKind

SCHEMA = 1
FILE_NAME = "set.json"
UNCOUNTED = -1
CHARTS_DIGEST = "charts_sha256"

Json: TypeAlias = Mapping[str, object]
_REMEDY = "get the chart set again, or correct the file"


@attrs.frozen(eq=False)
class TerrainEntry:
    """A raster of the set, by its path inside the folder; `digest` is its SHA-256, '' if not stated."""

    file: str
    stated: StatedTerrain
    imported: str = ""
    dates: tuple[str, str] = ("", "")
    digest: str = ""


@attrs.frozen(eq=False)
class Quality:
    """What became of a layer's features when they were imported.

    `refused` ones are not in the set: `reasons` says why, and the layer does
    not speak where they lie (`refused_area`, None if that can't be told).
    """

    read: int | None = None
    repaired: int = 0
    refused: int = 0
    reasons: tuple[str, ...] = ()
    refused_area: BaseGeometry | None = None


@attrs.frozen(eq=False)
class LayerEntry:
    """A layer of the set: its record, the quality of its import; when that was and its dates, as texts."""

    record: LayerRecord
    quality: Quality = Quality()
    imported: str = ""
    dates: tuple[str, str] = ("", "")


@attrs.frozen(eq=False)
class SetRecord:
    """A chart set's own record; what is wrong with one layer is that layer's damage.

    `charts_digest` is that of its GeoPackage when it was written; '': not stated.
    """

    id: str
    title: str
    jurisdiction: Jurisdiction
    layers: tuple[LayerEntry, ...]
    terrain: tuple[TerrainEntry, ...]
    charts_digest: str = ""


def read_set_record(path: Path) -> SetRecord:
    """Return the record in a `set.json`.

    Raises
    ------
    ChartError
        If it is missing, not JSON, of another schema, or names no id or jurisdiction.
    """
    return set_record_of(read_set_text(path), path)


def read_set_text(path: Path) -> str:
    """Return the text of a `set.json`.

    Raises
    ------
    ChartError
        If it is missing or no text.
    """
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise ChartError(
            "can't be opened", where=str(path), remedy="give the folder of a chart set, with its set.json"
        ) from error
    except UnicodeDecodeError as error:
        raise ChartError("is not JSON", where=str(path), remedy=_REMEDY) from error


def set_record_of(text: str, path: Path) -> SetRecord:
    """Return the record in the text of a `set.json`; `path` names it in messages.

    Raises
    ------
    ChartError
        If it is not JSON, of another schema, or names no id or jurisdiction.
    """
    content = with_outlines(set_content(text, path))
    set_id = content.get("id")
    if not isinstance(set_id, str) or not set_id.strip():
        raise ChartError("has no 'id'", where=str(path), remedy=_REMEDY)
    jurisdiction = _jurisdiction(path, content)
    layers = _mapping(content.get("layers", {}), path, "layers")
    rasters = content.get("terrain", [])
    if not isinstance(rasters, list):
        raise ChartError("'terrain' is no list", where=str(path), remedy=_REMEDY)
    return SetRecord(
        id=one_line(set_id),
        title=_text(content, "title"),
        jurisdiction=jurisdiction,
        layers=tuple(
            _layer_entry(LayerName(name), _mapping(entry, path, name), set_id, jurisdiction)
            for name, entry in sorted(layers.items())
            if name in set(LayerName) - {LayerName.TERRAIN}
        ),
        terrain=tuple(_terrain(_mapping(entry, path, "terrain"), set_id, jurisdiction) for entry in rasters),
        charts_digest=_text(content, CHARTS_DIGEST),
    )


def set_content(text: str, path: Path) -> Json:
    """Return the JSON values of a record of the schema that is known.

    Raises
    ------
    ChartError
        If the text is no such record.
    """
    try:
        content = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as error:
        raise ChartError("is not JSON", where=str(path), remedy=_REMEDY) from error
    content = _mapping(content, path, "the file")
    if content.get("schema") != SCHEMA:
        raise ChartError(
            f"has schema {content.get('schema')!r}, this version reads {SCHEMA}",
            where=str(path),
            remedy="update Lowline, or get the chart set again",
        )
    return content


def _jurisdiction(path: Path, content: Json) -> Jurisdiction:
    entry = _mapping(content.get("jurisdiction"), path, "jurisdiction")
    invented = content.get("invented", False)
    area, fault = _outline(entry.get("area"))
    code = _text(entry, "code")
    if fault or not code or not isinstance(invented, bool):
        why = fault or ("'invented' is neither true nor false" if code else "the jurisdiction has no 'code'")
        raise ChartError(why, where=str(path), remedy=_REMEDY)
    if invented and area is None:
        raise ChartError(
            "an invented chart set must bound its jurisdiction, so that it never answers for a real place",
            where=str(path),
            remedy="give the jurisdiction an 'area'",
        )
    return Jurisdiction(code=code, name=_text(entry, "name"), area=area, invented=invented)


def _layer_entry(name: LayerName, entry: Json, set_id: str, jurisdiction: Jurisdiction) -> LayerEntry:
    record = _layer(name, entry, set_id, jurisdiction)
    quality, fault = _quality(entry.get("quality"))
    if fault:
        record = attrs.evolve(record, damage="; ".join(text for text in (record.damage, fault) if text))
    return LayerEntry(record, quality, _text(entry, "imported"), _dates(entry))


def _quality(value: object) -> tuple[Quality, str]:
    """Return the report of an import, or what is wrong with it: then nobody knows what was refused."""
    if value is None:
        return Quality(), ""
    fault = "its quality report can't be read"
    if not isinstance(value, dict):
        return Quality(), fault
    counts = [value.get(name) for name in ("read", "repaired", "refused")]
    reasons = value.get("reasons", [])
    area, area_fault = _outline(value.get("refused_area"))
    if area_fault or not isinstance(reasons, list) or not all(map(_is_count, counts)):
        return Quality(), fault
    read, repaired, refused = (count for count in counts if isinstance(count, int))
    return Quality(read, repaired, refused, tuple(one_line(str(why)) for why in reasons), area), ""


def _is_count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _layer(name: LayerName, entry: Json, set_id: str, jurisdiction: Jurisdiction) -> LayerRecord:
    coverage, coverage_fault = _outline(entry.get("coverage"))
    # A bare day counts from its end and until its beginning: when in it an edition changes is not said.
    effective_utc, effective_fault = _moment(entry, "effective", end_of_day=True)
    expires_utc, expires_fault = _moment(entry, "expires", end_of_day=False)
    features, features_fault = (1, "") if name is LayerName.TERRAIN else _count(entry)
    faults = (coverage_fault, effective_fault, expires_fault, features_fault)
    return LayerRecord(
        name=name,
        publisher=_text(entry, "publisher"),
        source=_text(entry, "source"),
        effective_utc=effective_utc,
        expires_utc=expires_utc,
        features=features,
        coverage=coverage,
        chart_set=set_id,
        damage="; ".join(fault for fault in faults if fault),
        jurisdiction=jurisdiction,
    )


def _terrain(entry: Json, set_id: str, jurisdiction: Jurisdiction) -> TerrainEntry:
    surface = _text(entry, "surface")
    record = _layer(LayerName.TERRAIN, entry, set_id, jurisdiction)
    return TerrainEntry(
        file=_text(entry, "file"),
        digest=_text(entry, "sha256"),
        imported=_text(entry, "imported"),
        dates=_dates(entry),
        stated=StatedTerrain(
            record=record,
            surface=SurfaceKind(surface) if surface in set(SurfaceKind) else SurfaceKind.UNKNOWN,
            vertical_datum=_text(entry, "vertical_datum"),
            horizontal_uncertainty_m=_uncertainty_m(entry, "horizontal_uncertainty_m"),
            vertical_uncertainty_m=_uncertainty_m(entry, "vertical_uncertainty_m"),
        ),
    )


def _mapping(value: object, path: Path, name: str) -> Json:
    if not isinstance(value, dict):
        raise ChartError(f"'{name}' is no JSON object", where=str(path), remedy=_REMEDY)
    return value


def _text(entry: Json, name: str) -> str:
    value = entry.get(name)
    return one_line(value) if isinstance(value, str) else ""


def _dates(entry: Json) -> tuple[str, str]:
    return _text(entry, "effective"), _text(entry, "expires")


def _moment(entry: Json, name: str, *, end_of_day: bool) -> tuple[datetime | None, str]:
    value = entry.get(name)
    if value is None or value == "":
        return None, ""
    moment = moment_of(value, end_of_day=end_of_day) if isinstance(value, str) else None
    return moment, "" if moment else f"its date '{name}' ({value!r}) can't be read"


def _count(entry: Json) -> tuple[int, str]:
    """Return how many features the layer should hold; without it a torn table could not be told."""
    value = entry.get("features")
    if isinstance(value, int) and _is_count(value):
        return value, ""
    return UNCOUNTED, "its number of features is not stated"


def _uncertainty_m(entry: Json, name: str) -> float | None:
    value = entry.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if math.isfinite(value) and value >= 0 else None


def _outline(value: object) -> tuple[BaseGeometry | None, str]:
    """Return an outline, or what is wrong with it; None and '' if there is none."""
    if value is None:
        return None, ""
    if isinstance(value, Outline):
        return value.shape, value.fault
    try:
        shape = shapely.from_geojson(json.dumps(value))
    except (shapely.errors.GEOSException, RecursionError):
        return None, "its outline is no GeoJSON geometry"
    if shape.geom_type not in {"Polygon", "MultiPolygon"} or shape.is_empty:
        return None, "its outline is no polygon"
    west, south, east, north = shape.bounds
    on_earth = west >= -180.0 and east <= 180.0 and south >= -90.0 and north <= 90.0
    if not on_earth or not shape.is_valid:
        return None, "its outline crosses itself or leaves the earth"
    if crosses(shape):
        return None, "its outline crosses the 180th meridian; cut it there"
    return shape, ""
