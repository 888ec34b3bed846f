"""Airspace beside into which wind may carry what lands or falls on lost link: something to do (own rule).

60 m at 2 m/s take 30 s: in 5 m/s, gusts of 8 m/s apart, the way is 150 m and more (kinematics). That what is
closed stays closed to whom the wind carries: 14 CFR 107.45, 107.41.
"""

import attrs
import pytest

from planner.assess import assess
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.records import PermissionKind
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.loss_drift_into import drifts_into
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, box, plan, points, record, volume, world

FROM_SOUTH = PlannedWeather(wind=TypedWind(5.0, 180.0, 8.0))
LAND, DROP, SHUT = LinkLossAction.LAND, LinkLossAction.DROP, AirspaceKind.RESTRICTED


def judged(
    north_m,
    action=LAND,
    fix=None,
    weather=FROM_SOUTH,
    kind=AirspaceKind.RESTRICTED,
    records=(),
    span_m=(-300, 600),
    **limits,
):
    """A path of 300 m to the east, 60 m up; what is closed begins so far north, from west to east."""
    path = limits.pop("path", ((0, 0, 60.0), (300, 0, 60.0)))
    there = volume(kind, box(span_m[0], north_m, span_m[1], north_m + 300), name="R", **limits)
    flight = plan(path=points(path), weather=weather, permissions=records)
    loss = LinkLoss(action, 1.0, needs_fix=fix, descent_mps=2.0)
    craft = attrs.evolve(flight.aircraft, link_loss=loss)
    return assess(attrs.evolve(flight, aircraft=craft), world(airspace=(there,)))


def told(north_m, **changes):
    return [one for one in judged(north_m, **changes).findings if one.rule == "link-loss-drifts-into"]


@pytest.mark.parametrize(
    ("north_m", "changes", "told_of"),
    [
        (60, {}, True),
        (60, {"fix": False}, True),
        # Beside the beginning of the path alone.
        (60, {"span_m": (-300, 20)}, True),
        (60, {"fix": True}, False),
        (400, {}, False),
        # The wind blows the other way.
        (60, {"weather": PlannedWeather(wind=TypedWind(5.0, 0.0, 8.0))}, False),
        (60, {"weather": None}, False),
        (25, {"action": DROP}, True),
        (400, {"action": DROP}, False),
        (60, {"kind": AirspaceKind.CLASS_D}, True),
        (60, {"kind": AirspaceKind.WARNING}, False),
        # What begins above the path is not fallen into.
        (60, {"floor": above_ground(80.0)}, False),
        (60, {"records": (record("R", 100.0, PermissionKind.AGENCY),)}, False),
        # Straight below it is told of as a stop.
        (-100, {}, False),
    ],
)
def test_what_wind_may_carry_it_into_is_something_to_do(north_m, changes, told_of):
    found = told(north_m, **changes)
    assert bool(found) is told_of
    if found:
        assert found[0].mark is Mark.ACT
        assert "the wind may carry it into R." in found[0].message


def held(kind, *rings, height_m=100.0):
    names = PermissionKind.AGENCY if kind is SHUT else PermissionKind.AUTHORIZATION
    return tuple(
        record("R", height_m, names, ring=area(one, None).ring, reference=f"INVENTED-{k}")
        for k, one in enumerate(rings)
    )


@pytest.mark.parametrize("kind", [SHUT, AirspaceKind.CLASS_D])
def test_wind_that_carries_it_over_the_end_of_a_record_is_something_to_do(kind):
    """What lies beyond the end is as little open as beside the airspace itself, which begins 100 m south."""
    short, wide = box(-200, -200, 500, 60), box(-200, -200, 500, 400)
    (one,) = told(-100, kind=kind, records=held(kind, short), fix=False)
    assert one.mark is Mark.ACT
    assert "the wind may carry it into a part of R that INVENTED-0 does not open." in one.message
    assert not told(-100, kind=kind, records=held(kind, short), fix=True)
    assert not told(-100, kind=kind, records=held(kind, wide), fix=False)
    # Only the lower of two goes on there: 30 m, while it comes from 60 m.
    both = (*held(kind, short), *held(kind, wide, height_m=30.0))
    assert told(-100, kind=kind, records=both, fix=False)
    # Of two the lower one ends, which opens nothing at 60 m anyway.
    other = (*held(kind, wide), *held(kind, short, height_m=30.0))
    assert not told(-100, kind=kind, records=other, fix=False)


def test_each_part_of_the_path_is_held_to_the_records_that_allow_its_height():
    """Flown 25 m up, then 60 m: the wide record, of 30 m, lets the first part alone drift on in it."""
    short, wide = box(-200, -200, 500, 20), box(-200, -200, 500, 400)
    both = (*held(SHUT, short), *held(SHUT, wide, height_m=30.0))
    steps = ((0, 0, 25.0), (150, 0, 25.0), (150, 0, 60.0), (300, 0, 60.0))
    (one,) = told(-100, path=steps, records=both, fix=False)
    # It climbs past 30 m in the middle of the path.
    assert one.from_m == pytest.approx(150.0 + 5.0, abs=10.0)
    (all_of_it,) = told(-100, path=steps, records=both[:1], fix=False)
    assert all_of_it.from_m == pytest.approx(0.0, abs=1.0)


def test_beside_what_a_record_opens_only_lower_down_it_is_no_more_open():
    assert told(60, records=held(SHUT, box(-300, 0, 600, 400), height_m=30.0))
    assert not told(60, records=held(SHUT, box(-300, 0, 600, 400), height_m=60.0))
    # Of 60 m it falls the airspace takes the lowest 20 m.
    low = held(SHUT, box(-300, 0, 600, 400), height_m=20.0)
    assert not told(60, records=low, top=above_ground(20.0))


def test_what_it_comes_down_through_alone_is_told_there():
    """Closed up to 30 m, 30 m beneath the path: no airspace that is flown in, but met on the way down."""
    answer = judged(-100, top=above_ground(30.0), span_m=(100, 200))
    assert [len(one) for one in (answer.case.loss_met, answer.case.uses)] == [1, 0]
    assert not list(drifts_into(answer.case))
    assert list(drifts_into(attrs.evolve(answer.case, loss_met=())))


def test_without_what_it_takes_nothing_is_told():
    answer = judged(60)
    case, flight = answer.case, answer.case.flight
    assert list(drifts_into(case))
    back = attrs.evolve(flight.loss.failsafe, action=LinkLossAction.RETURN_FIXED)
    for without in (
        {"flight": None},
        {"track": None},
        {"mapped": None},
        {"flight": attrs.evolve(flight, beneath=None)},
        {"flight": attrs.evolve(flight, winds=())},
        {"flight": attrs.evolve(flight, loss=None)},
        {"flight": attrs.evolve(flight, loss=attrs.evolve(flight.loss, failsafe=back))},
    ):
        assert not list(drifts_into(attrs.evolve(case, **without)))
