"""What changed in how high the flight may go: least room, along the path, over the area."""

from collections.abc import Iterator, Sequence

import attrs
import numpy as np

from planner.assessment import Assessment
from planner.ceiling.profile import AreaCeiling
from planner.remedy.compare_change import Change, Kind, Side, Topic, Where, listed, one_sided
from planner.remedy.compare_legs import SHORTEST_M, Piece, Turn, binding_words
from planner.remedy.compare_path import same_legs
from planner.remedy.compare_said import distance, limit, planned, stretch
from planner.remedy.room import Room, room_along, room_words
from planner.saying import UNKNOWN, told
from planner.units import FOOT_M

_EXACT_M = 0.01
"""Heights are known no better than this (how exact the ceiling is)."""


def room_of(answer: Assessment, side: Side) -> Room | None:
    """Return the least room under the ceiling, None without a path."""
    if answer.track is None or answer.profile is None:
        return None
    return room_along(answer.track, answer.profile.ceiling_amsl_m, side)


def ceiling_changes(before: Assessment, after: Assessment, found: Sequence[Piece]) -> Iterator[Change]:
    """Yield what changed in the ceiling, the least room first; `found` as `pieces` tells it."""
    yield from _room(before, after)
    yield from _along(found)
    yield from _over(before.area, after.area)


def ceiling_not_compared(before: Assessment, after: Assessment, found: Sequence[Piece]) -> Iterator[str]:
    """Yield, in sentences without a full stop, where nobody can say whether the ceiling changed."""
    if before.profile is not None and after.profile is not None:
        count = max(len(answer.plan.path) - 1 for answer in (before, after))
        same = len(same_legs(before.plan.path, after.plan.path))
        if same < count:
            yield f"The ceiling was compared along {same} of {count} legs; the others differ"
    open_m = sum(piece.length_m for piece in found if piece.turn is Turn.BOTH_OPEN)
    if open_m > 0.0:
        yield f"The ceiling along {distance(open_m)} of the path is not known on either side"
    areas = before.area, after.area
    if all(area is not None and area.lowest_limit_agl_m is None for area in areas):
        yield "The lowest limit over the flying area is not known on either side"


def _room(before: Assessment, after: Assessment) -> Iterator[Change]:
    old, new = room_of(before, Side.BEFORE), room_of(after, Side.AFTER)
    if old is None and new is None:
        return
    words = [room.words if room else "no path" for room in (old, new)]
    if words[0] == words[1]:
        return
    if old and new and _alike(old.least_m, new.least_m) and abs(old.unknown_m - new.unknown_m) < _EXACT_M:
        return
    numbers = {
        f"{side}_m": room.least_m
        for side, room in (("before", old), ("after", new))
        if room and room.least_m is not None
    }
    at = (new.at if new else None) or (old.at if old else None)
    yield Change(
        Topic.CEILING,
        Kind.CHANGED,
        "least-room",
        "Least room under the ceiling",
        words,
        at=at,
        numbers=numbers,
    )


def _alike(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) < _EXACT_M


def _along(found: Sequence[Piece]) -> Iterator[Change]:
    alike: dict[tuple[Turn, tuple[str, str]], list[Piece]] = {}
    for piece in found:
        if piece.turn is not Turn.BOTH_OPEN:
            alike.setdefault((piece.turn, piece.binding), []).append(piece)
    for (turn, binding), like in alike.items():
        yield _told(turn, binding, _joined(like), max(like, key=lambda piece: piece.by_m))


def _told(turn: Turn, binding: tuple[str, str], runs: list[tuple[float, float]], worst: Piece) -> Change:
    lengths_m = sum(to_m - from_m for from_m, to_m in runs)
    where = listed([stretch(*run) for run in runs])
    more = f", {distance(lengths_m)} in all" if len(runs) > 1 else ""
    heads = {
        Turn.LOWER: f"Ceiling lower by up to {planned(worst.by_m)}",
        Turn.HIGHER: f"Ceiling higher by up to {limit(worst.by_m)}",
        Turn.LOST: "Ceiling no longer known",
        Turn.FOUND: "Ceiling now known",
    }
    words = (
        UNKNOWN if np.isnan(height_m) else f"{limit(height_m)} above sea level, {binds}"
        for height_m, binds in zip(worst.ceilings_m, binding, strict=True)
    )
    from_m, to_m = next(run for run in runs if run[0] - 1e-6 <= worst.from_m <= run[1] + 1e-6)
    numbers = {"length_m": lengths_m, "stretches": float(len(runs))}
    if np.isfinite(worst.by_m):
        numbers["by_m"] = worst.by_m
    at = attrs.evolve(worst.at, from_m=from_m, to_m=to_m)
    title = f"{heads[turn]}: {where}{more}"
    return Change(Topic.CEILING, Kind.CHANGED, f"ceiling-{turn.value}", title, words, at=at, numbers=numbers)


def _joined(pieces: list[Piece]) -> list[tuple[float, float]]:
    """Return the stretches that neighbouring pieces make together."""
    runs: list[tuple[float, float]] = []
    for piece in sorted(pieces, key=lambda piece: piece.from_m):
        if runs and piece.from_m - runs[-1][1] <= SHORTEST_M:
            runs[-1] = (runs[-1][0], piece.to_m)
        else:
            runs.append((piece.from_m, piece.to_m))
    return runs


def _over(old: AreaCeiling | None, new: AreaCeiling | None) -> Iterator[Change]:
    there = new or old
    if there is None:
        return
    at = Where(Side.BEFORE if new is None else Side.AFTER, there.place)
    kind = one_sided(old, new)
    limits = [_limit(area) for area in (old, new)]
    heights = [area.lowest_limit_agl_m if area else None for area in (old, new)]
    if limits[0] != limits[1] and not (kind is Kind.CHANGED and _within_a_foot(heights, old, new)):
        yield Change(Topic.CEILING, kind, "area-limit", "Lowest limit over the flying area", limits, at=at)
    rooms = [_top_room(area) for area in (old, new)]
    if (
        kind is Kind.CHANGED
        and rooms[0] != rooms[1]
        and not _alike(*(area.over_by_m if area else None for area in (old, new)))
    ):
        yield Change(Topic.CEILING, kind, "area-room", "Least room over the area's top", rooms, at=at)
    shares = [area.unknown_share if area else 0.0 for area in (old, new)]
    if kind is Kind.CHANGED and abs(shares[0] - shares[1]) >= 0.005:
        words = (f"{share:.0%}" for share in shares)
        yield Change(
            Topic.CEILING, kind, "area-unknown", "Share of the area whose ground is not known", words, at=at
        )


def _within_a_foot(heights: list[float | None], old: AreaCeiling | None, new: AreaCeiling | None) -> bool:
    assert old is not None
    assert new is not None
    if (old.binding, old.binding_name) != (new.binding, new.binding_name):
        return False
    one, other = heights
    return one is not None and other is not None and abs(one - other) <= FOOT_M


def _limit(area: AreaCeiling | None) -> str:
    if area is None:
        return ""
    if area.lowest_limit_agl_m is None:
        return UNKNOWN
    binds = binding_words(area.binding, area.binding_name)
    return told(f"{limit(area.lowest_limit_agl_m)} above ground, {binds}")


def _top_room(area: AreaCeiling | None) -> str:
    return UNKNOWN if area is None or area.over_by_m is None else room_words(-area.over_by_m)
