"""What a plan does not say yet, one thing after the other left out by hand.

An observer beside whoever flies through goggles: 49 USC 44809(a)(4) and 14 CFR 107.31, 107.33 (check_values,
standing A). Notices within 24 hours is an own choice, as is what counts as no way at all.
"""

from datetime import timedelta

import attrs
import pytest

from planner.plan.crew import Contact, Role
from planner.plan.model import Purpose
from planner.plan.records import NoticesChecked
from planner.rules import basics
from planner.rules.finding import Mark
from tests.rules.hand_made import complete
from tests.worlds import START, area, box

CASE = complete()
PLAN = CASE.plan
FUN, PART_107 = Purpose.RECREATIONAL, Purpose.PART_107
AREA = area(box(-50, -50, 50, 50), None)


def told(rule, track=CASE.track, **changes):
    case = attrs.evolve(CASE, plan=attrs.evolve(PLAN, **changes), track=track)
    return {one.rule: one.mark for one in rule(case)}


def test_a_complete_plan_lacks_nothing():
    for rule in basics.RULES:
        assert not told(rule)


@pytest.mark.parametrize(
    ("points", "flying_area", "drawn", "begun"),
    [(0, None, False, False), (1, None, True, True), (2, None, True, False), (0, AREA, True, False),
     (1, AREA, True, True)],
)  # fmt: skip
def test_two_points_or_an_area_are_something_to_judge(points, flying_area, drawn, begun):
    """Our own rule (issue 8): one point is told once, as a path begun, not as nothing as well."""
    given = {"path": PLAN.path[:points], "area": flying_area}
    assert told(basics.drawn, **given) == ({} if drawn else {"nothing-drawn": Mark.UNKNOWN})
    assert told(basics.path_of_one_point, **given) == ({"path-of-one-point": Mark.UNKNOWN} if begun else {})


def test_the_one_point_is_shown():
    case = attrs.evolve(CASE, plan=attrs.evolve(PLAN, path=PLAN.path[:1]))
    (one,) = basics.path_of_one_point(case)
    assert one.place == PLAN.path[0].place


@pytest.mark.parametrize(("length_m", "none"), [(0.0, True), (1e-7, True), (1e-5, False), (0.5, False)])
def test_a_path_without_any_length_is_no_way(length_m, none):
    track = attrs.evolve(CASE.track, distance_m=CASE.track.distance_m / CASE.track.length_m * length_m)
    assert told(basics.path_of_equal_points, track) == ({"path-without-length": Mark.UNKNOWN} if none else {})
    assert not told(basics.path_of_equal_points, None)


@pytest.mark.parametrize(
    ("purpose", "guidelines", "rules"),
    [
        (None, "", ["no-purpose"]),
        (None, "INVENTED", ["no-purpose"]),
        (FUN, "", ["no-guidelines"]),
        (FUN, "  ", ["no-guidelines"]),
        (FUN, "INVENTED", []),
        (PART_107, "", []),
    ],
)
def test_purpose_and_what_a_recreational_flight_follows(purpose, guidelines, rules):
    assert list(told(basics.purpose_given, purpose=purpose, guidelines=guidelines)) == rules


@pytest.mark.parametrize(
    ("rule", "field", "name"),
    [
        (basics.window_given, "window", "no-window"),
        (basics.launch_given, "launch", "no-launch"),
        (basics.aircraft_given, "aircraft", "no-aircraft"),
        (basics.notices_checked, "notices", "notices-not-checked"),
    ],
)
def test_what_is_left_out_leaves_the_answer_open(rule, field, name):
    assert told(rule, **{field: None}) == {name: Mark.UNKNOWN}


@pytest.mark.parametrize(
    ("hours", "window", "name"),
    [
        (24.0, True, None),
        (24.01, True, "notices-too-old"),
        (0.0, True, None),
        (-0.01, True, "notices-after-start"),
        (100.0, False, None),
        (-100.0, False, None),
    ],
)
def test_notices_hold_from_a_day_before_to_the_start(hours, window, name):
    given = {"notices": NoticesChecked(START - timedelta(hours=hours), "pilot")}
    given |= {} if window else {"window": None}
    assert told(basics.notices_checked, **given) == ({name: Mark.UNKNOWN} if name else {})


# ---- crew


def crew(*members):
    made = {member.key: member for member in PLAN.crew}
    return tuple(attrs.evolve(made[key], **changes) for key, changes in members)


def test_a_crew_without_observer_is_a_stop_and_none_at_all_is_not_said():
    assert told(basics.observer_named, crew=crew(("pilot", {}))) == {"no-observer": Mark.STOP}
    assert told(basics.observer_named, crew=()) == {"no-observer": Mark.UNKNOWN}
    assert told(basics.pilot_named, crew=crew(("observer", {}))) == {"no-pilot-named": Mark.UNKNOWN}
    assert not told(basics.pilot_named, crew=crew(("pilot", {})))


@pytest.mark.parametrize(
    ("purpose", "contact", "rules"),
    [
        (FUN, Contact.BESIDE, {}),
        (FUN, Contact.RADIO, {"observer-not-beside": Mark.STOP}),
        (FUN, None, {"observer-contact": Mark.UNKNOWN}),
        (PART_107, Contact.RADIO, {}),
        (PART_107, Contact.BESIDE, {}),
        (PART_107, None, {"observer-contact": Mark.UNKNOWN}),
        (None, Contact.RADIO, {}),
    ],
)
def test_the_observer_of_a_recreational_flight_stands_beside_the_pilot(purpose, contact, rules):
    members = crew(("pilot", {}), ("observer", {"contact": contact}))
    assert told(basics.observer_named, crew=members, purpose=purpose) == rules
    nowhere = crew(("pilot", {}), ("observer", {"contact": contact, "place": None}))
    assert (
        told(basics.observer_named, crew=nowhere, purpose=purpose)
        == {"observer-not-placed": Mark.UNKNOWN} | rules
    )


def test_observers_are_named_by_name_else_by_key_in_one_order():
    members = (
        attrs.evolve(PLAN.crew[1], key="b", name="", contact=None),
        attrs.evolve(PLAN.crew[1], key="a", name="ALEX INVENTED", contact=None),
    )
    assert {member.role for member in members} == {Role.OBSERVER}
    for order in (members, members[::-1]):
        case = attrs.evolve(CASE, plan=attrs.evolve(PLAN, crew=order))
        assert [one.title for one in basics.observer_named(case)] == [
            "How ALEX INVENTED is heard is not set",
            "How b is heard is not set",
        ]


def test_somebody_without_a_name_is_called_in_words():
    """Our own rule: no key of a file among the words that a pilot reads."""
    nameless = crew(("pilot", {}), ("observer", {"key": "observer-1", "name": "", "contact": None}))
    (one,) = basics.observer_named(attrs.evolve(CASE, plan=attrs.evolve(PLAN, crew=nameless)))
    assert one.title == "How observer 1 is heard is not set"
