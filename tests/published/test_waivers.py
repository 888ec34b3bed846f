"""What of part 107 can be waived, and what a waiver on record does.

14 CFR 107.200 (standing A) and the list of 107.205 (B: a secondary description), check_values 15: 107.25,
.29(a)(2) and (b), .31, .33, .35, .37(a), .39, .41, .51, .145. Not on it: .23, .27, .36, .47, .49.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.permission.waivers import WAIVABLE, waives
from planner.plan.aircraft import Aircraft, OverPeople
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.plain_words import PLAIN_WORDS
from tests.worlds import START, at, plan, points, record, world

LISTED = ["107.25", "107.29(a)(2)", "107.29(b)", "107.31", "107.33", "107.35", "107.37(a)", "107.39",
          "107.41", "107.51", "107.145"]  # fmt: skip
NOT_LISTED = ["107.23", "107.27", "107.36", "107.47", "107.49", "107.29(a)(1)", "107.37(b)"]


def waiver(text, **changes):
    return record(text, None, PermissionKind.WAIVER, **changes)


def marks(answer, prefix="waiver-"):
    return {each.rule: each.mark for each in answer.findings if each.rule.startswith(prefix)}


def test_the_list_is_the_published_one():
    sections = {f"{section}{paragraph}" for section, listed in WAIVABLE.items() for paragraph in listed}
    assert sections == set(LISTED)
    for section in LISTED:
        assert section.split("(")[0] in PLAIN_WORDS["waiver-not-possible"]


@pytest.mark.parametrize("section", LISTED)
def test_what_is_listed_is_taken(section):
    answer = assess(plan(permissions=(waiver(f"14 CFR {section}"),)), world())
    assert set(marks(answer)) <= {"waiver-not-counted"}
    name, _, rest = section.partition("(")
    assert waives(waiver(section), name, f"({rest}" if rest else "")


@pytest.mark.parametrize("section", NOT_LISTED)
def test_what_is_not_listed_can_not_be_waived(section):
    answer = assess(plan(permissions=(waiver(f"14 CFR {section}"),)), world())
    assert marks(answer) == {"waiver-not-possible": Mark.ACT}
    (told,) = [each for each in answer.findings if each.rule == "waiver-not-possible"]
    assert section in told.title
    assert told.citation == "14 CFR 107.200, 107.205"
    assert not waives(waiver(section), section.split("(")[0])


@pytest.mark.parametrize(
    ("text", "section", "paragraph", "lifts"),
    [
        ("14 CFR 107.29(a)(2) and (b)", "107.29", "(b)", True),
        ("107.29(a)(2)", "107.29", "(b)", False),
        ("107.29", "107.29", "(b)", True),
        ("107.51(a), (c)", "107.51", "(c)", True),
        ("107.51(a), denied, (c)", "107.51", "(c)", False),
        ("(c) and 107.51(a)", "107.51", "(c)", False),
        ("denied: 107.51", "107.51", "(c)", False),
        ("107.310", "107.31", "", False),
    ],
)
def test_a_waiver_lifts_what_it_names(text, section, paragraph, lifts):
    assert waives(waiver(text), section, paragraph) is lifts
    paper = attrs.evolve(waiver(text), kind=PermissionKind.AUTHORIZATION)
    assert not waives(paper, section, paragraph)


def test_words_that_name_no_section_lift_nothing_and_are_told():
    assert marks(assess(plan(permissions=(waiver("height, see letter"),)), world())) == {
        "waiver-not-read": Mark.ACT
    }
    assert not marks(assess(plan(permissions=(waiver("14 CFR 89.105"),)), world()))


def test_a_waiver_lifts_nothing_of_a_recreational_flight():
    """Waivers are of part 107 (107.200, A); 49 USC 44809 has none."""
    papers = (waiver("14 CFR 107.51"), waiver("14 CFR 107.29"))
    answer = assess(plan(Purpose.RECREATIONAL, permissions=papers, path=points([(0, 0, 130), (9, 0, 130)])),
                    world())  # fmt: skip
    assert marks(answer) == {"waiver-recreational": Mark.NOTE}
    assert "above-height-limit" in {each.rule for each in answer.findings}


# ---- each that is counted, at the rule that it lifts


NIGHT = TimeWindow(START + timedelta(hours=12), START + timedelta(hours=13))
"""At 150 W in June: 21:00 to 22:00 by the sun, an hour and a half after sunset."""
DUSK = TimeWindow(START + timedelta(hours=10, minutes=25), START + timedelta(hours=10, minutes=45))


@pytest.mark.parametrize(
    ("window", "text", "mark"),
    [
        (NIGHT, "107.29(a)(2)", Mark.ACT),
        (NIGHT, "107.29(b)", Mark.UNKNOWN),
        (NIGHT, "107.29(a)(1)", Mark.UNKNOWN),
        (DUSK, "107.29(b)", Mark.ACT),
        (DUSK, "107.29(a)(2)", Mark.UNKNOWN),
        (DUSK, "107.29", Mark.ACT),
    ],
)
def test_the_light_is_waived_for_night_and_twilight_apart(window, text, mark):
    """107.29(a)(2) is of night, (b) of civil twilight (check_values 5 and 15)."""
    answer = assess(plan(window=window, permissions=(waiver(text),)), world())
    assert marks(answer, "no-light-by-dark") == {"no-light-by-dark": mark}


def over(kind, drawn_as, *places: Place):
    return BeneathItem(kind, drawn_as, places, moving_vehicles=kind is BeneathKind.ROAD or None)


PEOPLE = over(BeneathKind.PEOPLE, DrawnAs.SPOT, at(0, 0))
CARS = over(BeneathKind.ROAD, DrawnAs.LINE, at(0, -80), at(0, 80))


@pytest.mark.parametrize(
    ("item", "text", "mark"),
    [
        (PEOPLE, "107.39", Mark.ACT),
        (PEOPLE, "107.145", Mark.STOP),
        (CARS, "107.39 and 107.145", Mark.ACT),
        (CARS, "107.145", Mark.STOP),  # who sits in a moving vehicle is a person, too: own reading
        (CARS, "107.39", Mark.STOP),
    ],
)
def test_people_and_moving_vehicles(item, text, mark):
    aircraft = Aircraft("5-inch quad", 0.62, 0.35, over_people=OverPeople.NONE)
    flight = plan(aircraft=aircraft, beneath=(item,), permissions=(waiver(text),))
    answer = assess(flight, world())
    assert marks(answer, "over-people") == {"over-people": mark}
    assert assess(attrs.evolve(flight, permissions=()), world()).verdict.words == "Must change"


@pytest.mark.parametrize(("for_hire", "mark"), [(False, Mark.ACT), (True, Mark.STOP)])
def test_from_a_moving_vehicle_but_never_for_hire(for_hire, mark):
    flight = plan(from_vehicle=FromVehicle(False, for_hire), permissions=(waiver("14 CFR 107.25"),))
    assert marks(assess(flight, world()), "from-moving-vehicle") == {"from-moving-vehicle": mark}
