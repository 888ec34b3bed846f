"""Papers and permissions at their edges, in words: rules asked directly, without a flight about them.

Sources as in `test_papers`: 14 CFR 48.15, 89.101, 107.12, 107.65, 107.110 and 49 USC 44809 (standing A or
from memory, as said there). A pound is 0.45359237 kg (1959, exact).
"""

from datetime import UTC, date, datetime, timedelta

import attrs
import pytest

from planner.geo.window import TimeWindow
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.model import Purpose
from planner.plan.papers import Papers
from planner.plan.records import PermissionKind
from planner.rules.finding import Basis, Mark
from planner.rules.papers import (
    certificate,
    must_be_registered,
    over_people_category,
    paid_flight,
    registration,
    remote_id,
    safety_test,
)
from planner.world.sites import ExemptArea
from tests.rules.hand_made import complete
from tests.worlds import START, area, at, box, plan, points, record

CASE = complete()
LAW, FUN = Purpose.PART_107, Purpose.RECREATIONAL
POUND_KG = 0.45359237
WHOLE = Papers(date(2099, 1, 1), True, True, True, "INVENTED-107", date(2026, 11, 1), False)


def case(purpose=LAW, aircraft=None, papers=WHOLE, world=None, **flight):
    made = attrs.evolve(CASE.plan.aircraft, **{"registration": "INVENTED-1", **(aircraft or {})})
    changed = attrs.evolve(CASE.plan, **{"purpose": purpose, "aircraft": made, "papers": papers, **flight})
    return attrs.evolve(CASE, plan=changed, world=attrs.evolve(CASE.world, **(world or {})))


def told(rule, *given, **changes):
    return {one.rule: one for one in rule(case(*given, **changes))}


# ---- registration


def test_why_it_must_be_registered_is_said_with_its_weight():
    bare = {"registration": None, "take_off_weight_kg": 0.62}
    (one,) = told(registration, LAW, bare).values()
    assert (
        one.message
        == "Under Part 107 every aircraft is registered, however light it is. The plan names none."
    )
    assert one.numbers == {"take_off_weight_kg": 0.62}
    # 0.62 kg are 1.36686 lb: rounded up, 1.367 lb.
    (one,) = told(registration, FUN, bare).values()
    assert one.message.startswith(
        "It takes off with 1.367 lb (620.0 g): more than 0.55 lb has to be registered."
    )
    # A gram over 0.55 lb reads as more than that, and 1.5 lb as that.
    (one,) = told(registration, FUN, {**bare, "take_off_weight_kg": 0.55 * POUND_KG + 1e-6}).values()
    assert "with 0.551 lb (249.5 g)" in one.message
    (one,) = told(registration, FUN, {**bare, "take_off_weight_kg": 1.5 * POUND_KG}).values()
    assert "with 1.500 lb (680.4 g)" in one.message
    (one,) = told(registration, FUN, {**bare, "take_off_weight_kg": 2.0}).values()
    assert "(2,000.0 g)" in one.message


def test_a_paper_needs_an_aircraft_and_a_purpose():
    for rule in (registration, remote_id):
        assert told(rule, LAW, {"registration": None, "remote_id": None})
        assert not list(rule(attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, aircraft=None))))
        assert not told(rule, None, {"registration": None, "remote_id": None})
    light = attrs.evolve(CASE.plan.aircraft, take_off_weight_kg=0.55 * POUND_KG)
    assert not must_be_registered(attrs.evolve(CASE.plan, aircraft=light, purpose=FUN))
    assert must_be_registered(attrs.evolve(CASE.plan, aircraft=light))
    assert not must_be_registered(attrs.evolve(CASE.plan, aircraft=None))
    assert not must_be_registered(attrs.evolve(CASE.plan, aircraft=None, purpose=FUN))


@pytest.mark.parametrize(("until", "ended"), [(date(2027, 6, 12), False), (date(2027, 6, 11), True)])
def test_the_last_day_of_a_registration_is_a_day_of_it(until, ended):
    found = told(registration, papers=attrs.evolve(WHOLE, registered_until=until))
    assert bool(found) is ended
    if ended:
        one = found["registration-ended"]
        assert one.mark is Mark.STOP
        assert one.message == "It holds until 11 Jun 2027, the flight is on 12 Jun 2027."
    assert not told(registration, papers=attrs.evolve(WHOLE, registered_until=until), window=None)


@pytest.mark.parametrize(
    ("marked", "proof", "mark", "words"),
    [
        (True, True, None, ""),
        (False, True, Mark.STOP, "there is not a number on the outside of the aircraft."),
        (True, False, Mark.STOP, "there is not a proof of registration at hand."),
        (
            False,
            False,
            Mark.STOP,
            "not a number on the outside of the aircraft and not a proof of registration",
        ),
        (None, True, Mark.ACT, "whether there is a number on the outside of the aircraft."),
        (
            None,
            None,
            Mark.ACT,
            "a number on the outside of the aircraft and a proof of registration at hand.",
        ),
    ],
)
def test_marking_and_proof(marked, proof, mark, words):
    found = told(registration, papers=attrs.evolve(WHOLE, marked=marked, proof_carried=proof))
    assert [one.mark for one in found.values()] == ([mark] if mark else [])
    for one in found.values():
        assert words in one.message
        assert (one.basis, one.numbers) == (Basis.LAW, {})


# ---- Remote ID


WIDE = box(-2_000, -2_000, 2_000, 2_000)
TERM = (datetime(2025, 1, 1, tzinfo=UTC), datetime(2029, 1, 1, tzinfo=UTC))


def exempt(outline=WIDE, name="FIELD", term=TERM):
    return {"exempt_areas": (ExemptArea("x", name, outline, *term),)}


def without_id(world=None, **flight):
    (one,) = told(remote_id, LAW, {"remote_id": RemoteId.NONE}, world=world, **flight).values()
    return one


def test_inside_an_exempt_area_none_is_needed():
    one = without_id(exempt())
    assert (one.rule, one.mark, one.title) == (
        "remote-id-exempt",
        Mark.NOTE,
        "Without Remote ID inside FIELD",
    )
    assert without_id(exempt(name="")).title == "Without Remote ID inside an exempt area"


@pytest.mark.parametrize("what", ["launch", "landing", "path", "area"])
def test_all_that_is_drawn_lies_in_it(what):
    outside = {
        "launch": attrs.evolve(plan().launch, place=at(3_000, 0)),
        "landing": attrs.evolve(plan().landing, place=at(0, 3_000)),
        "path": points([(0, 0, 30.0), (0, -3_000, 30.0)]),
        "area": area(box(0, 0, 3_000, 10), None),
    }
    assert without_id(exempt(), area=area(box(0, 0, 300, 10), None)).mark is Mark.NOTE
    assert without_id(exempt(), **{what: outside[what]}).mark is Mark.STOP
    alone = {"launch": None, "landing": None, "path": (), "area": None}
    assert without_id(exempt(), **{**alone, what: outside[what]}).mark is Mark.STOP
    assert without_id(exempt(), **alone).mark is Mark.STOP


def test_it_is_exempt_for_its_term_only():
    later, longer = START + timedelta(minutes=30), START + timedelta(hours=1)
    for term, mark in (
        ((TERM[0], longer), Mark.NOTE),
        ((TERM[0], later), Mark.STOP),
        ((later, TERM[1]), Mark.STOP),
        ((None, TERM[1]), Mark.STOP),
        ((TERM[0], None), Mark.STOP),
    ):
        assert without_id(exempt(term=term)).mark is mark
    assert without_id(exempt(), window=None).mark is Mark.STOP


def test_a_record_under_part_89_lets_it_fly_without():
    for kind, named, mark in (
        (PermissionKind.WAIVER, "14 CFR 89.105", Mark.NOTE),
        (PermissionKind.AGENCY, "part 89", Mark.NOTE),
        (PermissionKind.AUTHORIZATION, "part 89", Mark.STOP),
        (PermissionKind.WAIVER, "14 CFR 107.31", Mark.STOP),
        (PermissionKind.WAIVER, "part 89 and 107.31", Mark.STOP),
    ):
        assert without_id(permissions=(record(named, None, kind),)).mark is mark
    late = record("part 89", None, PermissionKind.WAIVER, valid_from_utc=START + timedelta(minutes=1))
    assert without_id(permissions=(late,)).mark is Mark.STOP
    given = without_id(permissions=(late, record("part 89", None, PermissionKind.WAIVER, reference="W-2")))
    assert given.message.startswith("Record W-2 lets it fly without.")


# ---- pilot and purpose


def test_training_counts_from_its_day():
    """14 CFR 107.65: within the previous 24 calendar months; the plan flies on 12 June 2027."""
    for trained, rule in (
        (date(2027, 6, 12), None),
        (date(2027, 6, 13), "training-not-yet"),
        (date(2025, 6, 1), None),
        (date(2025, 5, 31), "training-lapsed"),
        (None, "training-not-said"),
    ):
        found = told(certificate, papers=attrs.evolve(WHOLE, trained_on=trained))
        assert set(found) == ({rule} if rule else set())
        if trained is not None:
            assert not told(certificate, papers=attrs.evolve(WHOLE, trained_on=trained), window=None)
    lapsed = told(certificate, papers=attrs.evolve(WHOLE, trained_on=date(2025, 5, 31)))["training-lapsed"]
    assert lapsed.message == "Training of 31 May 2025 holds until 31 May 2027; the flight is on 12 Jun 2027."
    early = told(certificate, papers=attrs.evolve(WHOLE, trained_on=date(2027, 6, 13)))["training-not-yet"]
    assert early.message == "It is dated 13 Jun 2027, the flight is on 12 Jun 2027."


def test_of_a_flight_over_two_days_the_first_and_the_last_day_count():
    night = TimeWindow(START, START + timedelta(hours=8))
    trained = attrs.evolve(WHOLE, trained_on=date(2027, 6, 13))
    assert set(told(certificate, papers=trained, window=night)) == {"training-not-yet"}
    month = TimeWindow(START, START + timedelta(days=30))
    assert set(told(certificate, papers=attrs.evolve(WHOLE, trained_on=date(2025, 6, 3)), window=month)) == {
        "training-lapsed"
    }


def test_papers_of_another_purpose_are_not_asked_for():
    none = Papers()
    assert set(told(certificate, LAW, papers=none)) == {"no-certificate", "training-not-said"}
    assert set(told(certificate, LAW, papers=None)) == {"no-certificate", "training-not-said"}
    assert set(told(certificate, LAW, papers=attrs.evolve(WHOLE, certificate="  "))) == {"no-certificate"}
    for purpose in (FUN, None):
        assert not told(certificate, purpose, papers=none)
    for rule in (safety_test, paid_flight):
        assert told(rule, FUN, papers=none)
        for purpose in (LAW, None):
            assert not told(rule, purpose, papers=none)


@pytest.mark.parametrize(("passed", "mark"), [(True, None), (None, Mark.ACT), (False, Mark.STOP)])
def test_the_recreational_test_is_passed_or_is_something_to_do(passed, mark):
    found = told(safety_test, FUN, papers=attrs.evolve(WHOLE, test_passed=passed))
    assert [one.mark for one in found.values()] == ([mark] if mark else [])
    for one in found.values():
        assert one.message.endswith("The plan does not say so.") is (passed is None)
        assert one.title == f"Recreational safety test not {'said' if passed is None else 'passed'}"


@pytest.mark.parametrize(
    ("paid", "rule", "mark"),
    [(False, None, None), (None, "paid-not-said", Mark.ACT), (True, "paid-flight", Mark.STOP)],
)
def test_a_paid_flight_is_not_recreational(paid, rule, mark):
    found = told(paid_flight, FUN, papers=attrs.evolve(WHOLE, paid=paid))
    assert [(one.rule, one.mark) for one in found.values()] == ([(rule, mark)] if rule else [])


# ---- over people


@pytest.mark.parametrize(
    ("kg", "guards", "mark", "words"),
    [
        (0.55 * POUND_KG, True, None, ""),
        (0.55 * POUND_KG + 1e-6, True, Mark.STOP, "It takes off with 0.551 lb (249.5 g), more than 0.55 lb."),
        (0.2, None, Mark.ACT, "its propellers are not said to be guarded."),
        (0.2, False, Mark.STOP, "its propellers are not said to be guarded."),
        (0.3, False, Mark.STOP, "more than 0.55 lb."),
        (0.3, None, Mark.STOP, "more than 0.55 lb."),
    ],
)
def test_category_1_is_light_and_guarded(kg, guards, mark, words):
    """14 CFR 107.110: 0.55 lb or less, no exposed rotating parts that would lacerate skin."""
    given = {"over_people": OverPeople.CATEGORY_1, "take_off_weight_kg": kg, "propeller_guards": guards}
    found = told(over_people_category, LAW, given)
    assert [one.mark for one in found.values()] == ([mark] if mark else [])
    for one in found.values():
        assert one.message.endswith(words)
        assert one.numbers == {"take_off_weight_kg": kg}
    for purpose in (FUN, None):
        assert not told(over_people_category, purpose, given)
    assert not told(over_people_category, LAW, {**given, "over_people": None})
    assert not list(over_people_category(attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, aircraft=None))))
