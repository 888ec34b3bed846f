"""From the case to findings, verdict, validity and what to look at again."""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime

from planner.geo.progress import Progress, Unwatched
from planner.rules import (
    absurd,
    absurd_power,
    absurd_radio,
    absurd_sight,
    air_against_report,
    aircraft,
    airspace,
    antimeridian,
    area,
    area_charge,
    area_flies_into,
    area_flies_over,
    area_flight,
    area_links,
    area_loss,
    area_loss_beneath,
    area_loss_on_crew,
    area_sun,
    area_waits,
    basics,
    beneath,
    beside,
    beside_record,
    beside_return,
    beside_unknown,
    beside_unknown_down,
    beyond_limits,
    channels,
    charge_doubt,
    cover_beside,
    data,
    drawn_slope,
    falls_over_limit,
    far_stations,
    figures,
    fits_window,
    flight_energy,
    flight_links,
    flight_loss,
    flight_wind,
    followed_ground,
    guys,
    height,
    height_permission,
    height_record_end,
    holds,
    home_voltage,
    hours,
    land,
    light,
    limits,
    link_cover,
    loss_above_asked,
    loss_action,
    loss_as_fast,
    loss_asked,
    loss_band,
    loss_band_down,
    loss_beneath,
    loss_climbs_on,
    loss_drift_into,
    loss_ends,
    loss_flies_into,
    loss_hold,
    loss_into,
    loss_into_area,
    loss_into_cloud,
    loss_near_area,
    loss_on_crew,
    low_over_charted,
    moving_station,
    near_activity,
    near_times,
    near_traffic,
    obscured,
    obstacles,
    other_clock,
    over_top,
    papers,
    readout,
    records,
    return_in_record,
    return_near_people,
    return_speed,
    sight,
    sight_against_report,
    sight_area,
    sight_barely,
    sight_basics,
    sight_masts,
    sites,
    stadium_near,
    structure_allowance,
    terrain_contradicts,
    terrain_datum,
    transit,
    transit_beneath,
    tried_age,
    waivers,
    weather,
    weather_reports,
    wind_against_report,
    wing_room,
    wing_turns,
)
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.holds import ends_of
from planner.rules.verdict import Recheck, Verdict
from planner.saying import marked

Rule = Callable[[Case], Iterable[Finding]]

_WEIGHT = {mark: rank for rank, mark in enumerate(Mark)}
_LIVE: tuple[Rule, ...] = (
    *height.RULES,
    *structure_allowance.RULES,
    *followed_ground.RULES,
    *drawn_slope.RULES,
    *area.RULES,
    *obstacles.RULES,
    *guys.RULES,
    *readout.RULES,
    *airspace.RULES,
    *beside.RULES,
    *beside_unknown.RULES,
    *beside_record.RULES,
    *height_record_end.RULES,
    *over_top.RULES,
    *height_permission.RULES,
    *transit.RULES,
    *transit_beneath.RULES,
    *sites.RULES,
    *hours.RULES,
    *near_times.RULES,
    *stadium_near.RULES,
    *limits.RULES,
    *aircraft.RULES,
    *papers.RULES,
    *records.RULES,
    *waivers.RULES,
    *basics.RULES,
    *holds.RULES,
    *other_clock.RULES,
    *sight_basics.RULES,
    *channels.RULES,
    *figures.RULES,
    *land.RULES,
    *data.RULES,
    *antimeridian.RULES,
    *terrain_datum.RULES,
    *terrain_contradicts.RULES,
)
_FOLLOWING: tuple[Rule, ...] = (
    *readout.FOLLOWING_RULES,
    *near_times.FOLLOWING_RULES,
    *beside_return.RULES,
    *return_in_record.RULES,
    *loss_band.RULES,
    *loss_band_down.RULES,
    *sight.RULES,
    *sight_barely.RULES,
    *sight_masts.RULES,
    *sight_area.RULES,
    *area_sun.RULES,
    *light.RULES,
    *tried_age.RULES,
    *absurd_power.RULES,
    *absurd.RULES,
    *charge_doubt.RULES,
    *absurd_radio.RULES,
    *absurd_sight.RULES,
    *flight_energy.RULES,
    *home_voltage.RULES,
    *flight_links.RULES,
    *link_cover.RULES,
    *flight_loss.RULES,
    *loss_as_fast.RULES,
    *loss_into_cloud.RULES,
    *loss_flies_into.RULES,
    *loss_on_crew.RULES,
    *area_loss_on_crew.RULES,
    *return_speed.RULES,
    *falls_over_limit.RULES,
    *area_flies_over.RULES,
    *loss_climbs_on.RULES,
    *loss_hold.RULES,
    *loss_action.RULES,
    *loss_asked.RULES,
    *loss_above_asked.RULES,
    *loss_into.RULES,
    *loss_into_area.RULES,
    *loss_near_area.RULES,
    *beside_unknown_down.RULES,
    *loss_drift_into.RULES,
    *weather.RULES,
    *weather_reports.RULES,
    *sight_against_report.RULES,
    *wing_turns.RULES,
    *wing_room.RULES,
    *obscured.RULES,
    *far_stations.RULES,
    *wind_against_report.RULES,
    *air_against_report.RULES,
    *flight_wind.RULES,
    *beyond_limits.RULES,
    *fits_window.RULES,
    *beneath.RULES,
    *cover_beside.RULES,
    *area_flight.RULES,
    *area_links.RULES,
    *area_loss_beneath.RULES,
    *area_flies_into.RULES,
    *area_waits.RULES,
    *low_over_charted.RULES,
    *area_charge.RULES,
    *area_loss.RULES,
    *loss_beneath.RULES,
    *return_near_people.RULES,
    *loss_ends.RULES,
    *moving_station.RULES,
    *near_traffic.RULES,
    *near_activity.RULES,
)


def live_findings(case: Case) -> tuple[Finding, ...]:
    """Return what can be said on every move of the mouse, heaviest first."""
    return in_order_of_weight(finding for rule in _LIVE for finding in rule(case))


def following_findings(case: Case, progress: Progress | None = None) -> tuple[Finding, ...]:
    """Return what is said once the following questions are answered, heaviest first.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits: a rule may look for a better place, which takes a while.
    """
    return in_order_of_weight(_found(case, Unwatched() if progress is None else progress))


def _found(case: Case, progress: Progress) -> Iterator[Finding]:
    for done, rule in enumerate(_FOLLOWING):
        progress.report(done / len(_FOLLOWING))
        for finding in rule(case):
            yield finding
            progress.report(done / len(_FOLLOWING))


def in_order_of_weight(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings, heaviest first, else in the order given: of the rules and along the path."""
    return tuple(sorted(findings, key=lambda finding: _WEIGHT[finding.mark]))


def valid_until(case: Case, verdict: Verdict) -> datetime | None:
    """Return the earliest moment at which something a ready plan rests on ends."""
    if verdict is not Verdict.READY or case.plan.window is None:
        return None
    return min([case.plan.window.end_utc, *(end_utc for end_utc, _what in ends_of(case))])


def recheck_of(case: Case) -> tuple[Recheck, ...]:
    """Return what must be looked at again before the flight, and when at the latest."""
    if case.plan.window is None:
        return ()
    start = case.plan.window.start_utc
    return (
        Recheck("notices and temporary restrictions", start),
        Recheck("weather, wind and light on the spot", start),
        Recheck("wires, trees, people and animals beneath the path", start),
    )


def reason_of(verdict: Verdict, findings: tuple[Finding, ...], case: Case) -> str:
    """Return the verdict's main cause in one sentence."""
    if verdict is Verdict.READY:
        return "Every rule that is judged here is kept, with the data and permissions on record."
    if verdict is Verdict.PERMISSION_NEEDED:
        open_needs = [need for need in case.needs if not need.recorded]
        names = ", ".join(dict.fromkeys(need.airspace for need in open_needs))
        return f"Ask first, then record the answer: {names}."
    main = findings[0]
    if main.rule == "nothing-drawn" or (main.rule == "path-of-one-point" and case.plan.area is None):
        # All else that is open begins to matter with what can be flown.
        return f"{marked(main.title)}."
    same = sum(1 for finding in findings if finding.mark is main.mark)
    more = f" And {same - 1} more." if same > 1 else ""
    return f"{marked(main.title)}.{more}"
