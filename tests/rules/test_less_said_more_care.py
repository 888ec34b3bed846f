"""What is left out or contradicts itself never makes an answer look better than what is said.

The rule held here is the project's own: missing or contradicting data never becomes ready.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource
from planner.plan.restrictions import TemporaryRestriction
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from planner.world.layers import Jurisdiction
from tests.worlds import (
    above_ground,
    at,
    box,
    disc,
    level_terrain,
    plan,
    points,
    sea_level,
    terrain,
    volume,
    world,
)

GROUND_M = 365.0


def found(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def aircraft(readout):
    return Aircraft("5-inch quad", 0.62, 0.35, readout=readout)


@pytest.mark.parametrize("readout", [None, Readout(ReadoutSource.BAROMETER), Readout(ReadoutSource.NONE)])
def test_an_error_of_the_readout_that_is_not_given_is_asked_for_and_not_said_to_be_counted(readout):
    close = plan(path=points([(-500, 0, 121.0), (500, 0, 121.0)]), aircraft=aircraft(readout))
    charts = world(terrain=terrain(vertical_uncertainty_m=2.0))
    answer = assess(close, charts)
    (asked,) = found(answer, "readout-error-not-given")
    assert asked.mark is Mark.ACT
    (near,) = found(answer, "close-under-limit")
    assert "not counted" in near.message
    stated = attrs.evolve(close, aircraft=aircraft(Readout(ReadoutSource.BAROMETER, 3.0)))
    answer = assess(stated, charts)
    assert not found(answer, "readout-error-not-given")
    assert "of terrain and readout" in found(answer, "close-under-limit")[0].message


def test_a_surface_area_whose_top_lies_under_its_own_ground_counts_without_a_top():
    """10 for 1,000 ft, as hundreds of feet taken for feet: the record contradicts itself."""
    charts = world(
        terrain=terrain(lambda east, _: GROUND_M + 0.001 * east),
        airspace=(volume(AirspaceKind.CLASS_D, disc(3000), top=sea_level(10 * FOOT_M), name="INVENTED D"),),
    )
    answer = assess(plan(), charts)
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    (told,) = found(answer, "limits-not-known")
    assert "INVENTED D" in told.title


def test_a_hill_that_rises_through_the_top_of_a_surface_area_is_free_above_it():
    charts = world(
        terrain=terrain(lambda east, north: GROUND_M - 0.2 * (abs(east) + abs(north))),
        airspace=(
            volume(AirspaceKind.CLASS_D, disc(1500), top=sea_level(GROUND_M - 150), name="INVENTED D"),
        ),
    )
    on_top = plan(path=points([(-50, 0, 30.0), (50, 0, 30.0)]))
    answer = assess(on_top, charts)
    assert not answer.permissions
    assert not found(answer, "limits-not-known")


# Ground from 362 m to 368 m within 3 km: over all of it the one limit lies beyond the other, or not.
@pytest.mark.parametrize(
    ("floor", "top", "leaves_nothing"),
    [
        (above_ground(20.0), sea_level(381.9), True),  # lowest ground and 20 m: 382 m
        (above_ground(20.0), sea_level(382.2), False),
        (sea_level(388.1), above_ground(20.0), True),  # highest ground and 20 m: 388 m
        (sea_level(387.8), above_ground(20.0), False),
    ],
)
def test_limits_of_two_zeros_that_leave_nothing_over_any_ground_are_not_known(floor, top, leaves_nothing):
    ground = terrain(lambda east, _: GROUND_M + 0.001 * east)
    shelf = volume(AirspaceKind.RESTRICTED, box(-3_000, -3_000, 3_000, 3_000), floor=floor, top=top, name="R")
    high = plan(path=points([(-500, 0, 60.0), (500, 0, 60.0)]))
    answer = assess(high, world(terrain=ground, airspace=(shelf,)))
    assert bool(found(answer, "limits-not-known")) is leaves_nothing
    assert (answer.verdict is Verdict.MUST_CHANGE) is leaves_nothing


def test_a_restriction_drawn_with_a_floor_over_its_top_closes():
    drawn = TemporaryRestriction(
        name="T", centre=at(), radius_m=500.0, floor=AboveGround(20.0), top=AboveSeaLevel(GROUND_M + 10.0)
    )
    even = terrain(lambda east, _: GROUND_M + 0.0 * east)
    answer = assess(plan(restrictions=(drawn,)), world(terrain=even))
    assert answer.verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize(
    ("assumed", "invented", "told"), [(True, False, 1), (False, False, 0), (True, True, 0)]
)
def test_a_raster_without_a_unit_is_said_to_be_taken_for_metres(assumed, invented, told):
    ground = attrs.evolve(level_terrain(), unit_assumed=assumed)
    places = (Jurisdiction("US", "Invented", invented=invented),)
    answer = assess(plan(), world(terrain=ground, jurisdictions=places))
    notes = found(answer, "terrain-unit")
    assert len(notes) == told
    assert all("ft" in note.message for note in notes)
