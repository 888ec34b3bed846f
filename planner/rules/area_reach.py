"""What it means for people outside an area that nobody said how fast the aircraft flies in it at the most.

As with wind and no drag area: only a bound is known, and who says less is no better off.
"""

from planner.flight.area_comes import airspeed_of
from planner.flight.area_flight import AreaFlight, Nearby
from planner.flight.fall_zone import grown_by_m
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, fine_speed
from planner.rules.words import capitalised, over_ft, room_ft


def fastest_said(plan: Plan) -> str:
    """Return with which speed what an aircraft comes to is reckoned: its highest, else the highest given."""
    return "its highest speed" if airspeed_of(plan)[1] else "the highest airspeed given"


def may_be_reached(case: Case, flight: AreaFlight, one: Nearby) -> bool:
    """Whether an aircraft whose highest airspeed nobody said may fall onto something outside."""
    return one.apart_m < flight.most_reach_m + grown_by_m(case.plan.aircraft)


def speed_may_carry_on(case: Case, flight: AreaFlight, one: Nearby, place: Place | None) -> Finding:
    """Return an unknown of people onto whom an aircraft of unsaid airspeed may fall.

    An act where another airspeed than the highest is given. The bound is own choice: at 87 kt through the
    air, the speed limit of 14 CFR 107.51(a), with the wind.
    """
    own_m = case.plan.own_people_distance_m
    kept = own_m is not None and one.apart_m >= own_m
    slower = flight.airspeed_mps is not None
    most = over_ft(flight.most_reach_m)
    why = (
        f"Its highest airspeed is not given: flown faster than {fine_speed(flight.airspeed_mps or 0.0)}, "
        f"what fails falls farther than is reckoned; at 87 kt, the speed limit, {most}."
        if slower
        else f"No airspeed is given: at 87 kt, the speed limit, what fails in it falls {most} ahead. So "
        "nobody can say whether it comes down on them."
    )
    return Finding(
        rule="reach-not-known",
        mark=Mark.ACT if kept or slower else Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="Its speed may carry a failed aircraft onto somebody",
        message=f"{capitalised(one.thing.called)}: {room_ft(one.apart_m)} outside the area. {why}"
        + (" Your own distance is kept." if kept else ""),
        citation=COMMON_PRACTICE,
        remedy=f"give the aircraft's highest airspeed, or end the area {most} before them, lower its top, or "
        "let them stand farther away",
        place=place,
        numbers={"apart_m": one.apart_m},
    )
