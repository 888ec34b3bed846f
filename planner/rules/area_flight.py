"""Rules on a flight anywhere inside an area: the wind at its top, who is in it, and who stands about it."""

import math
from collections.abc import Iterator
from typing import Final

import shapely

from planner.flight.area_flight import AreaFlight, Nearby
from planner.flight.below import OF_PEOPLE, Below
from planner.flight.fall_zone import grown_by_m
from planner.geo.place import Place
from planner.plan.model import Purpose
from planner.rules.aircraft import SPEED_LIMIT_MPS
from planner.rules.area_reach import fastest_said, may_be_reached, speed_may_carry_on
from planner.rules.beneath_judged import PLACES, bound_words, no_people, own_distance
from planner.rules.beneath_law import ruling
from planner.rules.bibliography import SPEED_LIMIT
from planner.rules.case import Case
from planner.rules.declared_over import by_category, pass_over
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import speed_waived
from planner.rules.flight_words import COMMON_PRACTICE, feet, fine_speed, wind_words
from planner.rules.words import capitalised, over_ft, room_ft

_MOST_NAMED: Final = 5
_INSIDE: Final = {
    Below.ROAD: "A road inside the flying area",
    Below.GATHERING_PLACE: "A place where people gather inside the flying area",
    Below.TRAIL: "A trail inside the flying area",
    Below.WIRE: "Charted wires inside the flying area",
    Below.UNDER_COVER: "People under cover inside the flying area",
    Below.BUILDING: "Buildings inside the flying area",
    Below.WATER: "Water inside the flying area",
}


def people_inside(case: Case) -> Iterator[Finding]:
    """Yield a finding for everybody inside a flying area that is judged for itself."""
    for one in of_kinds(case, OF_PEOPLE):
        if one.apart_m > 0:
            continue
        passed = pass_over(case, one.thing, None, sustained=True)
        found = ruling(one.thing.below, case.plan.purpose, passed)
        yield Finding(
            rule="people-in-area",
            mark=found.mark,
            basis=found.basis,
            title="People inside the flying area",
            message=f"{capitalised(one.thing.called)}: the whole area is judged, so they are flown over. "
            f"{found.why}",
            citation=found.citation,
            remedy=f"cut them out of the area, or {found.remedy}",
            place=place_of(case, one),
        )


def things_inside(case: Case) -> Iterator[Finding]:
    """Yield a finding for each kind of thing inside the area where people may be, or that is in the way."""
    kinds: dict[Below, list[Nearby]] = {}
    for one in of_kinds(case, frozenset(_INSIDE)):
        if one.apart_m <= 0:
            kinds.setdefault(one.thing.below, []).append(one)
    for below, inside in kinds.items():
        found = no_people(case.plan, inside[0].thing)
        if found is None:
            continue
        names = sorted({one.thing.called for one in inside})
        more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
        yield Finding(
            rule=f"over-{below.value}",
            mark=found.mark,
            basis=found.basis,
            title=_INSIDE[below],
            message=f"{capitalised(', '.join(names[:_MOST_NAMED]))}{more}. {found.why}",
            citation=found.citation,
            remedy=f"cut it out of the area, or {found.remedy}" if below in PLACES else found.remedy,
            place=place_of(case, inside[0]),
        )


def people_about(case: Case) -> Iterator[Finding]:
    """Yield a finding for people outside the area on whom an aircraft that fails inside it may come down."""
    for one, found in _people_about(case):
        if found.rule == "own-distance":
            yield found
            continue
        # Along its edge an area may be flown for as long as one likes.
        stays = one.apart_m < grown_by_m(case.plan.aircraft)
        yield by_category(case, one.thing, found, sustained=stays)


def _people_about(case: Case) -> Iterator[tuple[Nearby, Finding]]:
    flight, own_m = case.area_flight, case.plan.own_people_distance_m
    if flight is None:
        return
    for one in of_kinds(case, OF_PEOPLE):
        if own_m is not None and one.apart_m < own_m:
            found = own_distance(one.apart_m, own_m)
            title = "Nearer to people than you want"
            yield one, _about(case, one, "own-distance", title, found.mark, found.why)
        if one.apart_m > 0 and (beside := _person_beside(case, flight, one)) is not None:
            yield one, beside


def _person_beside(case: Case, flight: AreaFlight, one: Nearby) -> Finding | None:
    """Return what is said of somebody outside, None where no failed aircraft comes there."""
    own_m = case.plan.own_people_distance_m
    kept = own_m is not None and one.apart_m >= own_m
    still = " Your own distance is kept." if kept else ""
    away = f"{room_ft(one.apart_m)} outside the area"
    if fallen_on := _fallen_on(case, flight, one):
        return _about(
            case,
            one,
            "fall-on-people",
            "A failed aircraft falls on somebody",
            Mark.ACT if kept else Mark.STOP,
            f"{away}, {fallen_on}{still}",
        )
    unsaid = may_be_reached(case, flight, one)
    # What nobody said may only bring it farther: told beside, and no reason to leave open what is a stop.
    if one.apart_m < flight.separation_m and (not kept or not (one.may_drift_on or unsaid)):
        bound = f" {bound_words(flight.most_drift_m)}" if one.may_drift_on else ""
        return _about(
            case,
            one,
            "people-near",
            "Nearer to people than a failed aircraft may come",
            Mark.ACT if kept else Mark.STOP,
            f"{away}, whose top is {feet(flight.top_agl_m)} above ground: nearer than a failing aircraft may "
            f"come, whichever way it turns.{bound}{still}",
        )
    if one.may_drift_on:
        return _about(
            case,
            one,
            "drift-not-known",
            "Wind may carry a failed aircraft onto somebody",
            Mark.ACT if kept else Mark.UNKNOWN,
            f"{away}. {bound_words(flight.most_drift_m)} So nobody can say whether what fails in it comes "
            f"down on them.{still}",
        )
    return speed_may_carry_on(case, flight, one, place_of(case, one)) if unsaid else None


def _fallen_on(case: Case, flight: AreaFlight, one: Nearby) -> str:
    """Return why what fails in the area falls on somebody outside; '' where it does not."""
    if one.drifted_on:
        return f"and wind carries what fails inside it {feet(flight.drift_m)}."
    grown_m = grown_by_m(case.plan.aircraft)
    if one.apart_m < grown_m:
        return f"and no aircraft is more exactly at the area's edge than {over_ft(grown_m)}."
    if one.apart_m < flight.reach_m + grown_m:
        return (
            f"and what fails at its edge at {fine_speed(flight.airspeed_mps or 0.0)} through the air, "
            f"{feet(flight.top_agl_m)} above ground, falls {feet(flight.reach_m)} ahead, whichever way "
            f"it flies; it is no more exactly at the edge than {over_ft(grown_m)}."
        )
    return ""


def _about(case: Case, one: Nearby, rule: str, title: str, mark: Mark, why: str) -> Finding:
    flight = case.area_flight
    assert flight is not None
    own, drifts = rule == "own-distance", rule == "drift-not-known"
    wanted_m = case.plan.own_people_distance_m if own else flight.separation_m
    if drifts:
        wanted_m = flight.most_drift_m
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title=title,
        message=f"{capitalised(one.thing.called)}: {why}",
        citation="" if own else COMMON_PRACTICE,
        remedy=("give the aircraft's drag area, or " if drifts else "")
        + f"end the area {over_ft(wanted_m or 0.0)} before them, lower its top, or let them stand "
        "farther away" + ("" if own else ", or set your own distance"),
        place=place_of(case, one),
        numbers={"apart_m": one.apart_m},
    )


def wind_held(case: Case) -> Iterator[Finding]:
    """Yield a stop where the wind at the area's top, or its gusts, can't be held."""
    flight = case.area_flight
    if flight is None or flight.airspeed_mps is None or flight.weather.wind is None:
        return
    if max(flight.wind_mps, flight.gust_mps) < flight.airspeed_mps:
        return
    in_mean = flight.wind_mps >= flight.airspeed_mps
    yield Finding(
        rule="way-not-held" if in_mean else "way-not-held-in-gusts",
        mark=Mark.STOP,
        basis=Basis.SAFETY,
        title=f"{'The wind is' if in_mean else 'Gusts are'} too strong for this area",
        message=f"{_blows(flight)}. The aircraft flies {fine_speed(flight.airspeed_mps)} through the air "
        "and is carried out of the area.",
        citation=COMMON_PRACTICE,
        remedy="wait for less wind, lower the area's top, or give the aircraft's highest airspeed",
        numbers={"wind_mps": flight.wind_mps, "gust_mps": flight.gust_mps},
    )


def speed_limit(case: Case) -> Iterator[Finding]:
    """Yield an act where the highest airspeed and the wind together come above 87 kt over the ground."""
    flight = case.area_flight
    if flight is None or flight.airspeed_mps is None:
        return
    if case.plan.purpose is not Purpose.PART_107 or speed_waived(case):
        return
    mean_mps = flight.airspeed_mps + flight.wind_mps
    most_mps = max(mean_mps, flight.airspeed_mps + flight.gust_mps)
    if most_mps <= SPEED_LIMIT_MPS:
        return
    in_mean = mean_mps > SPEED_LIMIT_MPS
    speed_mps = mean_mps if in_mean else most_mps
    blown = flight.weather.wind is not None and speed_mps > flight.airspeed_mps
    yield Finding(
        rule="speed-limit" if in_mean else "speed-limit-in-gusts",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"It can come above 87 kt in the area{'' if in_mean else ' in gusts'}",
        message=f"It flies {fine_speed(flight.airspeed_mps)} through the air"
        + (f"; with the wind behind that is {fine_speed(speed_mps)} over the ground." if blown else "."),
        citation=SPEED_LIMIT,
        remedy="read the speed over the ground, and keep it below 87 kt (100 mph)",
        numbers={"ground_speed_mps": speed_mps},
    )


def airspeed_given(case: Case) -> Iterator[Finding]:
    """Yield an act where wind is given, and no airspeed to hold it with."""
    flight = case.area_flight
    if flight is None or case.flight is not None or flight.airspeed_mps is not None:
        return
    if flight.weather.wind is None:
        return
    yield Finding(
        rule="wind-not-compared",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Whether it holds this wind is not checked",
        message=f"{_blows(flight)}; no airspeed of the aircraft is given.",
        citation=COMMON_PRACTICE,
        remedy="give the aircraft's highest airspeed, or do not fly in wind you have not tried it in",
        numbers={"wind_mps": flight.wind_mps, "gust_mps": flight.gust_mps},
    )


def _blows(flight: AreaFlight) -> str:
    wind = wind_words(flight.wind_mps, flight.gust_mps)
    return f"Wind at the top of the area: {wind} ({flight.weather.wind_source})"


def fall(case: Case) -> Iterator[Finding]:
    """Yield a note on how far beyond the area a failed aircraft may come down."""
    flight = case.area_flight
    if flight is None or case.flight is not None or math.isnan(flight.separation_m):
        return
    drift = (
        "How far wind carries it is not known: wind or drag area is not given"
        + (
            "."
            if math.isnan(flight.most_drift_m)
            else f"; {over_ft(flight.most_drift_m)} at the most as it is now."
        )
        if math.isnan(flight.drift_m)
        else f"Wind carries it {feet(flight.drift_m)}."
    )
    reach = (
        "How far its speed carries it is not known: no airspeed is given."
        if math.isnan(flight.reach_m)
        else f"{capitalised(fastest_said(case.plan))} carries it {over_ft(flight.reach_m)}."
    )
    yield Finding(
        rule="fall-zone",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title=f"A failed aircraft may come down {over_ft(flight.separation_m)} outside the area",
        message=f"From {over_ft(flight.top_agl_m)} above ground, as much aside as it is high, without drag. "
        f"{reach} {drift}",
        citation=COMMON_PRACTICE,
        numbers={"reach_m": flight.separation_m, "height_m": flight.top_agl_m},
    )


def place_of(case: Case, one: Nearby) -> Place | None:
    """Return a place of a thing, of its part inside the area where it has one."""
    assert case.mapped is not None
    assert case.area_samples is not None
    inside = shapely.intersection(one.thing.shape, case.area_samples.footprint)
    spot = shapely.point_on_surface(one.thing.shape if inside.is_empty else inside)
    return case.mapped.frame.xy_to_place(spot.x, spot.y)


def of_kinds(case: Case, kinds: frozenset[Below]) -> Iterator[Nearby]:
    """Return the things of some kinds in the area and about it."""
    flight = case.area_flight
    return iter(() if flight is None else (one for one in flight.nearby if one.thing.below in kinds))


RULES = (people_inside, things_inside, people_about, wind_held, speed_limit, airspeed_given, fall)
