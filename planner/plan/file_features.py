"""Geometry of the plan file: RFC 7946 features and the places they hold."""

from collections.abc import Sequence
from typing import Any, Final

import attrs
import shapely

from planner.errors import PlanError, PlanFileError
from planner.geo.place import Place
from planner.plan.file_text import kind_of, quoted

Json = dict[str, Any]

AREA: Final = "area"
PATH: Final = "path"
LAUNCH: Final = "launch"
LANDING: Final = "landing"
RETURN_POINT: Final = "return_point"
CREW: Final = "crew"
PERMISSION: Final = "permission"
RESTRICTION: Final = "restriction"
LANDMARK: Final = "landmark"
BENEATH: Final = "beneath"
STAND_AREA: Final = "stand_area"
BAIL_OUT: Final = "bail_out"
FIGURE_SUBJECT: Final = "figure_subject"

_NUMBERED: Final = (PERMISSION, RESTRICTION, BENEATH, STAND_AREA, BAIL_OUT, FIGURE_SUBJECT)
_KEY_OF: Final = {CREW: "key", **dict.fromkeys(_NUMBERED, "number")}
_GEOMETRY_OF: Final = {
    AREA: ("Polygon",),
    PATH: ("LineString", "Point"),
    LAUNCH: ("Point",),
    LANDING: ("Point",),
    RETURN_POINT: ("Point",),
    CREW: ("Point",),
    PERMISSION: ("Polygon",),
    RESTRICTION: ("Polygon", "Point"),
    LANDMARK: ("Point",),
    BENEATH: ("Point", "LineString", "Polygon"),
    STAND_AREA: ("Polygon",),
    BAIL_OUT: ("Point",),
    FIGURE_SUBJECT: ("Point",),
}
_DRAWN_AS: Final = {"Point": "spot", "LineString": "line", "Polygon": "area"}


@attrs.define
class Shapes:
    """The places in a file; rings are open and run counter-clockwise.

    `permissions` and `restrictions` are keyed by the place in the member's
    list, from one; a restriction of a single place is a circle. `beneath` is
    keyed so, too, and holds how each is drawn; `stand_areas` by number as well,
    and `bail_outs` and `subjects` of figures.
    """

    area: tuple[Place, ...] | None = None
    path: tuple[Place, ...] = ()
    launch: Place | None = None
    landing: Place | None = None
    return_point: Place | None = None
    landmark: Place | None = None
    crew: dict[str, Place] = attrs.field(factory=dict)
    permissions: dict[int, tuple[Place, ...]] = attrs.field(factory=dict)
    restrictions: dict[int, tuple[Place, ...]] = attrs.field(factory=dict)
    beneath: dict[int, tuple[str, tuple[Place, ...]]] = attrs.field(factory=dict)
    stand_areas: dict[int, tuple[Place, ...]] = attrs.field(factory=dict)
    bail_outs: dict[int, Place] = attrs.field(factory=dict)
    subjects: dict[int, Place] = attrs.field(factory=dict)


def features_of(shapes: Shapes) -> list[Json]:
    """Return the GeoJSON features of a plan in a fixed order."""
    features = []
    if shapes.area is not None:
        features.append(_feature(_polygon(shapes.area), AREA))
    if len(shapes.path) == 1:
        features.append(_feature(_point(shapes.path[0]), PATH))
    elif shapes.path:
        features.append(_feature(_line_string(shapes.path), PATH))
    if shapes.launch is not None:
        features.append(_feature(_point(shapes.launch), LAUNCH))
    if shapes.landing is not None:
        features.append(_feature(_point(shapes.landing), LANDING))
    if shapes.return_point is not None:
        features.append(_feature(_point(shapes.return_point), RETURN_POINT))
    if shapes.landmark is not None:
        features.append(_feature(_point(shapes.landmark), LANDMARK))
    features += [_feature(_point(place), CREW, key=key) for key, place in shapes.crew.items()]
    features += [
        _feature(_polygon(ring), PERMISSION, number=number) for number, ring in shapes.permissions.items()
    ]
    features += [
        _feature(_point(places[0]) if len(places) == 1 else _polygon(places), RESTRICTION, number=number)
        for number, places in shapes.restrictions.items()
    ]
    features += [
        _feature(_GEOMETRIES[drawn_as](places), BENEATH, number=number)
        for number, (drawn_as, places) in shapes.beneath.items()
    ]
    features += [
        _feature(_polygon(ring), STAND_AREA, number=number) for number, ring in shapes.stand_areas.items()
    ]
    for kind, spots in ((BAIL_OUT, shapes.bail_outs), (FIGURE_SUBJECT, shapes.subjects)):
        features += [_feature(_point(place), kind, number=number) for number, place in spots.items()]
    return features


def shapes_of(features: object) -> Shapes:
    """Return the places in the features of a file.

    Raises
    ------
    PlanFileError
        If a feature is malformed, of no known kind, or there twice.
    """
    if not isinstance(features, list):
        raise PlanFileError(f"is {kind_of(features)}, not a list", where="features", remedy="mend the file")
    shapes = Shapes()
    seen: set[tuple[str, object]] = set()
    for number, feature in enumerate(features, start=1):
        _add(shapes, feature, f"feature {number}", seen)
    return shapes


def counter_clockwise(ring: Sequence[Place]) -> bool:
    """Whether an open ring runs counter-clockwise on the map."""
    return bool(shapely.LinearRing([_position(place) for place in ring]).is_ccw)


def _add(shapes: Shapes, feature: object, where: str, seen: set[tuple[str, object]]) -> None:
    geometry, properties = _parts(feature, where)
    kind = properties.get("lowline")
    if not isinstance(kind, str) or kind not in _GEOMETRY_OF:
        raise PlanFileError(
            f"properties.lowline is {quoted(kind)}",
            where=where,
            remedy=f"remove the feature or name one of {', '.join(_GEOMETRY_OF)}",
        )
    key = _key_of(kind, properties, where)
    name = kind if key is None else f"{kind} {quoted(key)}"
    if (kind, key) in seen:
        raise PlanFileError(f"the file has two features of {name}", where=where, remedy="remove one")
    seen.add((kind, key))
    places = _places(geometry, kind, name)
    if isinstance(key, str):
        shapes.crew[key] = places[0]
    elif isinstance(key, int) and kind == BENEATH:
        shapes.beneath[key] = (_DRAWN_AS[geometry["type"]], places)
    elif isinstance(key, int) and kind in (BAIL_OUT, FIGURE_SUBJECT):
        (shapes.bail_outs if kind == BAIL_OUT else shapes.subjects)[key] = places[0]
    elif isinstance(key, int):
        rings = {PERMISSION: shapes.permissions, STAND_AREA: shapes.stand_areas}
        rings.get(kind, shapes.restrictions)[key] = places
    else:
        setattr(shapes, kind, places if kind in (AREA, PATH) else places[0])


def _parts(feature: object, where: str) -> tuple[Json, Json]:
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise PlanFileError("is not an object of type 'Feature'", where=where, remedy="mend or remove it")
    _refuse_unknown(feature, {"type", "geometry", "properties"}, where)
    geometry, properties = feature.get("geometry"), feature.get("properties")
    if not isinstance(properties, dict):
        raise PlanFileError(
            f"properties is {kind_of(properties)}, not an object",
            where=where,
            remedy="mend or remove the feature",
        )
    if not isinstance(geometry, dict):
        raise PlanFileError(
            f"geometry is {kind_of(geometry)}, not an object",
            where=where,
            remedy="mend or remove the feature",
        )
    _refuse_unknown(geometry, {"type", "coordinates"}, f"{where}, geometry")
    return geometry, properties


def _key_of(kind: str, properties: Json, where: str) -> str | int | None:
    name = _KEY_OF.get(kind)
    _refuse_unknown(properties, {"lowline"} | ({name} if name else set()), f"{where}, properties")
    if name is None:
        return None
    key = properties.get(name)
    wanted = str if kind == CREW else int
    if isinstance(key, bool) or not isinstance(key, wanted):
        raise PlanFileError(
            f"properties.{name} is {quoted(key)}",
            where=where,
            remedy=f"give the {name} of the {kind}'s entry",
        )
    return key


def _places(geometry: Json, kind: str, where: str) -> tuple[Place, ...]:
    wanted = _GEOMETRY_OF[kind]
    if geometry.get("type") not in wanted:
        raise PlanFileError(
            f"its geometry is {quoted(geometry.get('type'))}",
            where=where,
            remedy=f"a feature of this kind is a {' or '.join(wanted)}",
        )
    coordinates = geometry.get("coordinates")
    match geometry["type"]:
        case "Point":
            return (_place(coordinates, where),)
        case "LineString":
            return _line(coordinates, where)
        case _:
            return _ring(coordinates, where)


def _line(coordinates: object, where: str) -> tuple[Place, ...]:
    positions = _list(coordinates, where)
    if len(positions) < 2:
        raise PlanFileError("a LineString has fewer than two positions", where=where, remedy="write a Point")
    return tuple(_place(position, f"{where} point {n}") for n, position in enumerate(positions, start=1))


def _ring(coordinates: object, where: str) -> tuple[Place, ...]:
    rings = _list(coordinates, where)
    if len(rings) != 1:
        raise PlanFileError(
            f"its polygon has {len(rings)} rings", where=where, remedy="draw it as one ring without holes"
        )
    positions = _list(rings[0], where)
    places = [_place(position, f"{where} corner {n}") for n, position in enumerate(positions, start=1)]
    if len(places) < 4 or places[0] != places[-1]:
        raise PlanFileError(
            "its ring is not closed or has fewer than three corners",
            where=where,
            remedy="write at least four positions, the last equal to the first",
        )
    return tuple(places[:-1])


def _list(value: object, where: str) -> list[Any]:
    if not isinstance(value, list):
        raise PlanFileError(
            f"its coordinates hold {kind_of(value)} instead of a list",
            where=where,
            remedy="mend the geometry",
        )
    return value


def _place(position: object, where: str) -> Place:
    numbers = position if isinstance(position, list) else []
    if len(numbers) != 2 or any(isinstance(n, bool) or not isinstance(n, int | float) for n in numbers):
        raise PlanFileError(
            f"the position {quoted(position)} is not two numbers",
            where=where,
            remedy="write longitude and latitude in degrees; heights belong into the member 'lowline'",
        )
    try:
        return Place(*numbers)
    except PlanError as error:
        raise PlanFileError(error.what, where=where, remedy="write longitude, then latitude") from None


def _refuse_unknown(found: Json, known: set[str], where: str) -> None:
    unknown = sorted(found.keys() - known)
    if unknown:
        raise PlanFileError(f"the key {quoted(unknown[0])} is not known", where=where, remedy="remove it")


def _feature(geometry: Json, kind: str, **key: str | int) -> Json:
    return {"type": "Feature", "geometry": geometry, "properties": {"lowline": kind, **key}}


def _point(place: Place) -> Json:
    return {"type": "Point", "coordinates": _position(place)}


def _polygon(ring: Sequence[Place]) -> Json:
    return {"type": "Polygon", "coordinates": [[_position(place) for place in (*ring, ring[0])]]}


def _position(place: Place) -> list[float]:
    return [place.lon_deg, place.lat_deg]


def _line_string(places: Sequence[Place]) -> Json:
    return {"type": "LineString", "coordinates": [_position(place) for place in places]}


_GEOMETRIES: Final = {"spot": lambda places: _point(places[0]), "line": _line_string, "area": _polygon}
