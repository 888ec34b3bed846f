"""Rules on who and what is beneath: crossings from-to with their remedy, the fall, a vehicle to fly from."""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np

from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.beneath import Underneath
from planner.flight.crossings import Crossing
from planner.flight.fall import drop_height_of_energy_m, kinetic_energy_j
from planner.plan.crew import Role
from planner.plan.model import Purpose
from planner.rules.beneath_axis import drift_is_known
from planner.rules.beneath_judged import CoverMet, Judged, cover_met, judged
from planner.rules.bibliography import FROM_A_VEHICLE, OVER_PEOPLE, RECREATIONAL_GUIDELINES
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver, waived
from planner.rules.flight_words import COMMON_PRACTICE, feet, no_wind_words
from planner.rules.standing import CHARTED_AT_MOST_M
from planner.rules.stretches import place_at
from planner.rules.words import along, capitalised, over_ft
from planner.saying import Kind, Quantity, marked
from planner.units import FOOT_POUND_FORCE_J
from planner.world.weather.atmosphere import GRAVITY_MPS2

_MOST_LISTED: Final = 5
_OVER: Final = {
    Below.ASSEMBLY: "Over a gathering",
    Below.VEHICLES: "Over moving vehicles",
    Below.SPECTATORS: "Over the spectators",
    Below.PEOPLE: "Over people",
    Below.SUBJECT: "Over the subject",
    Below.ROAD: "Over a road",
    Below.GATHERING_PLACE: "Over a place where people gather",
    Below.TRAIL: "Over a trail",
    Below.WIRE: "Over charted wires",
    Below.UNDER_COVER: "Over people under cover",
    Below.BUILDING: "Over buildings",
    Below.WATER: "Over water",
}
_TITLES: Final = {
    "fall-on-people": "A failed aircraft falls on somebody",
    "drift-not-known": "Wind may carry a failed aircraft onto somebody",
    "reach-not-known": "Its speed may carry a failed aircraft onto somebody",
    "people-near": "Nearer to people than a failed aircraft may come",
    "own-distance": "Nearer to people than you want",
}


def beneath(case: Case) -> Iterator[Finding]:
    """Yield a finding for each thing of the pilot's own, and one for each kind that charts show."""
    charted: dict[str, list[Judged]] = {}
    for one in judged(case):
        if one.thing.item is None and one.rule != "own-distance" and one.thing.below not in OF_PEOPLE:
            charted.setdefault(one.rule, []).append(one)
        else:
            yield _finding(case, [one])
    for same in charted.values():
        yield _finding(case, same)


def _finding(case: Case, same: Sequence[Judged]) -> Finding:
    track, first = case.track, same[0]
    assert track is not None
    spots = sorted(
        ((cross, one.thing) for one in same for cross in one.crossings), key=lambda spot: spot[0].from_m
    )
    from_m, to_m = _stretch(case, first, spots)
    sample = int(np.searchsorted(track.distance_m, from_m, "left"))
    title = _TITLES.get(first.rule) or _OVER[first.thing.below]
    return Finding(
        rule=first.rule,
        mark=first.ruling.mark,
        basis=first.ruling.basis,
        title=title,
        message=f"{capitalised(_where(first.thing, spots))} {first.ruling.why}",
        citation=first.ruling.citation,
        remedy=first.ruling.remedy,
        from_m=from_m,
        to_m=to_m,
        place=place_at(track, min(sample, len(track) - 1)),
        numbers={} if first.apart_m is None else {"apart_m": first.apart_m},
    )


def _stretch(case: Case, one: Judged, spots: Sequence[tuple[Crossing, Thing]]) -> tuple[float, float]:
    if spots:
        return spots[0][0].from_m, spots[0][0].to_m
    assert case.track is not None
    assert one.sample is not None
    at_m = float(case.track.distance_m[one.sample])
    return at_m, at_m


def _where(thing: Thing, spots: Sequence[tuple[Crossing, Thing]]) -> str:
    """Return the crossings listed from-to, with the angle to a line."""
    if not spots:
        return f"{thing.called}:"
    told = [_spot(cross, one, named=k == 0 or one.name != spots[k - 1][1].name)
            for k, (cross, one) in enumerate(spots[:_MOST_LISTED])]  # fmt: skip
    more = f" and {len(spots) - _MOST_LISTED} more" if len(spots) > _MOST_LISTED else ""
    return f"{'; '.join(told)}{more}."


def _spot(cross: Crossing, thing: Thing, *, named: bool) -> str:
    where = (
        f"at {along(cross.from_m)}"
        if cross.to_m - cross.from_m < 1.0
        else f"{along(cross.from_m)} to {along(cross.to_m)}"
    )
    angle = f" at {cross.angle_deg:.0f} degrees" if cross.angle_deg is not None and cross.overhead else ""
    return f"{thing.called} {where}{angle}" if named else f"{where}{angle}"


def cover(case: Case) -> Iterator[Finding]:
    """Yield a stop where the path leads into trees or a building, an act where no height is given.

    Charted buildings without a height are told together.
    """
    untold = []
    for met in cover_met(case):
        if met.height_m is None and met.thing.item is None:
            untold.append(met)
        else:
            yield _into(case, met)
    if untold:
        first = min(untold, key=lambda met: met.lowest_m)
        more = f", and {len(untold) - 1} more" if len(untold) > 1 else ""
        found = _into(case, first)
        yield attrs.evolve(
            found,
            title="How high charted buildings are is not known",
            message=f"{marked(found.message)} So low it leads over {first.thing.called}{more}: the chart "
            f"gives no height, and such buildings may be {feet(CHARTED_AT_MOST_M)} high.",
            remedy=f"fly {feet(CHARTED_AT_MOST_M)} above the ground there, go round, or look how high they "
            "are and draw them",
        )


def _into(case: Case, met: CoverMet) -> Finding:
    track, cross, thing = case.track, met.crossing, met.thing
    assert track is not None
    by = "drawn" if thing.item is not None else "charted"
    return Finding(
        rule="into-cover" if met.into else "cover-without-height",
        mark=met.mark,
        basis=Basis.SAFETY,
        title=f"The path leads into {thing.called}"
        if met.into
        else f"How high {thing.called} is, is not said",
        message=f"{along(cross.from_m)} to {along(cross.to_m)}: {feet(met.lowest_m)} up at the lowest"
        + (f", {by} as {feet(met.height_m)} high." if met.height_m is not None else "."),
        citation=COMMON_PRACTICE,
        remedy="fly above or round it" if met.into else "say how high, then it is held against the way home",
        from_m=cross.from_m,
        to_m=cross.to_m,
        place=place_at(track, int(np.searchsorted(track.distance_m, cross.from_m))),
    )


def fall(case: Case) -> Iterator[Finding]:
    """Yield a note on where and how hard a failed aircraft comes down."""
    under = case.flight.beneath if case.flight else None
    if under is None or case.track is None or np.isnan(under.zone.reach_m).all():
        return
    zone, track = under.zone, case.track
    far = int(np.nanargmax(np.fmax(zone.reach_m, zone.drift_m)))
    drift = f", and {over_ft(float(zone.drift_m[far]))} with the wind" if zone.drift_m[far] > 0 else ""
    known = drift_is_known(case)
    beyond = ~zone.one_to_one_enough & ~np.isnan(zone.reach_m)
    beyond_m = float(np.diff(track.distance_m)[beyond[:-1]].sum())
    height = (
        f"As much distance as height (the 1:1 rule) is enough {'everywhere' if known else 'ahead'}."
        if beyond_m < 1.0
        else "As much distance as height (the 1:1 rule) is not enough on "
        f"{along(beyond_m)} of the path: it is flown too fast for that."
    )
    yield Finding(
        rule="fall-zone",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title=f"A failed aircraft falls up to {over_ft(float(zone.reach_m[far]))} ahead",
        message=f"Farthest from {along(float(track.distance_m[far]))}, "
        f"{over_ft(float(zone.height_m[far]))} up{drift}, without drag. {height}"
        + (
            ""
            if known
            else f" How far wind carries it is not known: {_lacking(case, under)}{_at_most(under)}."
        )
        + _energy(case, under),
        citation=COMMON_PRACTICE,
        place=place_at(track, far),
        numbers={"reach_m": float(zone.reach_m[far]), "height_m": float(zone.height_m[far])},
    )


def _lacking(case: Case, under: Underneath) -> str:
    """Return which of wind and drag area is not given."""
    weather = case.flight.weather if case.flight else None
    if under.terminal_mps is not None:
        return no_wind_words(weather) if weather else "no wind is given"
    if weather is not None and weather.lost_winds:
        return f"no drag area is given, and {no_wind_words(weather)}"
    no_wind = weather is None or weather.wind is None
    return "neither wind nor drag area is given" if no_wind else "no drag area is given"


def _at_most(under: Underneath) -> str:
    """Return how far it is at the most, where wind is given and no drag area."""
    most_m = under.most_drift_m
    return "" if most_m is None else f"; {over_ft(float(np.nanmax(most_m)))} at the most"


def _energy(case: Case, under: Underneath) -> str:
    craft = case.plan.aircraft
    if craft is None or case.flight is None:
        return ""
    speed = np.nan_to_num(case.flight.motion.ground_speed_mps, nan=0.0)
    # Without drag nothing of the height is lost: never less than in truth.
    square = speed**2 + 2 * GRAVITY_MPS2 * np.nan_to_num(under.zone.height_m, nan=0.0)
    hardest = float(np.sqrt(square.max()))
    if under.hardest_mps is not None:
        hardest = min(hardest, max(under.hardest_mps, float(speed.max())))
    energy = kinetic_energy_j(craft.take_off_weight_kg, hardest)
    screening_j = 11 * FOOT_POUND_FORCE_J
    from_m = drop_height_of_energy_m(craft.take_off_weight_kg, screening_j)
    return (
        f" As a screening only: it hits with up to {Quantity(Kind.ENERGY, energy)}; a drop of "
        f"{feet(from_m)} gives {Quantity(Kind.ENERGY, screening_j)}. "
        "The categories count injury, not energy: their declaration decides."
    )


def spectators_placed(case: Case) -> Iterator[Finding]:
    """Yield an act for spectators of the crew list who stand nowhere: nobody can fly clear of them."""
    names = [one.name or "a spectator" for one in case.plan.crew_in(Role.SPECTATOR) if one.place is None]
    if names:
        yield Finding(
            rule="spectator-without-place",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Where spectators stand is not said",
            message=f"{capitalised(', '.join(names))}: without a place they are not among those beneath.",
            citation=OVER_PEOPLE,
            remedy="place them on the map, or draw the line behind which they stand",
        )


def from_vehicle(case: Case) -> Iterator[Finding]:
    """Yield what binds a flight from a moving land or water vehicle."""
    vehicle = case.plan.from_vehicle
    if vehicle is None:
        return
    recreational = case.plan.purpose is Purpose.RECREATIONAL
    mark, why, remedy = (
        (Mark.ACT, "The statute names no rule on it; the guidelines you follow decide.", "read them")
        if recreational
        else _vehicle(case, vehicle.sparsely_populated, vehicle.carries_for_hire)
    )
    yield Finding(
        rule="from-moving-vehicle",
        mark=mark,
        basis=Basis.SAFETY if recreational else Basis.LAW,
        title="Flown from a moving vehicle",
        message=f"{why} Whoever flies does not drive.",
        citation=RECREATIONAL_GUIDELINES if recreational else FROM_A_VEHICLE,
        remedy=remedy,
    )


def _vehicle(case: Case, sparsely_populated: bool | None, for_hire: bool | None) -> tuple[Mark, str, str]:
    if for_hire:
        return (
            Mark.STOP,
            "Nothing is carried for hire in an aircraft flown from a moving vehicle; that is never waived.",
            "fly from a place that stands, or carry nothing for hire",
        )
    if not sparsely_populated and waived(case, "107.25"):
        return (
            Mark.ACT,
            "From a moving vehicle over more than a sparsely populated area, as a waiver on record allows.",
            "keep to the waiver's conditions, and carry nothing for hire",
        )
    if sparsely_populated is False:
        return (
            Mark.STOP,
            "From a moving vehicle it is flown over a sparsely populated area only.",
            f"fly from a place that stands{or_waiver(case, '107.25')}",
        )
    if sparsely_populated is None or for_hire is None:
        return (
            Mark.ACT,
            "From a moving vehicle only over a sparsely populated area, carrying nothing for hire: not said.",
            "say whether the area is sparsely populated and nothing is carried for hire",
        )
    return Mark.NOTE, "Over a sparsely populated area, and nothing carried for hire, it may be.", ""


RULES = (beneath, spectators_placed, cover, fall, from_vehicle)
