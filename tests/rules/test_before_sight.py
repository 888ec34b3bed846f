"""What must be known before sight is judged, and ranges tried long ago: rules asked directly.

Sources: 14 CFR 107.33, 107.51(c), 49 USC 44809(a)(3) (standing A). That 10 m are beside, and a year is long,
is common practice or our own.
"""

from datetime import timedelta

import attrs
import pytest

from planner.plan.aircraft import RemoteId
from planner.plan.crew import Contact, CrewMember, Role, Task
from planner.plan.model import Purpose
from planner.rules.finding import Basis, Mark
from planner.rules.must_see import demanded_keys
from planner.rules.sight_basics import flyers_placed, observer_beside, tasks_shared, visibility_known
from planner.rules.tried_age import tried_long_ago
from planner.units import STATUTE_MILE_M
from tests.rules.hand_made import complete
from tests.worlds import TRIED, at

CASE = complete()
LAW, FUN = Purpose.PART_107, Purpose.RECREATIONAL
PILOT, HANDS, OBSERVER = Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS, Role.OBSERVER


def member(role, key, name="", east_m=0.0, *, placed=True, tasks=(), contact=Contact.BESIDE):
    return CrewMember(key, role, name, at(east_m) if placed else None, contact, TRIED, frozenset(tasks))


def told(rule, *crew, purpose=LAW, **changes):
    flight = attrs.evolve(CASE.plan, **{"crew": crew or CASE.plan.crew, "purpose": purpose, **changes})
    return list(rule(attrs.evolve(CASE, plan=flight)))


def test_too_little_visibility_is_said_in_miles():
    (one,) = told(visibility_known, visibility_m=2.04 * STATUTE_MILE_M)
    assert one.mark is Mark.STOP
    assert one.message == "The visibility counted on is 2.0 statute miles."
    assert not told(visibility_known, visibility_m=2.0 * STATUTE_MILE_M, purpose=FUN)


@pytest.mark.parametrize(
    ("purpose", "remote_id", "citation", "why"),
    [
        (LAW, RemoteId.STANDARD, "14 CFR 107.31(a)", "able to see"),
        (FUN, RemoteId.BROADCAST_MODULE, "14 CFR 89.115(a), as read in secondary texts", "able to see"),
        (FUN, RemoteId.STANDARD, "49 USC 44809(a)(3)", "co-located"),
    ],
)
def test_who_flies_and_stands_nowhere_is_named_with_the_rule_that_asks(purpose, remote_id, citation, why):
    aircraft = attrs.evolve(CASE.plan.aircraft, remote_id=remote_id)
    crew = member(PILOT, "p", placed=False), member(HANDS, "h", "Ash", placed=False), member(OBSERVER, "o")
    found = told(flyers_placed, *crew, purpose=purpose, aircraft=aircraft)
    names = ["Ash", "remote pilot"] if purpose is LAW else ["Ash"]
    assert [one.title for one in found] == [f"Where {name} stands is not set" for name in names]
    for one in found:
        assert (one.mark, one.basis, one.citation) == (Mark.UNKNOWN, Basis.LAW, citation)
        assert why in one.message


@pytest.mark.parametrize(
    ("apart_m", "contact", "tells"),
    [(9.9, Contact.BESIDE, False), (10.1, Contact.BESIDE, True), (900.0, Contact.RADIO, False)],
)
def test_beside_is_within_ten_metres_of_the_nearest_who_flies(apart_m, contact, tells):
    def crew(name):
        return (
            member(HANDS, "h"),
            member(HANDS, "i", "", 5_000.0),
            member(OBSERVER, "o", name, -apart_m, contact=contact),
        )

    found = told(observer_beside, *crew("Ash"), purpose=FUN)
    assert bool(found) is tells
    for one in found:
        assert (one.rule, one.mark, one.title) == (
            "observer-stands-apart", Mark.UNKNOWN, "Ash stands apart from whoever flies"
        )  # fmt: skip
        # 10.1 m are 33.1 ft, rounded up.
        assert one.message.startswith("They are 34 ft apart on the map")
        assert one.place == at(-apart_m)
        assert told(observer_beside, *crew(""), purpose=FUN)[0].title.startswith("O stands apart")
    for purpose in (LAW, None):
        assert not told(observer_beside, *crew("Ash"), purpose=purpose)
    nowhere = member(HANDS, "h", placed=False), member(OBSERVER, "o", "", 900.0)
    assert not told(observer_beside, *nowhere, purpose=FUN)


SCAN, WATCH = (Task.SCAN,), (Task.WATCH,)


@pytest.mark.parametrize(
    ("pilot", "observer", "second", "rule"),
    [
        ((), WATCH, SCAN, None),
        ((), (), (), "tasks-not-shared"),
        ((), WATCH, (), "tasks-not-shared"),
        ((), (*WATCH, *SCAN), (), "both-tasks-at-once"),
        ((), (*WATCH, *SCAN), SCAN, None),
        (WATCH, SCAN, (), "nobody-watches"),
        (SCAN, WATCH, (), "goggles-scan"),
        (SCAN, WATCH, SCAN, None),
    ],
)
@pytest.mark.parametrize(("purpose", "citation"), [(LAW, "14 CFR 107.33"), (FUN, "49 USC 44809(a)(3)")])
def test_watching_and_scanning_are_two_tasks_for_eyes_without_goggles(
    pilot, observer, second, rule, purpose, citation
):
    crew = (
        member(PILOT, "p", tasks=pilot),
        member(OBSERVER, "o", tasks=observer),
        member(OBSERVER, "q", tasks=second),
    )
    found = told(tasks_shared, *crew, purpose=purpose)
    assert [one.rule for one in found] == ([rule] if rule else [])
    for one in found:
        assert one.citation == ("" if rule == "both-tasks-at-once" else citation)


# ---- tried long ago


def tried(ago_days, own_days=None, name="", **changes):
    on = CASE.plan.window.start_utc.date() - timedelta(days=ago_days)
    trial = attrs.evolve(TRIED[0], on=on, distance_m=200.0)
    people = tuple(attrs.evolve(one, name=name) for one in CASE.sight.people)
    viewers = tuple(
        attrs.evolve(one, reach=attrs.evolve(one.reach, tried=trial if one.key == "observer" else None))
        for one in CASE.sight.viewers
    )
    flight = attrs.evolve(CASE.plan, own_tried_days=own_days, **changes)
    sight = attrs.evolve(CASE.sight, people=people, viewers=viewers)
    return list(tried_long_ago(attrs.evolve(CASE, plan=flight, sight=sight)))


@pytest.mark.parametrize(
    ("ago", "own", "basis", "span", "limit"),
    [
        (365, None, None, "", ""),
        (366, None, Basis.SAFETY, "12 months", "a year (common practice, no rule)"),
        (800, None, Basis.SAFETY, "26 months", "a year (common practice, no rule)"),
        (90, 90.0, None, "", ""),
        # A month is 30.44 days in the mean: 60 days are less than two, 62 are two.
        (60, 30.0, Basis.OWN_LIMIT, "60 days", "30 days, your own limit"),
        (62, 61.5, Basis.OWN_LIMIT, "2 months", "2 months, your own limit"),
        (1, 0.5, Basis.OWN_LIMIT, "1 days", "0 days, your own limit"),
        (366, 500.0, None, "", ""),
    ],
)
def test_a_range_tried_longer_ago_than_the_limit_is_something_to_do(ago, own, basis, span, limit):
    found = tried(ago, own)
    assert [one.basis for one in found] == ([basis] if basis else [])
    for one in found:
        assert (one.rule, one.mark) == ("range-tried-long-ago", Mark.ACT)
        assert one.title == "Observer tried their range long ago"
        # 200 m are 656.2 ft, rounded down.
        assert one.message.startswith("656 ft were tried on ")
        assert f"{span} before the flight: longer than {limit}. Eyes" in one.message
        assert one.numbers == {"ago_days": float(ago), "tried_m": 200.0}
        assert one.citation == ("" if basis is Basis.OWN_LIMIT else "common practice")
        assert tried(ago, own, "Ash")[0].title == "Ash tried their range long ago"


def test_only_the_range_of_who_must_see_is_held_against_it():
    assert tried(800)
    assert not tried(800, window=None)
    alone = attrs.evolve(CASE.plan.crew[1], role=Role.SPECTATOR)
    assert not tried(800, crew=(CASE.plan.crew[0], alone))
    assert not list(tried_long_ago(attrs.evolve(CASE, sight=None)))
    assert demanded_keys(CASE) == (("observer",), ("pilot",))


def test_they_are_told_in_the_order_of_their_keys():
    old = attrs.evolve(TRIED[0], on=CASE.plan.window.start_utc.date() - timedelta(days=800))
    viewers = tuple(attrs.evolve(one, reach=attrs.evolve(one.reach, tried=old)) for one in CASE.sight.viewers)
    found = list(tried_long_ago(attrs.evolve(CASE, sight=attrs.evolve(CASE.sight, viewers=viewers))))
    assert [one.title.split(" tried")[0] for one in found] == ["Observer", "Remote pilot"]
