"""Rule on airspace beside a flying area into which an action on lost link brings the aircraft down."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.area_comes import Comes, ended_on
from planner.flight.failsafe import RETURNS, Failsafe
from planner.permission.besides import BESIDE_M
from planner.permission.entries import is_active
from planner.permission.inquiry import inquired_of
from planner.permission.routes import TOLERANCE_M
from planner.rules.area_down import down_beside_area, straight_m
from planner.rules.area_links import area_failsafe
from planner.rules.area_reach import fastest_said
from planner.rules.beside_area import NearArea, nearest_of_area
from planner.rules.case import Case
from planner.rules.closed_words import what_it_is
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.loss_near_area import comes_down_near
from planner.rules.loss_over_words import leave_rule, leave_words
from planner.rules.loss_words import does
from planner.rules.opened import opened_of
from planner.rules.words import over_ft, room_ft
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume


def comes_down_beside(case: Case) -> Iterator[Finding]:
    """Yield what it means that an action that stays, begun at the area's edge, ends in airspace beside it.

    A stop where what is given of speed and delay brings it there; open where only the authority, a time or
    the highest airspeed could tell; something to do where wind may, or where it comes down close beside it
    (`loss_near_area`). What the area enters is told of it.
    """
    samples, mapped, failsafe = case.area_samples, case.mapped, area_failsafe(case)
    if samples is None or mapped is None or failsafe is None or failsafe.action in RETURNS:
        return
    assert case.area_flight is not None
    far_m = _farthest_m(case.area_flight.at_most, failsafe) + BESIDE_M
    for column, shuts in _beside(case, mapped, samples, far_m):
        for shut in shuts:
            near = nearest_of_area(mapped, samples, mapped.airspace[column], shut, far_m, comes_down=True)
            # Where the area reaches it, that is told of the area.
            if near is not None and near.away_m > TOLERANCE_M:
                yield from _judged(case, failsafe, (column, shut), near)
                break


def _farthest_m(comes: Comes, failsafe: Failsafe) -> float:
    carried = max((one.farthest_m for one in (*comes.carried, *comes.landed)), default=0.0)
    return straight_m(comes, failsafe) + carried


def _beside(
    case: Case, mapped: Mapped, samples: AreaSamples, far_m: float
) -> Iterator[tuple[int, list[BaseGeometry]]]:
    """Yield each airspace about that is closed or to be asked for: its column, what nothing opens of it.

    As high as it comes down there, and, as a record may open as high as that elsewhere only, at any height.
    """
    asked_anyway = {column for use in case.uses if not use.need.recorded for column in use.volumes}
    asked_anyway |= {column for one in inquiries(case) if not one.answers for column in one.columns}
    box = shapely.buffer(samples.footprint, far_m).bounds
    for column in map(int, mapped.outlines.columns_near(np.array(box))):
        volume = mapped.airspace.get(column)
        if volume is None or column in asked_anyway or not is_active(volume, case.plan.window):
            continue
        is_shut = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
        if not (is_shut or inquired_of(volume, case.plan.purpose)):
            continue
        if shuts := _shut(case, mapped, (samples, far_m), column):
            yield column, shuts


def _shut(case: Case, mapped: Mapped, area: tuple[AreaSamples, float], column: int) -> list[BaseGeometry]:
    opened, (samples, far_m) = opened_of(case, mapped, column), area
    reaches = (None, far_m - BESIDE_M)  # what is given, and the most that it may be
    there = [
        one
        for reach_m in reaches
        for one in down_beside_area(case, mapped, lambda one, _volume: one == column, reach_m)
    ]
    counts = opened.all_along(there[0] if there else samples)
    if not counts.any():
        return [mapped.outlines.polygon(column)]
    beyond = [opened.beyond(which) for which in (counts, np.ones_like(counts))]
    return [one for one in beyond if one is not None]


def _judged(
    case: Case, failsafe: Failsafe, shut: tuple[int, BaseGeometry], near: NearArea
) -> Iterator[Finding]:
    flight, mapped = case.area_flight, case.mapped
    assert flight is not None
    assert mapped is not None
    volume, name = mapped.airspace[shut[0]], mapped.airspace[shut[0]].name or "an airspace without a name"
    found = Finding(
        rule="link-loss-comes-through",
        mark=Mark.UNKNOWN if _is_open(case, volume) else Mark.STOP,
        basis=Basis.LAW,
        title=f"On lost link it comes down in {name}",
        message=f"{_lost_at_the_edge(case, failsafe, flight.comes)}, and on its way down it is in {name}, "
        f"{room_ft(near.away_m)} outside.{what_it_is(case, [volume])}",
        citation=leave_rule(case, volume),
        remedy=f"end the area farther before {name}, set a shorter delay or an action that brings it home, "
        f"or record {leave_words(case, volume)} with the height it holds to",
        place=mapped.frame.xy_to_place(near.x_m, near.y_m),
        numbers={"aside_m": near.away_m},
    )
    if near.away_m <= straight_m(flight.comes, failsafe):
        yield found
    elif near.away_m <= straight_m(flight.at_most, failsafe):
        yield attrs.evolve(
            found,
            rule="reach-not-known",
            mark=Mark.UNKNOWN,
            title=f"On lost link it may come down in {name}",
            message=f"{_lost_at_the_edge(case, failsafe, flight.at_most)}, at 87 kt, the speed limit, as no "
            f"airspeed is given: {name} begins {room_ft(near.away_m)} outside.",
            remedy=f"give the aircraft's highest airspeed, or end the area farther before {name}",
        )
    else:
        yield from _close_or_carried(case, failsafe, shut, near, found)


def _close_or_carried(
    case: Case, failsafe: Failsafe, shut: tuple[int, BaseGeometry], near: NearArea, found: Finding
) -> Iterator[Finding]:
    flight, samples, mapped = case.area_flight, case.area_samples, case.mapped
    assert flight is not None
    assert samples is not None
    assert mapped is not None
    reach_m = straight_m(flight.at_most, failsafe)
    close = comes_down_near(case, opened_of(case, mapped, shut[0]), shut[1], near, reach_m)
    if close is not None and close.mark is Mark.UNKNOWN:
        yield close
    elif _carried_into(case, samples, flight.at_most, shut[1]):
        name = mapped.airspace[shut[0]].name or "an airspace without a name"
        yield attrs.evolve(
            found,
            rule="link-loss-drifts-into",
            mark=Mark.ACT,
            title=f"On lost link the wind may carry it into {name}",
            message=f"{_lost_at_the_edge(case, failsafe, flight.comes)}, and on its way down the wind may "
            f"carry it into {name}, {room_ft(near.away_m)} outside.",
            remedy=f"end the area farther before {name}, fly in less wind or lower, or set an action that "
            "holds its place or brings it home",
        )
    elif close is not None:
        yield close


def _is_open(case: Case, volume: AirspaceVolume) -> bool:
    """Whether nobody can say yet if it is closed: only the authority can, or no time is set."""
    at_times = case.plan.window is None and volume.rests_at_times
    return inquired_of(volume, case.plan.purpose) or (at_times and volume.kind in FORBIDDEN_WHILE_ACTIVE)


def _carried_into(case: Case, samples: AreaSamples, comes: Comes, shut: BaseGeometry) -> bool:
    reached = ended_on(case.plan, samples.footprint, comes, 0.0)
    return reached is not None and bool(shapely.intersects(reached, shut))


def _lost_at_the_edge(case: Case, failsafe: Failsafe, comes: Comes) -> str:
    on = (
        f"flies on for {failsafe.delay_s:g} s, {over_ft(comes.wait_m)} at "
        f"{fastest_said(case.plan)} and with the wind, then "
        if comes.wait_m > 0.0
        else ""
    )
    return f"Lost at the edge of the flying area the aircraft {on}{does(case.plan, failsafe.action)}"


RULES = (comes_down_beside,)
