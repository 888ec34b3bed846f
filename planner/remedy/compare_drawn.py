"""What changed in the rest of what is drawn: area, launch, landing, crew, restrictions, what is beneath."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.crew import CrewMember
from planner.plan.geometry import Area
from planner.plan.ground import GroundSpot
from planner.plan.model import Plan
from planner.plan.role_words import name_or_role, role_words
from planner.remedy.compare_change import Change, Kind, Side, Topic, Where, on_side, one_sided, paired
from planner.remedy.compare_said import distance
from planner.remedy.compare_values import differences, height_words, value_words
from planner.saying import marked
from planner.wording import position

_ALIKE_M2 = 0.5
"""Areas that differ by less differ only in the way they are written."""


def drawn_changes(before: Plan, after: Plan) -> Iterator[Change]:
    """Yield what changed on the map, the path left aside."""
    yield from _area(before.area, after.area)
    for name in ("launch", "landing"):
        yield from _spot(f"{name.capitalize()} point", name, getattr(before, name), getattr(after, name))
    yield from _crew(before, after)
    yield from _things(before, after, "restrictions", "Restriction")
    yield from _things(before, after, "beneath", "Beneath")
    yield from _things(before, after, "figures", "Figure")


def _area(old: Area | None, new: Area | None) -> Iterator[Change]:
    if old is None and new is None:
        return
    if old is None or new is None:
        area, kind = new or old, one_sided(old, new)
        assert area is not None
        size = f"{square_metres(_shape(area, area.ring[0])[0].area)}, top {marked(_top(area))}"
        at = Where(Side.BEFORE if new is None else Side.AFTER, area.ring[0])
        yield _drawn(kind, "area", "Flying area", on_side(kind, size), at)
        return
    if old.ring != new.ring:
        yield _outline(old, new)
    if old.top != new.top:
        words = _top(old), _top(new)
        yield _drawn(Kind.CHANGED, "area-top", "Top of the area", words, Where(Side.AFTER, new.ring[0]))


def _outline(old: Area, new: Area) -> Change:
    """Return by how much the outline grew and shrank, and where most."""
    anchor = min(old.ring[0], new.ring[0], key=lambda place: (place.lon_deg, place.lat_deg))
    was, frame = _shape(old, anchor)
    now, _ = _shape(new, anchor)
    gained, lost = now.difference(was), was.difference(now)
    piece = max((gained, lost), key=lambda part: part.area)
    side = Side.AFTER if gained.area >= lost.area else Side.BEFORE
    parts = [
        f"{square_metres(part.area)} {word}"
        for part, word in ((gained, "more"), (lost, "less"))
        if part.area >= _ALIKE_M2
    ]
    title = f"Flying area: {' and '.join(parts)}" if parts else "Corners of the flying area, not its extent"
    numbers = {"gained_m2": float(gained.area), "lost_m2": float(lost.area)}
    at = Where(side, _middle(piece, frame)) if parts else Where(Side.AFTER, new.ring[0])
    words = (
        f"{square_metres(shape.area)}, {len(area.ring)} corners" for shape, area in ((was, old), (now, new))
    )
    return _drawn(Kind.CHANGED, "area", title, words, at, numbers)


def _shape(area: Area, anchor: Place) -> tuple[BaseGeometry, LocalFrame]:
    frame = LocalFrame(anchor)
    corners = np.array([(place.lon_deg, place.lat_deg) for place in area.ring])
    x_m, y_m = frame.forward(corners[:, 0], corners[:, 1])
    return shapely.make_valid(shapely.Polygon(np.column_stack([x_m, y_m]))), frame


def _middle(shape: BaseGeometry, frame: LocalFrame) -> Place:
    largest = max(shapely.get_parts(shape), key=lambda part: part.area)
    inside = largest.representative_point()
    return frame.xy_to_place(inside.x, inside.y)


def _top(area: Area) -> str:
    return "none" if area.top is None else height_words(area.top)


def square_metres(area_m2: float) -> str:
    """Return an area: '1,240 m²', '2.35 km²'."""
    return f"{area_m2:,.0f} m²" if area_m2 < 1e6 else f"{area_m2 / 1e6:,.2f} km²"


def _spot(title: str, key: str, old: GroundSpot | None, new: GroundSpot | None) -> Iterator[Change]:
    if old == new:
        return
    there = new or old
    assert there is not None
    at = Where(Side.BEFORE if new is None else Side.AFTER, there.place)
    if old is None or new is None:
        kind = one_sided(old, new)
        yield _drawn(kind, key, title, on_side(kind, position(there.place)), at)
        return
    yield from _moved(title, key, old.place, new.place, at)
    for label, words in differences(attrs.evolve(old, place=new.place), new, key, (None, None)):
        yield _drawn(Kind.CHANGED, key, f"{title}: {label.removeprefix(f'{key}: ')}", words, at)


def _crew(before: Plan, after: Plan) -> Iterator[Change]:
    both, gone, new = paired(before.crew, after.crew, lambda member: member.key)
    for kind, side, members, plan in (
        (Kind.GONE, Side.BEFORE, gone, before),
        (Kind.APPEARED, Side.AFTER, new, after),
    ):
        for member in members:
            at = Where(side, member.place) if member.place else None
            words = on_side(kind, _told(member, plan))
            yield _drawn(kind, f"crew:{member.key}", _called(member, plan), words, at)
    for old, now in both:
        at = Where(Side.AFTER, now.place) if now.place else None
        yield from _moved(_called(now, after), f"crew:{now.key}", old.place, now.place, at)
        windows = before.window, after.window
        for label, words in differences(attrs.evolve(old, place=now.place), now, "crew", windows):
            title = f"{_called(now, after)}: {label.removeprefix('crew: ')}"
            yield Change(Topic.INPUTS, Kind.CHANGED, f"crew:{now.key}", title, words, at=at)


def _called(member: CrewMember, plan: Plan) -> str:
    return member.name or name_or_role(member, plan.purpose).capitalize()


def _told(member: CrewMember, plan: Plan) -> str:
    where = position(member.place) if member.place else "not placed"
    return f"{role_words(member.role, plan.purpose)}, {where}"


def _moved(title: str, key: str, old: Place | None, new: Place | None, at: Where | None) -> Iterator[Change]:
    if old == new:
        return
    words = [position(place) if place else "not placed" for place in (old, new)]
    if old is None or new is None:
        yield _drawn(Kind.CHANGED, key, f"{title}: place", words, at)
        return
    away_m = distance_m(old, new)
    moved = distance(away_m) if away_m >= 1.0 else "less than 1 m"
    yield _drawn(Kind.CHANGED, key, f"{title} moved {moved}", words, at, {"moved_m": away_m})


def _things(before: Plan, after: Plan, field: str, title: str) -> Iterator[Change]:
    """Yield what changed in restrictions, beneath, or in figures; things of one name are taken for one."""
    both, gone, new = paired(getattr(before, field), getattr(after, field), _name)
    windows = before.window, after.window
    for kind, side, items in ((Kind.GONE, Side.BEFORE, gone), (Kind.APPEARED, Side.AFTER, new)):
        for item in items:
            words = on_side(kind, value_words(item, field, windows[side is Side.AFTER]))
            yield _drawn(
                kind, f"{field}:{_name(item)}", f"{title}: {_name(item)}", words, _spot_of(item, side)
            )
    for old, now in both:
        for label, words in differences(old, now, field, windows):
            about = f"{title}: {_name(now)}, {label.partition(': ')[2]}"
            yield _drawn(Kind.CHANGED, f"{field}:{_name(now)}", about, words, _spot_of(now, Side.AFTER))


def _name(item: Any) -> str:  # noqa: ANN401
    return str(getattr(item, "called", "") or item.name)


def _spot_of(item: Any, side: Side) -> Where | None:  # noqa: ANN401
    places = getattr(item, "places", None) or getattr(item, "ring", None) or ()
    centre = getattr(item, "centre", None) or getattr(item, "subject", None)
    return Where(side, places[0] if places else centre) if places or centre else None


def _drawn(
    kind: Kind,
    key: str,
    title: str,
    words: Iterable[str],
    at: Where | None = None,
    numbers: Mapping[str, float] | None = None,
) -> Change:
    return Change(Topic.GEOMETRY, kind, key, title, words, at=at, numbers=numbers or {})
