"""Who flies and with what papers: check_values 1.26, 1.28, 1.29 and 107.65, to the gram and the day."""

from datetime import UTC, date, datetime

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft, OverPeople, RemoteId
from planner.plan.model import Purpose
from planner.plan.papers import Papers
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.papers import good_until
from planner.world.sites import ExemptArea
from tests.worlds import area, box, disc, plan, record, world

WHOLE = Papers(date(2099, 1, 1), True, True, True, "INVENTED-107", date(2026, 11, 1), False)
RULES = {
    "paid-flight", "paid-not-said", "not-registered", "registration-ended", "registration-end-not-said",
    "marking-and-proof", "remote-id-not-said",
    "no-remote-id", "remote-id-exempt", "safety-test", "no-certificate", "training-not-said",
    "training-lapsed", "not-category-1",
}  # fmt: skip

TERM = (datetime(2025, 1, 1, tzinfo=UTC), datetime(2029, 1, 1, tzinfo=UTC))


def quad(grams, **changes):
    given = {"registration": "INVENTED-1", "remote_id": RemoteId.STANDARD}
    return Aircraft("quad", grams / 1000, 0.3, **{**given, **changes})


def judged(purpose, aircraft, papers=WHOLE, charts=None, **changes):
    answer = assess(plan(purpose, aircraft=aircraft, papers=papers, **changes), charts or world())
    return {each.rule: each.mark for each in answer.findings if each.rule in RULES}


# check_values 1.28 (standing A): 48.15(b), 0.55 lb or less is exempt only if flown exclusively under 44809.
@pytest.mark.parametrize(
    ("purpose", "grams", "needed"),
    [
        (Purpose.PART_107, 249.0, True),
        (Purpose.RECREATIONAL, 249.4, False),
        (Purpose.RECREATIONAL, 249.5, True),
        (Purpose.RECREATIONAL, 249.4758035, False),  # 0.55 lb to the last digit: "0.55 lb or less"
    ],
)
def test_registration_by_take_off_weight_and_purpose(purpose, grams, needed):
    bare = quad(grams, registration=None, remote_id=RemoteId.STANDARD)
    expected = {"not-registered": Mark.ACT} if needed else {}
    assert judged(purpose, bare) == expected


# check_values 1.29 (standing A): 89.101 "registered or required to be registered"; 89.105.
@pytest.mark.parametrize(
    ("purpose", "grams", "number", "mark"),
    [
        (Purpose.PART_107, 240.0, "INVENTED-1", Mark.STOP),
        (Purpose.RECREATIONAL, 240.0, None, None),
        (Purpose.RECREATIONAL, 240.0, "INVENTED-1", Mark.STOP),  # registered all the same
        (Purpose.RECREATIONAL, 600.0, "INVENTED-1", Mark.STOP),
    ],
)
def test_remote_id_follows_registration(purpose, grams, number, mark):
    found = judged(purpose, quad(grams, registration=number, remote_id=RemoteId.NONE))
    assert found.get("no-remote-id") is mark


def test_inside_an_exempt_area_no_remote_id_is_needed():
    """600 g, recreational, inside a recognized area: none needed (check_values 1.29, standing A)."""
    bare = quad(600.0, remote_id=RemoteId.NONE)
    inside = world(exempt_areas=(ExemptArea("e", "INVENTED AREA", disc(2_000), *TERM),))
    assert judged(Purpose.RECREATIONAL, bare, charts=inside) == {"remote-id-exempt": Mark.NOTE}
    cut = world(exempt_areas=(ExemptArea("e", "INVENTED AREA", box(-2_000, -2_000, 400, 2_000), *TERM),))
    assert judged(Purpose.RECREATIONAL, bare, charts=cut) == {"no-remote-id": Mark.STOP}
    # They are recognised for 48 months: without both dates nobody knows whether one still is.
    for *dates, why in (
        (TERM[0], datetime(2025, 2, 1, tzinfo=UTC), "not all of the flight lies in an area"),
        (TERM[0], None, "does not say until when it is exempt"),
        (None, TERM[1], "does not say from when it is exempt"),
        (None, None, "does not say from when it is exempt"),
    ):
        charts = world(exempt_areas=(ExemptArea("e", "INVENTED AREA", disc(2_000), *dates),))
        assert judged(Purpose.RECREATIONAL, bare, charts=charts) == {"no-remote-id": Mark.STOP}, dates
        answer = assess(plan(Purpose.RECREATIONAL, aircraft=bare, papers=WHOLE), charts)
        assert why in next(one.message for one in answer.findings if one.rule == "no-remote-id")


def test_a_hole_in_an_exempt_area_is_outside_it():
    ring = disc(2_000).difference(disc(200))
    charts = world(exempt_areas=(ExemptArea("e", "INVENTED AREA", ring, *TERM),))
    found = judged(Purpose.RECREATIONAL, quad(600.0, remote_id=RemoteId.NONE), charts=charts)
    assert found == {"no-remote-id": Mark.STOP}


def test_an_authorization_under_part_89_stands_in_for_remote_id():
    """89.105 "as otherwise authorized", 89.120 (check_values 1.29, standing A)."""
    bare = quad(600.0, remote_id=RemoteId.NONE)
    allowed = record("14 CFR 89.120", None, PermissionKind.AGENCY)
    assert judged(Purpose.PART_107, bare, permissions=(allowed,)) == {"remote-id-exempt": Mark.NOTE}
    other = record("14 CFR 107.31", None, PermissionKind.WAIVER)
    assert judged(Purpose.PART_107, bare, permissions=(other,)) == {"no-remote-id": Mark.STOP}


@pytest.mark.parametrize(
    ("words", "mark"),
    [
        ("14 CFR 89.105", Mark.NOTE), ("§ 89.115(b) and 89.120", Mark.NOTE), ("part 89", Mark.NOTE),
        ("89.105 denied", Mark.STOP), ("R-89.1", Mark.STOP), ("14 CFR 189.5", Mark.STOP),
        ("89.105 and 107.31", Mark.STOP),
    ],
)  # fmt: skip
def test_only_the_number_of_a_section_of_part_89_is_an_authorization_under_it(words, mark):
    for kind in (PermissionKind.AGENCY, PermissionKind.WAIVER):
        allowed = record(words, None, kind)
        found = judged(Purpose.PART_107, quad(600.0, remote_id=RemoteId.NONE), permissions=(allowed,))
        assert set(found.values()) == {mark}, kind


def test_the_flying_area_lies_in_the_exempt_area_too():
    """All of the flight, and an area that is drawn may be flown in anywhere (89.101, 89.105)."""
    charts = world(exempt_areas=(ExemptArea("e", "INVENTED AREA", box(-2_000, -2_000, 900, 2_000), *TERM),))
    bare = quad(600.0, remote_id=RemoteId.NONE)
    assert judged(Purpose.RECREATIONAL, bare, charts=charts) == {"remote-id-exempt": Mark.NOTE}
    wide = area(disc(1_500), AboveGround(60.0))
    assert judged(Purpose.RECREATIONAL, bare, charts=charts, area=wide) == {"no-remote-id": Mark.STOP}


# check_values 15, 107.65 (standing A): 24 calendar months.
@pytest.mark.parametrize(
    ("trained", "last"),
    [
        (date(2025, 3, 15), date(2027, 3, 31)),
        (date(2024, 11, 1), date(2026, 11, 30)),
        (date(2026, 2, 28), date(2028, 2, 29)),
        (date(2025, 12, 31), date(2027, 12, 31)),
    ],
)
def test_training_holds_to_the_end_of_the_24th_month(trained, last):
    assert good_until(trained) == last


@pytest.mark.parametrize(("day", "mark"), [(31, None), (1, Mark.STOP)])
def test_a_flight_after_the_last_day_is_a_stop(day, mark):
    month = 3 if day == 31 else 4
    start = datetime(2027, month, day, 12, tzinfo=UTC)
    window = TimeWindow(start, start.replace(hour=13), "UTC")
    papers = attrs.evolve(WHOLE, trained_on=date(2025, 3, 15))
    found = judged(Purpose.PART_107, quad(600.0), papers, window=window)
    assert found.get("training-lapsed") is mark


# 49 USC 44809(a)(7) (check_values 15, standing A): test passed and proof kept.
@pytest.mark.parametrize(("passed", "mark"), [(True, None), (None, Mark.ACT), (False, Mark.STOP)])
def test_the_safety_test_is_asked_of_recreational_flights_only(passed, mark):
    papers = attrs.evolve(WHOLE, test_passed=passed)
    assert judged(Purpose.RECREATIONAL, quad(600.0), papers).get("safety-test") is mark
    assert "safety-test" not in judged(Purpose.PART_107, quad(600.0), papers)


def test_a_paid_flight_is_never_recreational():
    """49 USC 44809(a)(1), strictly for recreational purposes (from memory)."""
    paid = attrs.evolve(WHOLE, paid=True)
    assert judged(Purpose.RECREATIONAL, quad(600.0), paid) == {"paid-flight": Mark.STOP}
    assert judged(Purpose.PART_107, quad(600.0), paid) == {}


# check_values 1.26 (standing A): Category 1 is 0.55 lb or less and no exposed rotating parts.
@pytest.mark.parametrize(
    ("grams", "guards", "mark"),
    [(240.0, True, None), (240.0, False, Mark.STOP), (240.0, None, Mark.ACT), (249.5, True, Mark.STOP)],
)
def test_an_open_propeller_is_never_category_1(grams, guards, mark):
    aircraft = quad(grams, over_people=OverPeople.CATEGORY_1, propeller_guards=guards)
    assert judged(Purpose.PART_107, aircraft).get("not-category-1") is mark


def test_what_is_not_said_is_something_to_do_and_stops_nothing():
    marks = judged(Purpose.PART_107, quad(600.0), None)
    assert marks == {
        "marking-and-proof": Mark.ACT, "no-certificate": Mark.ACT, "training-not-said": Mark.ACT,
        "registration-end-not-said": Mark.ACT,
    }  # fmt: skip
    assert judged(Purpose.RECREATIONAL, quad(600.0, remote_id=None), None) == {
        "marking-and-proof": Mark.ACT, "remote-id-not-said": Mark.ACT, "safety-test": Mark.ACT,
        "registration-end-not-said": Mark.ACT, "paid-not-said": Mark.ACT,
    }  # fmt: skip


@pytest.mark.parametrize(("said", "mark"), [(False, Mark.STOP), (None, Mark.ACT), (True, None)])
@pytest.mark.parametrize("name", ["marked", "proof_carried"])
def test_a_mark_or_proof_that_is_said_to_lack_is_a_stop_told_as_lacking(name, said, mark):
    """14 CFR 48.205: the number stands on the outside; the registration goes along (from memory)."""
    aircraft = quad(600.0)
    assert (
        judged(Purpose.PART_107, aircraft, attrs.evolve(WHOLE, **{name: said})).get("marking-and-proof")
        is mark
    )


def test_what_is_said_to_lack_is_not_called_not_said():
    lacking = attrs.evolve(WHOLE, marked=False, proof_carried=None)
    answer = assess(plan(aircraft=quad(600.0), papers=lacking), world())
    told = {one.mark: one.message for one in answer.findings if one.rule == "marking-and-proof"}
    assert "is not a number on the outside" in told[Mark.STOP]
    assert "does not say whether there is a proof" in told[Mark.ACT]


def test_a_registration_that_ends_before_the_flight_is_a_stop():
    window = plan().window
    day = window.local(window.end_utc).date()
    assert "registration-ended" not in judged(
        Purpose.PART_107, quad(600.0), attrs.evolve(WHOLE, registered_until=day)
    )
    ended = attrs.evolve(WHOLE, registered_until=date.fromordinal(day.toordinal() - 1))
    assert judged(Purpose.PART_107, quad(600.0), ended) == {"registration-ended": Mark.STOP}
