"""The world as layers for the map: plain GeoJSON, a label to each feature."""

import json
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.desk.map_style import LAYER_OF_KIND, LOOKS, LayerLook
from planner.desk.saying import in_use, limit_words, nearest_words
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.model import Plan
from planner.plan.restrictions import TemporaryRestriction
from planner.track.restrictions import restriction_volumes
from planner.units import ft_from_m
from planner.world.airspace import AirspaceKind, AirspaceVolume, FacilityCell, LimitReference, VerticalLimit
from planner.world.schedule.model import Activity
from planner.world.sites import Aerodrome, AerodromeKind, GroundFeature, GroundKind
from planner.world.structures import Structure
from planner.world.world import World

Feature = dict[str, Any]
_LETTERS = {
    AirspaceKind.CLASS_A: "A",
    AirspaceKind.CLASS_B: "B",
    AirspaceKind.CLASS_C: "C",
    AirspaceKind.CLASS_D: "D",
    AirspaceKind.CLASS_E2: "E",
    AirspaceKind.CLASS_E3: "E extension",
    AirspaceKind.CLASS_E4: "E extension",
    AirspaceKind.CLASS_E_OTHER: "E",
}
_LAYER_OF_GROUND = {
    GroundKind.ROAD: "roads",
    GroundKind.TRAIL: "roads",
    GroundKind.BUILDING: "buildings",
    GroundKind.GATHERING: "gatherings",
    GroundKind.RUNWAY: "runways",
}
_FLOOR_700_M = 213.36
_DRAWN_DEG = 1e-5  # about a metre: finer than a pixel wherever the map can zoom to, but for the last steps
_DRAWN_DIGITS = 6
_FEW_CORNERS = 8


def map_layers(world: World, window: TimeWindow | None = None) -> list[dict[str, Any]]:
    """Return every layer for MapCanvas.set_layers, empty ones left out.

    Airspace that is surely not active in the window is marked as idle.
    """
    features = features_by_layer(world, window)
    return [_layer(look, features[look.id]) for look in LOOKS if features.get(look.id)]


def asleep(world: World, window: TimeWindow | None) -> frozenset[str]:
    """Return the keys of airspace that is surely not active in a window."""
    if window is None:
        return frozenset()
    return frozenset(
        volume.key for volume in world.airspace if volume.active_during(window) is Activity.INACTIVE
    )


def features_by_layer(world: World, window: TimeWindow | None = None) -> dict[str, list[Feature]]:
    """Return the features of each layer by its id."""
    layers: dict[str, list[Feature]] = {look.id: [] for look in LOOKS}
    for volume in world.airspace:
        layers[layer_of(volume)].append(_airspace(volume, window))
    layers["cells"] = [_feature(cell.outline, cell_label(cell)) for cell in world.cells]
    layers["sites"] = [_feature(site.outline, site.name) for site in world.fixed_sites]
    layers["exempt"] = [_feature(area.outline, area.name) for area in world.exempt_areas]
    layers["closed_lands"] = [_feature(land.outline, land.name) for land in world.closed_lands]
    layers["structures"] = [_structure(item) for item in world.structures if not item.dismantled]
    for aerodrome in world.aerodromes:
        heliport = aerodrome.kind is AerodromeKind.HELIPORT
        layers["heliports" if heliport else "aerodromes"].append(_aerodrome(aerodrome))
    layers["stadiums"] = [_spot(stadium.place, stadium.name) for stadium in world.stadiums]
    for feature in world.ground_features:
        if layer := _LAYER_OF_GROUND.get(feature.kind):
            layers[layer].append(_ground(feature))
    layers["coverage"] = list(_coverage(world))
    for features in layers.values():
        _draw(features)
    return layers


def layer_of(volume: AirspaceVolume) -> str:
    """Return the id of the layer that shows a volume."""
    if volume.kind is AirspaceKind.CLASS_E_OTHER:
        floor = volume.floor
        low = floor.reference is LimitReference.ABOVE_GROUND and floor.m <= _FLOOR_700_M + 0.5
        return "class_e_700" if low else "class_e_other"
    return LAYER_OF_KIND[volume.kind]


def _airspace(volume: AirspaceVolume, window: TimeWindow | None) -> Feature:
    if volume.active_during(window) is not Activity.INACTIVE:
        return _feature(volume.outline, airspace_label(volume))
    # A name across the path would read as if the flight met it.
    feature = _feature(volume.outline, "")
    feature["properties"]["idle"] = True
    return feature


def airspace_label(volume: AirspaceVolume) -> str:
    """Return name, class and limits as charts write them: 'Corrow Field D [25]'."""
    letter = _LETTERS.get(volume.kind, "")
    from_surface = volume.floor.reference is LimitReference.SURFACE
    if volume.kind is AirspaceKind.CLASS_D and from_surface:
        figures = f"[{_hundreds(volume.top)}]"
    else:
        figures = f"{_hundreds(volume.top)}/{_hundreds(volume.floor)}"
    return " ".join(part for part in (volume.name, letter, figures) if part)


def cell_label(cell: FacilityCell) -> str:
    """Return a cell's figure above ground, '?' where the published one can't be used.

    Bare feet, as they are published; where metres are preferred with their unit, rounded down.
    """
    if cell.ceiling_agl_m is None:
        return "?"
    if in_use().height == "m":
        return limit_words(cell.ceiling_agl_m)
    return f"{round(ft_from_m(cell.ceiling_agl_m))}"


def _hundreds(limit: VerticalLimit) -> str:
    match limit.reference:
        case LimitReference.SURFACE:
            return "SFC"
        case LimitReference.UNLIMITED:
            return "UNL"
        case LimitReference.UNKNOWN:
            return "?"
    if limit.reference is LimitReference.ABOVE_GROUND:
        # In hundreds it would read as feet, and a hundredth of the height is the wrong side to err on.
        return f"{ft_from_m(limit.m):,.0f} ft AGL"
    return f"{ft_from_m(limit.m) / 100:.1f}".removesuffix(".0")


def _structure(item: Structure) -> Feature:
    name = item.name or item.kind.lower()
    height = f" {nearest_words(item.height_agl_m)}" if item.height_agl_m is not None else ""
    return _spot(item.place, f"{name}{height}")


def _aerodrome(item: Aerodrome) -> Feature:
    return _spot(item.place, item.name or item.ident)


def _ground(item: GroundFeature) -> Feature:
    return _feature(item.shape, item.name if item.kind is not GroundKind.BUILDING else "")


def _coverage(world: World) -> Iterable[Feature]:
    seen: dict[bytes, tuple[BaseGeometry, list[str]]] = {}
    for record in world.layers:
        if record.coverage is not None:
            key = shapely.to_wkb(shapely.set_precision(record.coverage, 1e-4))
            seen.setdefault(key, (record.coverage, []))[1].append(record.name.value.replace("_", " "))
    for outline, names in seen.values():
        words = "end of charts" if len(names) > 3 else f"end of {', '.join(names)}"
        yield _feature(outline, words)


def drawn_closures(plan: Plan, window: TimeWindow | None = None) -> list[dict[str, Any]]:
    """Return the plan's own temporary restrictions for MapCanvas.set_plan, in a window, else the plan's."""
    return list(_closures(plan.restrictions, window or plan.window))


@lru_cache(maxsize=8)
def _closures(
    restrictions: tuple[TemporaryRestriction, ...], window: TimeWindow | None
) -> tuple[dict[str, Any], ...]:
    volumes = restriction_volumes(restrictions)
    return tuple(
        {
            "coords": drawn["coordinates"][0],
            "label": airspace_label(volume),
            "idle": volume.active_during(window) is Activity.INACTIVE,
        }
        for volume, drawn in zip(volumes, _drawn([volume.outline for volume in volumes]), strict=True)
    )


def coverage_geojson(outline: BaseGeometry) -> dict[str, Any]:
    """Return where a layer speaks as GeoJSON, simplified for drawing only."""
    (drawn,) = _drawn([outline])
    return drawn


def _spot(place: Place, label: str) -> Feature:
    coordinates = [round(place.lon_deg, _DRAWN_DIGITS), round(place.lat_deg, _DRAWN_DIGITS)]
    point = {"type": "Point", "coordinates": coordinates}
    return {"type": "Feature", "geometry": point, "properties": {"label": label}}


def _feature(shape: BaseGeometry, label: str) -> Feature:
    # The shape itself, for now: `_draw` puts all of a layer into GeoJSON together, many times faster.
    return {"type": "Feature", "geometry": shape, "properties": {"label": label}}


def _draw(features: list[Feature]) -> None:
    waiting = [feature for feature in features if isinstance(feature["geometry"], BaseGeometry)]
    drawn = _drawn([feature["geometry"] for feature in waiting])
    for feature, geometry in zip(waiting, drawn, strict=True):
        feature["geometry"] = geometry


def _drawn(outlines: Sequence[BaseGeometry]) -> list[dict[str, Any]]:
    """Return shapes as GeoJSON, simplified for drawing only: nothing is judged by them."""
    shapes = np.empty(len(outlines), dtype=object)
    shapes[:] = [shapely.force_2d(outline) for outline in outlines]
    many = shapely.get_num_coordinates(shapes) > _FEW_CORNERS
    shapes[many] = shapely.simplify(shapes[many], _DRAWN_DEG)
    rounded = shapely.transform(shapes, lambda coordinates: np.round(coordinates, _DRAWN_DIGITS))
    found: list[dict[str, Any]] = json.loads(f"[{','.join(shapely.to_geojson(rounded).tolist())}]")
    return found


def _layer(look: LayerLook, features: list[Feature]) -> dict[str, Any]:
    return {
        "id": look.id,
        "title": look.title,
        "geojson": {"type": "FeatureCollection", "features": features},
        "style": look.style,
        "visible": look.visible,
        "rank": look.rank,
    }


def rings_about(aerodromes: Iterable[Aerodrome], radius_m: float) -> list[dict[str, Any]]:
    """Return the advisory rings for MapCanvas.set_rings."""
    return [
        {
            "lon": aerodrome.place.lon_deg,
            "lat": aerodrome.place.lat_deg,
            "radius_m": radius_m,
            "label": aerodrome.name or aerodrome.ident,
        }
        for aerodrome in aerodromes
    ]
