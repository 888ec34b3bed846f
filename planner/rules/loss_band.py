"""Rules on lost link that keeps off a ceiling, a top or the ground by less than anybody knows the height."""

from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.evaluate import vertical_doubt_m
from planner.flight.approach import approach
from planner.flight.touchdown import LANDS_ALONG_MPS, LANDS_WITHIN_M
from planner.flight.way_home import LossWays
from planner.permission.entries import top_amsl_m
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_loss import too_low
from planner.rules.flight_words import feet, worst_of
from planner.rules.loss_words import lost
from planner.rules.lost_ways import comes_into, losses_of, ways_over
from planner.rules.over_top import closes
from planner.rules.readout import uncertain
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft, room_ft
from planner.saying import Kind, Quantity
from planner.track.track import Track
from planner.world.airspace import AirspaceVolume


@attrs.frozen
class _Over:
    """The airspace that returns pass over by least, and by how much [m]."""

    volume: AirspaceVolume
    room_m: float


def close_under_ceiling(case: Case) -> Iterator[Finding]:
    """Yield an act where a return stays under the ceiling by less than the uncertainty.

    Not where the path itself comes as close: that is told, and cured together.
    """
    if case.mapped is None:
        return
    doubt_m = vertical_doubt_m(case.plan, case.mapped)
    every = [one for one in (case.loss_over_ceiling_m, *case.area_loss_over_ceiling_m) if one is not None]
    highest = [float(np.nanmax(one)) for one in every if not np.isnan(one).all()]
    if not highest or max(highest) > TOLERANCE_M:
        return
    room_m = -max(highest)
    if room_m < doubt_m and room_m < _room_of_flight_m(case) - TOLERANCE_M:
        yield _finding(
            "On lost link close under the ceiling",
            f"A return on lost link stays {room_ft(max(room_m, 0.0))} under what is allowed there; "
            f"{over_ft(doubt_m)} are {uncertain(case)}.",
            "set a lower return height that still clears the ground",
            {"room_m": room_m, "uncertainty_m": doubt_m},
        )


def _room_of_flight_m(case: Case) -> float:
    """Return how far path and area stay under their ceilings at least [m], inf where that is not known."""
    rooms = [np.inf]
    if case.track is not None and case.profile is not None:
        rooms += (case.profile.ceiling_amsl_m - case.track.planned_amsl_m).tolist()
    if case.area is not None:
        rooms.append(np.nan if case.area.over_by_m is None else -case.area.over_by_m)
    return float(np.nanmin(rooms))


def close_over_a_top(case: Case) -> Iterator[Finding]:
    """Yield an act where a return passes over airspace by less than the uncertainty."""
    if case.mapped is None:
        return
    doubt_m = vertical_doubt_m(case.plan, case.mapped)
    entered = {column for use in case.uses for column in use.volumes}
    found = [
        one
        for loss, in_row in losses_of(case)
        for column, volume in case.mapped.airspace.items()
        if column not in entered and closes(case, volume)
        if (one := _over(case, loss, (column, volume), in_row=in_row)) is not None
    ]
    near = min(found, key=lambda one: one.room_m, default=None)
    if near is not None and near.room_m < doubt_m:
        yield _finding(
            f"On lost link close over {near.volume.name}",
            f"A return on lost link passes {room_ft(near.room_m)} over the top of {near.volume.name}; "
            f"{over_ft(doubt_m)} are {uncertain(case)}.",
            "set a higher return height that stays under the ceiling, or another way home",
            {"over_top_m": near.room_m, "uncertainty_m": doubt_m},
        )


def close_to_ground(case: Case) -> Iterator[Finding]:
    """Yield an act where it flies on till it may, by the uncertainty, strike the ground, or much lower.

    Much lower: under the margin of a return, and under half of what it is flown at. Not where the path
    itself is as low, which is told, and not on its way down to where it lands.
    """
    flight, track, profile = case.flight, case.track, case.profile
    if flight is None or track is None or profile is None or (loss := flight.loss) is None:
        return
    doubt_m, least_m = profile.uncertainty_m, loss.waiting_m
    with np.errstate(invalid="ignore"):
        close = (least_m < doubt_m) & (track.planned_agl_m > doubt_m)
        close |= least_m < np.fmin(loss.margin_m, track.planned_agl_m / 2.0)
        close &= (least_m > 0.0) & ~_approach(case, track)
    if (worst := worst_of(track, close, -least_m)) is None or too_low(track, loss).any():
        return
    k = worst.sample
    within = bool(least_m[k] < doubt_m[k])
    why = (
        f"{over_ft(float(doubt_m[k]))} are {uncertain(case)}"
        if within
        else f"it is flown {room_ft(float(track.planned_agl_m[k]))} up there"
    )
    found = _finding(
        "On lost link close to the ground",
        f"Lost at {along(float(track.distance_m[k]))} it flies on as it flew for {loss.failsafe.delay_s:g} s "
        f"and comes to {room_ft(float(least_m[k]))} over the ground; {why}.",
        "fly higher or sink more slowly there, turn away earlier, or set a shorter delay",
        {"room_m": float(least_m[k]), "uncertainty_m": float(doubt_m[k])},
    )
    stretch, place = worst.stretch, place_at(track, k)
    yield attrs.evolve(found, from_m=stretch.from_m, to_m=stretch.to_m, place=place)


def returns_close_to_ground(case: Case) -> Iterator[Finding]:
    """Yield an act where a return clears ground, or what stands on it, as asked but by less than the errors.

    Only a clearance that the pilot states is so small.
    """
    if case.mapped is None:
        return
    doubt_m = vertical_doubt_m(case.plan, case.mapped)
    least_m = np.inf
    for loss, _ in losses_of(case):
        if loss.margin_m >= doubt_m or loss.too_low.any() or np.isnan(loss.level_m).all():
            return
        least_m = min(least_m, float(np.nanmin(loss.level_m)))
    if least_m < doubt_m:
        yield _finding(
            "On lost link it returns close to the ground",
            f"A return on lost link passes {room_ft(least_m)} over the ground or what stands there, as far "
            f"as you want; {over_ft(doubt_m)} are {uncertain(case)}.",
            "set a higher return height that stays under the ceiling, or want a larger clearance",
            {"room_m": least_m, "uncertainty_m": doubt_m},
        )


def touches_down_fast(case: Case) -> Iterator[Finding]:
    """Yield an act where it comes to the ground of its landing place faster or farther on than one lands."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or loss.touches_mps is None:
        return
    fast = np.isfinite(loss.touches_mps) & (loss.failsafe.action is not LinkLossAction.DROP)
    if (worst := worst_of(track, fast, loss.touches_mps)) is None or too_low(track, loss).any():
        return
    k, stretch = worst.sample, worst.stretch
    mps = float(loss.touches_mps[k])
    speed = Quantity(Kind.SPEED, LANDS_ALONG_MPS)
    if too_fast := mps > LANDS_ALONG_MPS:
        then = f"at {Quantity(Kind.SPEED, mps)}. Whoever lands it slows down before."
    else:
        then = "before it is where it lands, or beyond."
    found = _finding(
        "On lost link it touches down with way on" if too_fast else "On lost link it lands short or long",
        f"Lost at {along(float(track.distance_m[k]))}, on its way down to where it lands, it flies on as it "
        f"flew for {loss.failsafe.delay_s:g} s and touches the ground {then}",
        (f"give the last leg {speed} over the ground or less, " if too_fast else "")
        + "come down steeper at its end, or set a shorter delay",
        {"speed_mps": mps},
    )
    yield attrs.evolve(found, from_m=stretch.from_m, to_m=stretch.to_m, place=place_at(track, k))


def as_low_as_climbed(case: Case) -> Iterator[Finding]:
    """Yield an act where a return leads back along the climb-out lower than is wanted, as it was flown."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or loss.climbed_m is None:
        return
    low = np.isfinite(loss.climbed_m)
    if (worst := worst_of(track, low, -loss.climbed_m)) is None or too_low(track, loss).any():
        return
    k, stretch = worst.sample, worst.stretch
    least_m = float(loss.climbed_m[k])
    found = _finding(
        "On lost link it comes home as low as it climbs out",
        f"{lost(stretch)} it returns along its climb-out, at the "
        f"highest height flown so far: {room_ft(least_m)} over the ground at the least, "
        f"{feet(loss.margin_m)} are wanted elsewhere.",
        "keep everybody off the line of the climb-out, behind the launch point, too, or set a return height",
        {"room_m": least_m, "wanted_m": loss.margin_m},
    )
    yield attrs.evolve(found, from_m=stretch.from_m, to_m=stretch.to_m, place=place_at(track, k))


def _approach(case: Case, track: Track) -> NDArray[np.bool_]:
    """Return which samples belong to the way down to where the flight lands."""
    spot = case.plan.landing or case.plan.launch
    spots = () if spot is None else (track.frame.place_to_xy(spot.place),)
    return approach(track, spots, LANDS_WITHIN_M)


def _over(case: Case, loss: LossWays, there: tuple[int, AirspaceVolume], *, in_row: bool) -> _Over | None:
    assert case.mapped is not None
    column, volume = there
    rooms = []
    for samples in ways_over(case.mapped, loss, case.mapped.outlines.polygon(column), in_row=in_row):
        room_m = samples.flown_from_amsl_m - top_amsl_m(volume, samples)
        rooms += room_m[samples.inside_outline(column) & (room_m > 0.0)].tolist()
    if not rooms or comes_into(case, column, volume):
        return None
    return _Over(volume, min(rooms))


def _finding(title: str, message: str, remedy: str, numbers: dict[str, float]) -> Finding:
    return Finding(
        rule="link-loss-within-band",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation="common practice",
        remedy=remedy,
        numbers=numbers,
    )


RULES = (
    close_under_ceiling,
    close_over_a_top,
    close_to_ground,
    returns_close_to_ground,
    touches_down_fast,
    as_low_as_climbed,
)
