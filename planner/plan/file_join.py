"""Entries of the member `lowline` joined with their features, and split again.

`plain` is the shape in which the whole plan is checked: the member's own
objects with the places put in where the model has them.
"""

from collections.abc import Sequence
from typing import Any, Final

from planner.errors import PlanFileError
from planner.geo.place import Place
from planner.plan.file_features import Shapes, counter_clockwise
from planner.plan.file_text import quoted

Json = dict[str, Any]

CLOCKWISE: Final = "drawn_clockwise"
# Most plans have none; without the key they are files that older programs read, too.
_MAY_BE_LEFT_OUT: Final = ("restrictions", "beneath", "other_pilots", "stand_areas", "figures", "mast_wires")
_AREA: Final = "area"


def joined(member: Json, shapes: Shapes) -> Json:
    """Return the plain plan of a file's member and features.

    Raises
    ------
    PlanFileError
        If an entry lacks its feature, a feature its entry, or counts differ.
    """
    plain = {key: value for key, value in member.items() if key != "version"}
    _join_spot(plain, "launch", shapes.launch)
    _join_spot(plain, "landing", shapes.landing)
    _join_return(plain, shapes.return_point)
    _join_landmark(plain, shapes.landmark)
    _join_area(plain, shapes.area)
    _join_path(plain, shapes.path)
    _join_crew(plain, shapes.crew)
    _join_permissions(plain, shapes.permissions)
    _join_restrictions(plain, shapes.restrictions)
    _join_beneath(plain, shapes.beneath)
    _join_stand_areas(plain, shapes.stand_areas)
    _join_figures(plain, {"bail_out": shapes.bail_outs, "subject": shapes.subjects})
    return plain


def split(plain: Json) -> tuple[Json, Shapes]:
    """Return the member and the features' places of a plain plan, which it uses up."""
    shapes = Shapes(
        launch=plain["launch"].pop("place") if plain.get("launch") else None,
        landing=plain["landing"].pop("place") if plain.get("landing") else None,
        return_point=plain.pop("return_point", None),
        path=tuple(point.pop("place") for point in plain["path"]),
    )
    if plain.get("sheet", {}).get("landmark"):
        shapes.landmark = plain["sheet"]["landmark"].pop("place")
    if plain.get("area"):
        shapes.area = _split_ring(plain["area"])
    for entry in plain["crew"]:
        if "place" in entry:
            shapes.crew[entry["key"]] = entry.pop("place")
    _split_numbered(plain, shapes)
    for name in _MAY_BE_LEFT_OUT:
        if not plain[name]:
            del plain[name]
    return plain, shapes


def _split_numbered(plain: Json, shapes: Shapes) -> None:
    for number, entry in enumerate(plain["permissions"], start=1):
        if "ring" in entry:
            shapes.permissions[number] = _split_ring(entry)
    for number, entry in enumerate(plain["restrictions"], start=1):
        round_one = "centre" in entry
        shapes.restrictions[number] = (entry.pop("centre"),) if round_one else _split_ring(entry)
    for number, entry in enumerate(plain["beneath"], start=1):
        shapes.beneath[number] = _split_beneath(entry)
    for number, entry in enumerate(plain["stand_areas"], start=1):
        shapes.stand_areas[number] = _split_ring(entry)
    for number, entry in enumerate(plain["figures"], start=1):
        for name, spots in (("bail_out", shapes.bail_outs), ("subject", shapes.subjects)):
            if name in entry:
                spots[number] = entry.pop(name)


def _split_beneath(entry: Json) -> tuple[str, tuple[Place, ...]]:
    drawn_as, places = entry.pop("drawn_as"), tuple(entry.pop("places"))
    if drawn_as == _AREA:
        entry[CLOCKWISE] = not counter_clockwise(places)
        places = _turned(places) if entry[CLOCKWISE] else places
    return drawn_as, places


def _split_ring(entry: Json) -> tuple[Place, ...]:
    ring = tuple(entry.pop("ring"))
    entry[CLOCKWISE] = not counter_clockwise(ring)
    return _turned(ring) if entry[CLOCKWISE] else ring


def _join_spot(plain: Json, name: str, place: Place | None) -> None:
    entry = plain.get(name)
    if _paired(entry is not None, place is not None, f"lowline.{name}", f"{name} feature"):
        plain[name] = _with(entry, f"lowline.{name}", "place", place)


def _join_return(plain: Json, place: Place | None) -> None:
    """Put in where it returns to by itself: a place and nothing else, so the member has no entry of it."""
    if "return_point" in plain:
        raise PlanFileError(
            "is written beside its feature",
            where="lowline.return_point",
            remedy="remove it; its feature is enough",
        )
    if place is not None:
        plain["return_point"] = place


def _join_landmark(plain: Json, place: Place | None) -> None:
    sheet = plain.get("sheet")
    entry = sheet.get("landmark") if isinstance(sheet, dict) else None
    if _paired(entry is not None, place is not None, "lowline.sheet.landmark", "landmark feature"):
        plain["sheet"] = {**(sheet or {}), "landmark": _with(entry, "lowline.sheet.landmark", "place", place)}


def _join_area(plain: Json, ring: tuple[Place, ...] | None) -> None:
    entry = plain.get("area")
    if _paired(entry is not None, ring is not None, "lowline.area", "area feature"):
        plain["area"] = _with_ring(entry, "lowline.area", ring or ())


def _join_path(plain: Json, places: tuple[Place, ...]) -> None:
    entries = plain.get("path", [])
    if not isinstance(entries, list):
        return
    if len(entries) != len(places):
        raise PlanFileError(
            f"the path feature has {len(places)} positions, lowline.path has {len(entries)} entries",
            where="path",
            remedy="give each point of the path one of both",
        )
    plain["path"] = [
        _with(entry, f"lowline.path[{i}]", "place", place)
        for i, (entry, place) in enumerate(zip(entries, places, strict=True))
    ]


def _join_crew(plain: Json, places: dict[str, Place]) -> None:
    entries = plain.get("crew", [])
    if not isinstance(entries, list):
        return
    left = dict(places)
    people = []
    for i, entry in enumerate(entries):
        key = entry.get("key") if isinstance(entry, dict) else None
        place = left.pop(key, None) if isinstance(key, str) else None
        people.append(_with(entry, f"lowline.crew[{i}]", "place", place))
    if left:
        raise _lone(f"crew feature {quoted(next(iter(left)))}", "entry in lowline.crew")
    plain["crew"] = people


def _join_permissions(plain: Json, rings: dict[int, tuple[Place, ...]]) -> None:
    entries = plain.get("permissions", [])
    if not isinstance(entries, list):
        return
    left = dict(rings)
    records = []
    for number, entry in enumerate(entries, start=1):
        where = f"lowline.permissions[{number - 1}]"
        ring = left.pop(number, None)
        bounded = isinstance(entry, dict) and CLOCKWISE in entry
        if _paired(bounded, ring is not None, f"{where}.{CLOCKWISE}", f"permission feature {number}"):
            records.append(_with_ring(entry, where, ring or ()))
        else:
            records.append(_with(entry, where, "ring", None))
    if left:
        raise _lone(f"permission feature {quoted(next(iter(left)))}", "entry in lowline.permissions")
    plain["permissions"] = records


def _join_restrictions(plain: Json, outlines: dict[int, tuple[Place, ...]]) -> None:
    entries = plain.get("restrictions", [])
    if not isinstance(entries, list):
        return
    left = dict(outlines)
    restrictions = []
    for number, entry in enumerate(entries, start=1):
        where = f"lowline.restrictions[{number - 1}]"
        outline = left.pop(number, None)
        if outline is None:
            raise _lone(where, f"restriction feature {number}")
        round_one = len(outline) == 1
        restrictions.append(
            _with(entry, where, "centre", outline[0]) if round_one else _with_ring(entry, where, outline)
        )
    if left:
        raise _lone(f"restriction feature {quoted(next(iter(left)))}", "entry in lowline.restrictions")
    plain["restrictions"] = restrictions


def _join_beneath(plain: Json, outlines: dict[int, tuple[str, tuple[Place, ...]]]) -> None:
    entries = plain.get("beneath", [])
    if not isinstance(entries, list):
        return
    left = dict(outlines)
    items = []
    for number, entry in enumerate(entries, start=1):
        where = f"lowline.beneath[{number - 1}]"
        outline = left.pop(number, None)
        if outline is None:
            raise _lone(where, f"beneath feature {number}")
        drawn_as, places = outline
        item = _with(entry, where, "drawn_as", drawn_as)
        if drawn_as == _AREA:
            items.append(_with_ring(item, where, places, "places"))
        else:
            items.append(_with(item, where, "places", list(places)))
    if left:
        raise _lone(f"beneath feature {quoted(next(iter(left)))}", "entry in lowline.beneath")
    plain["beneath"] = items


def _join_stand_areas(plain: Json, rings: dict[int, tuple[Place, ...]]) -> None:
    entries = plain.get("stand_areas", [])
    if not isinstance(entries, list):
        return
    left, areas = dict(rings), []
    for number, entry in enumerate(entries, start=1):
        where = f"lowline.stand_areas[{number - 1}]"
        ring = left.pop(number, None)
        if ring is None:
            raise _lone(where, f"stand_area feature {number}")
        areas.append(_with_ring(entry, where, ring))
    if left:
        raise _lone(f"stand_area feature {quoted(next(iter(left)))}", "entry in lowline.stand_areas")
    plain["stand_areas"] = areas


def _join_figures(plain: Json, spots: dict[str, dict[int, Place]]) -> None:
    entries = plain.get("figures", [])
    if not isinstance(entries, list):
        return
    left = {(name, number): place for name, places in spots.items() for number, place in places.items()}
    figures = []
    for number, entry in enumerate(entries, start=1):
        where, figure = f"lowline.figures[{number - 1}]", entry
        for name in spots:
            figure = _with(figure, where, name, left.pop((name, number), None))
        figures.append(figure)
    if left:
        name, number = next(iter(left))
        raise _lone(f"{name} feature {quoted(number)}", "entry in lowline.figures")
    plain["figures"] = figures


def _paired(has_entry: bool, has_feature: bool, entry: str, feature: str) -> bool:
    if has_entry and not has_feature:
        raise _lone(entry, feature)
    if has_feature and not has_entry:
        raise _lone(feature, entry)
    return has_entry


def _lone(there: str, missing: str) -> PlanFileError:
    return PlanFileError(f"the file has {there} but no {missing}", remedy="add the one or remove the other")


def _with(entry: object, where: str, name: str, geometry: object) -> object:
    """Put geometry into an entry; what is no object is left for the schema to refuse."""
    if not isinstance(entry, dict):
        return entry
    if name in entry:
        raise PlanFileError(
            f"the key {quoted(name)} is not known", where=where, remedy="positions belong into the features"
        )
    return entry if geometry is None else {**entry, name: geometry}


def _with_ring(entry: object, where: str, ring: tuple[Place, ...], name: str = "ring") -> object:
    if not isinstance(entry, dict):
        return entry
    clockwise = entry.get(CLOCKWISE)
    if not isinstance(clockwise, bool):
        raise PlanFileError(
            f"is {quoted(clockwise)}, not true or false" if CLOCKWISE in entry else "is missing",
            where=f"{where}.{CLOCKWISE}",
            remedy="say whether the corners were drawn clockwise",
        )
    rest = {key: value for key, value in entry.items() if key != CLOCKWISE}
    return _with(rest, where, name, list(_turned(ring) if clockwise else ring))


def _turned(ring: Sequence[Place]) -> tuple[Place, ...]:
    return (ring[0], *reversed(ring[1:]))
