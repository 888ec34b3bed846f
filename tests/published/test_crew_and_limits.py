"""Who must see, and whose numbers hold for whom: check_values 1.22 to 1.25, on whole plans.

Standing A all of them, but for the distance in 1.22.
"""

import re
from datetime import timedelta

import attrs
import pytest

from planner.assess import assess
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft, Lights
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.model import Purpose
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M, STATUTE_MILE_M
from tests.worlds import SCANS, START, TRIED, WATCHES, at, hover, plan, points, world

PILOT = CrewMember("pilot", Role.REMOTE_PILOT, "", at(), Contact.BESIDE, TRIED, SCANS)


def crew(east_m: float, contact: Contact) -> tuple[CrewMember, ...]:
    return PILOT, CrewMember("observer", Role.OBSERVER, "", at(east_m, 1), contact, TRIED, WATCHES)


def stops(answer) -> set[str]:
    return {each.rule for each in answer.findings if each.mark is Mark.STOP}


# 1.22: 107.31(a): pilot, observer and whoever flies must be able to see it unaided; (b) goggles and an
# observer pass only while the observer's range reaches: 134.45 m for 0.35 m (European guidance, B).
@pytest.mark.parametrize(
    ("far_m", "verdict"),
    [(134.3, Verdict.READY), (134.6, Verdict.UNDETERMINED), (1_500.0, Verdict.MUST_CHANGE)],
)  # fmt: skip
def test_goggles_and_an_observer_pass_only_within_the_observers_range(far_m, verdict):
    untried = tuple(attrs.evolve(one, tried_ranges=()) if one.key == "observer" else one
                    for one in crew(0.0, Contact.BESIDE))  # fmt: skip
    path = points([(0, 20, 1.7), (0, far_m + 1.0, 1.7), (0, 20, 1.7)])
    flight = plan(crew=untried, path=path, visibility_m=3 * STATUTE_MILE_M)
    assert assess(flight, world()).verdict is verdict


def test_the_pilot_in_goggles_must_be_able_to_see_it_too():
    """107.31(a) is of each of them: an observer further on cures nothing for a pilot behind a ridge."""
    nowhere = (attrs.evolve(PILOT, place=None), *crew(0.0, Contact.BESIDE)[1:])
    answer = assess(plan(crew=nowhere), world())
    assert answer.verdict is Verdict.UNDETERMINED
    assert "flyer-not-placed" in {each.rule for each in answer.findings}


# 1.23: co-located and in direct communication (44809(a)(3)); "effective communication" under 107.33(a).
@pytest.mark.parametrize(
    ("purpose", "east_m", "contact", "verdict"),
    [
        (Purpose.RECREATIONAL, 300.0, Contact.RADIO, Verdict.MUST_CHANGE),
        (Purpose.RECREATIONAL, 300.0, Contact.BESIDE, Verdict.UNDETERMINED),  # word and map part
        (Purpose.RECREATIONAL, 1.0, Contact.RADIO, Verdict.MUST_CHANGE),
        (Purpose.RECREATIONAL, 1.0, Contact.BESIDE, Verdict.READY),
        (Purpose.PART_107, 300.0, Contact.RADIO, Verdict.READY),
    ],
)
def test_an_observer_300_m_away_on_the_radio(purpose, east_m, contact, verdict):
    answer = assess(plan(purpose, crew=crew(east_m, contact)), world())
    assert answer.verdict is verdict, answer.reason


# 1.24: 500 ft below cloud: 800 ft AGL leaves 300, 700 leaves 200, 950 leaves 450, of which 400 are allowed.
@pytest.mark.parametrize(
    ("cloud_ft", "highest_ft"), [(800.0, 300.0), (700.0, 200.0), (950.0, 400.0)]
)  # fmt: skip
def test_below_cloud(cloud_ft, highest_ft):
    for planned_ft, stopped in ((highest_ft - 1, False), (highest_ft + 1, True)):
        weather = PlannedWeather(cloud_base_m=cloud_ft * FOOT_M)
        answer = assess(plan(path=hover(planned_ft * FOOT_M), weather=weather), world())
        assert (answer.verdict is Verdict.MUST_CHANGE) is stopped


# 1.25: 44809 has no speed, visibility, cloud, over-people or night number.
def test_no_number_of_part_107_is_law_for_a_recreational_flight():
    """Everything wrong at once that 107.25 to 107.145 have a number for; as Part 107 each is cited."""
    night = TimeWindow(START + timedelta(hours=12), START + timedelta(hours=13))
    fast = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=60.0)) for one in plan().path)
    people = BeneathItem(BeneathKind.PEOPLE, DrawnAs.SPOT, (at(0, 0),))
    wrong = {
        "window": night,
        "path": fast,
        "visibility_m": 2_000.0,
        "weather": PlannedWeather(cloud_base_m=400 * FOOT_M),
        "beneath": (people,),
        "from_vehicle": FromVehicle(False, False),
        "aircraft": Aircraft("5-inch quad", 0.62, 0.35, registration="INVENTED-1", lights=Lights(False)),
    }  # fmt: skip
    numbers = re.compile(r"107\.(25|29|31|33|39|51|1\d\d)|\b87 ?kt|\b3 statute miles")
    law = [each for each in assess(plan(Purpose.RECREATIONAL, **wrong), world()).findings
           if each.basis is Basis.LAW]  # fmt: skip
    assert not [each.citation for each in law if numbers.search(each.citation)]
    assert not [each.message for each in law if numbers.search(f"{each.message} {each.title}")]
    cited = " ".join(each.citation for each in assess(plan(**wrong), world()).findings)
    for section in ("107.25", "107.29", "107.39", "107.51(a)", "107.51(c)"):
        assert section in cited
    assert {"over-people"} <= stops(assess(plan(**wrong), world()))
