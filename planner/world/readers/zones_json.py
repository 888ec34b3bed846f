"""Files of zones for unmanned aircraft: ED-318, the older ED-269, and what is met of both in the wild."""

from collections.abc import Iterator, Sequence
from pathlib import Path

import attrs

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers.json_values import Json, load_json, mapping, number, sequence, words
from planner.world.readers.moments import moment_of
from planner.world.readers.reading import Edition
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import LayerTable, Table
from planner.world.readers.zone_geometry import disc, layered_geometries, outline_of
from planner.world.readers.zone_hours import hours_text

_REMEDY = "ask its publisher for a file that keeps to ED-318"
_COLUMNS = (
    *("ZONE_ID", "COUNTRY", "NAME", "ZONE_TYPE", "VARIANT", "REASON", "CONDITIONS", "MESSAGE", "REGION"),
    *("AUTHORITY", "PURPOSE", "CONTACT", "LEAD_TIME", "SCHEDULE"),
    *("LOWER_VAL", "LOWER_CODE", "UPPER_VAL", "UPPER_CODE", "UOM", "PART", "MODEL"),
)


def read_zones_json(path: Path) -> tuple[Sequence[LayerTable], Edition]:
    """Return the zones of a file, one row for each layer of height.

    Raises
    ------
    ChartError
        If it is no JSON, has no zones, or states dates that are none.
    """
    content = load_json(path)
    top = mapping(content)
    features = _features(path, top)
    rows = [row for feature in features for row in _rows(feature)]
    table = Table.of(LayerName.UAS_ZONES, rows, _COLUMNS)
    counted = f"{len(features):,} zones in {len(rows):,} parts" if len(rows) != len(features) else ""
    edition = _edition(path, top)
    note = ", ".join(text for text in (edition.note, counted) if text)
    return [(LayerName.UAS_ZONES, table)], attrs.evolve(edition, note=note)


def _features(path: Path, top: Json) -> Sequence[object]:
    if top.get("type") == "Feature":
        return [top]
    features = top.get("features")
    if not isinstance(features, list):
        raise ChartError("holds no list of zones ('features')", where=str(path), remedy=_REMEDY)
    return features


def _edition(path: Path, top: Json) -> Edition:
    metadata = top.get("metadata")
    if metadata is not None and not isinstance(metadata, dict):
        raise ChartError("'metadata' is no JSON object", where=str(path), remedy=_REMEDY)
    stated = mapping(metadata)
    dates = {}
    for name in ("validFrom", "validTo", "issued"):
        said = stated.get(name)
        dates[name] = (
            moment_of(said, end_of_day=name != "validTo") if isinstance(said, str) and said else None
        )
        if said not in (None, "") and dates[name] is None:
            raise ChartError(
                f"'metadata.{name}' is no date and time ({str(said)[:60]!r}), so nobody knows when they hold",
                where=str(path),
                remedy=_REMEDY,
            )
    return Edition(
        publisher=words(stated.get("provider")),
        effective_utc=dates["validFrom"] or dates["issued"],
        expires_utc=dates["validTo"],
        note=words(top.get("title")) or words(top.get("name")),
    )


def _rows(feature: object) -> Iterator[Row]:
    members = mapping(feature)
    if not members:
        yield Row({}, None, "it is no JSON object")
    elif isinstance(members.get("geometry"), list) or "properties" not in members:
        yield from _older_rows(members)
    else:
        yield from _current_rows(members)


def _current_rows(feature: Json) -> Iterator[Row]:
    """Yield the rows of an ED-318 feature, also where its properties are in groups."""
    properties = mapping(feature.get("properties"))
    zone = mapping(properties.get("UASZone")) or properties
    attributes = {
        **_attributes(zone, properties),
        "ZONE_TYPE": words(zone.get("type")),
        "VARIANT": words(zone.get("variant")),
        "SCHEDULE": hours_text(properties.get("limitedApplicability", zone.get("limitedApplicability"))),
        "MODEL": "ED-318",
    }
    part = 0
    try:
        for part, (geometry, layer) in enumerate(
            layered_geometries(feature.get("geometry"), properties.get("verticalLayer")), start=1
        ):
            numbered = {**attributes, **_layer(layer), "PART": str(part)}
            yield _row(numbered, geometry)
    except RefusedError as error:
        yield Row(attributes, None, str(error))
    if part == 0:
        yield Row(attributes, None, "it has no outline")


def _row(attributes: dict[str, object], geometry: Json) -> Row:
    try:
        return Row(attributes, outline_of(geometry))
    except RefusedError as error:
        return Row(attributes, None, str(error))


def _older_rows(zone: Json) -> Iterator[Row]:
    """Yield the rows of an ED-269 feature."""
    attributes = {
        **_attributes(zone, zone),
        "ZONE_TYPE": words(zone.get("restriction")),
        "VARIANT": words(zone.get("type")),
        "SCHEDULE": hours_text(zone.get("applicability")),
        "MODEL": "ED-269",
    }
    volumes = sequence(zone.get("geometry"))
    if not volumes:
        yield Row(attributes, None, "it has no outline")
    for part, volume in enumerate(map(mapping, volumes), start=1):
        numbered = {**attributes, **_older_layer(volume), "PART": str(part)}
        projection = mapping(volume.get("horizontalProjection"))
        if projection.get("type") == "Circle":
            yield _disc_row(numbered, projection)
        else:
            yield _row(numbered, projection)


def _disc_row(attributes: dict[str, object], projection: Json) -> Row:
    # Whether a radius follows the unit of the heights is not said; metres make the wider circle.
    try:
        return Row(attributes, disc(projection.get("center"), projection.get("radius")))
    except RefusedError as error:
        return Row(attributes, None, str(error))


def _attributes(zone: Json, outer: Json) -> dict[str, object]:
    authorities = [mapping(item) for item in sequence(outer.get("zoneAuthority", zone.get("zoneAuthority")))]

    def of_authorities(*names: str) -> str:
        said = (words(item.get(name)) for item in authorities for name in names)
        return ", ".join(dict.fromkeys(text for text in said if text))

    return {
        "ZONE_ID": words(zone.get("identifier")),
        "COUNTRY": words(zone.get("country")),
        "NAME": words(zone.get("name")),
        "REASON": words(zone.get("reason")) or words(zone.get("reasons")),
        "CONDITIONS": words(zone.get("restrictionConditions")),
        "MESSAGE": words(zone.get("message")) or words(zone.get("otherReasonInfo")),
        "REGION": words(zone.get("region")),
        "AUTHORITY": of_authorities("name", "service"),
        "PURPOSE": of_authorities("purpose"),
        "CONTACT": of_authorities("email", "phone", "siteURL"),
        "LEAD_TIME": of_authorities("intervalBefore"),
    }


def _layer(layer: object) -> dict[str, object]:
    said = mapping(layer)
    # The standard takes a unit left out for metres; who leaves it out may not have meant that.
    unit = said.get("uom", said.get("UOM", ""))
    return {
        "LOWER_VAL": _figure(said.get("lower")),
        "LOWER_CODE": words(said.get("lowerReference")),
        "UPPER_VAL": _figure(said.get("upper")),
        "UPPER_CODE": words(said.get("upperReference")),
        "UOM": words(unit),
    }


def _older_layer(volume: Json) -> dict[str, object]:
    return {
        "LOWER_VAL": _figure(volume.get("lowerLimit")),
        "LOWER_CODE": words(volume.get("lowerVerticalReference")),
        "UPPER_VAL": _figure(volume.get("upperLimit")),
        "UPPER_CODE": words(volume.get("upperVerticalReference")),
        "UOM": words(volume.get("uomDimensions")),
    }


def _figure(value: object) -> str:
    figure = number(value)
    return "" if figure is None else repr(figure)
