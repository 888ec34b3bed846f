"""What it means for people outside an area that nobody said how fast the aircraft flies in it.

As with wind and no drag area: only a bound is known, and who says less is no better off.
"""

from planner.flight.area_flight import AreaFlight, Nearby
from planner.flight.fall import ballistic_reach_m
from planner.flight.fall_zone import grown_by_m
from planner.geo.place import Place
from planner.rules.aircraft import SPEED_LIMIT_MPS
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.words import capitalised, over_ft, room_ft


def speed_may_carry_on(case: Case, flight: AreaFlight, one: Nearby, place: Place | None) -> Finding | None:
    """Return an unknown of people onto whom an aircraft of unsaid airspeed may fall, None of others.

    The bound is own choice: at 87 kt through the air, the speed limit of 14 CFR 107.51(a), with the wind.
    """
    if flight.airspeed_mps is not None:
        return None
    most_m = float(ballistic_reach_m(flight.top_agl_m, SPEED_LIMIT_MPS + flight.wind_mps))
    if not one.apart_m < most_m + grown_by_m(case.plan.aircraft):
        return None
    own_m = case.plan.own_people_distance_m
    kept = own_m is not None and one.apart_m >= own_m
    return Finding(
        rule="reach-not-known",
        mark=Mark.ACT if kept else Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="Its speed may carry a failed aircraft onto somebody",
        message=f"{capitalised(one.thing.called)}: {room_ft(one.apart_m)} outside the area. No airspeed is "
        f"given: at 87 kt, the speed limit, what fails in it falls {over_ft(most_m)} ahead. So nobody can "
        "say whether it comes down on them." + (" Your own distance is kept." if kept else ""),
        citation=COMMON_PRACTICE,
        remedy=f"give the aircraft's highest airspeed, or end the area {over_ft(most_m)} before them, lower "
        "its top, or let them stand farther away",
        place=place,
        numbers={"apart_m": one.apart_m},
    )
