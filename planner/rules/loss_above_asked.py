"""Rule on what is flown on lost link higher than the permission which is to be asked for."""

import math
from collections.abc import Iterator

import numpy as np

from planner.flight.failsafe import RETURNS, Failsafe
from planner.permission.need import PermissionNeed, Route
from planner.permission.routes import TOLERANCE_M
from planner.rules.area_links import returns_of_area
from planner.rules.asked_words import to_ask_for_m
from planner.rules.bibliography import airspace_rule
from planner.rules.case import AboveAsked, Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.loss_words import does
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track

_HOW = {
    Route.FURTHER_COORDINATION: "ask by a further coordination request",
    Route.ASK_AUTHORITY: "ask the authority",
}


def return_above_asked(case: Case) -> Iterator[Finding]:
    """Yield an act for each permission to ask for that would not hold for a return, or while it flies on."""
    for use in case.uses:
        if use.need.recorded or use.need.asked_agl_m is None:
            continue
        found = [_highest(track, above, set(use.volumes), where) for where, track, above in _returns(case)]
        highest = max((one for one in found if one is not None), default=None, key=lambda one: one[0])
        if highest is not None:
            yield _finding(case, use.need, use.need.asked_agl_m - use.need.rise_m, highest)


def _returns(case: Case) -> Iterator[tuple[str, Track, AboveAsked]]:
    if case.track is not None and case.loss_above_asked is not None:
        yield "", case.track, case.loss_above_asked
    in_area = zip(returns_of_area(case), case.area_loss_above_asked, strict=False)
    yield from ((where, places, above) for (where, places, _), above in in_area)


def _highest(
    track: Track, above: AboveAsked, columns: set[int], where: str
) -> tuple[float, int, str, Track] | None:
    """Return by how much the highest return comes above what is asked for [m], its sample, and where."""
    above_m = np.where(np.isin(above.column, list(columns)), above.above_m, -np.inf)
    k = int(np.argmax(np.nan_to_num(above_m, nan=-math.inf)))
    most_m = float(above_m[k])
    return (most_m, k, where, track) if most_m > TOLERANCE_M else None


def _finding(
    case: Case, need: PermissionNeed, asked_agl_m: float, highest: tuple[float, int, str, Track]
) -> Finding:
    most_m, k, where, track = highest
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    assert link_loss is not None
    lower_m, beyond = _by_the_automated_service(need, asked_agl_m, most_m)
    lost = where or f"at {along(float(track.distance_m[k]))}"
    returns = link_loss.action in RETURNS
    on = "" if returns else f"flies on as it flew for {Failsafe.of(link_loss).delay_s:g} s, then "
    what = "Its return" if returns else "On lost link it"
    lower = f"end the climb {over_ft(lower_m)} lower, climb more slowly there, or set a shorter delay"
    if returns:
        lower = f"set a return height that is {over_ft(lower_m)} lower and still clears the ground, or set "
        lower += "another action"
    typed = _as_the_sheet_says(case, need, asked_agl_m + most_m)
    return Finding(
        rule="link-loss-above-asked",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{what} takes more height of {need.airspace} than the flight",
        message=f"Lost {lost} the aircraft {on}{does(case.plan, link_loss.action)}, up to "
        f"{over_ft(asked_agl_m + most_m)} over the lowest ground about it, where the plan needs "
        f"{over_ft(asked_agl_m)} otherwise. A permission to no more than that would not hold for it.{beyond}",
        citation=airspace_rule(case.plan.purpose),
        remedy=f"{_HOW.get(need.route, 'ask')} for {typed}, {lower}",
        place=place_at(track, k),
        numbers={"above_asked_m": most_m, "asked_agl_m": asked_agl_m},
    )


def _as_the_sheet_says(case: Case, need: PermissionNeed, flown_agl_m: float) -> str:
    """Return the height that the request sheet asks for, and whether it is more than is flown."""
    highest_m = max(flown_agl_m, need.asked_agl_m or 0.0)
    typed_m = to_ask_for_m(case, need, highest_m)
    with_it = ", with what the readout may be off" if typed_m > highest_m + TOLERANCE_M else ""
    return f"{over_ft(typed_m)} there{with_it}"


def _by_the_automated_service(need: PermissionNeed, drawn_agl_m: float, above_m: float) -> tuple[float, str]:
    """Return how much lower the return has to be [m], and what only the automated service would give."""
    cell_m, whole_m = need.cell_ceiling_agl_m, drawn_agl_m + above_m
    if need.route is Route.AUTOMATED or not cell_m or not drawn_agl_m - TOLERANCE_M <= cell_m < whole_m:
        return above_m, ""
    return whole_m - cell_m, f" The automated service gives {room_ft(cell_m)} there at the most."


RULES = (return_above_asked,)
