"""Permissions in hand at the edges of what is told of them: words, cells, and a site under Class E.

That a site's authorization ends at the floor of Class E is check_values 1.8 (standing B); words are design.
"""

from datetime import timedelta

import attrs
import pytest

from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.records import beyond_cells, conditions
from planner.rules.sites import ends_at_class_e
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import above_ground, box, cell, fixed_site, ft, plan, points, record, volume, world

NAME = "INVENTED CLASS-D"
CLASS_D = volume(AirspaceKind.CLASS_D, name=NAME)


@pytest.mark.parametrize(("letters", "cut"), [(299, False), (300, False), (301, True)])
def test_of_long_conditions_the_first_300_letters_are_repeated(letters, cut):
    words = "x" * letters
    case = judged(plan(permissions=(record(NAME, ft(400), conditions=words),)), world(airspace=(CLASS_D,)))
    (one,) = conditions(case)
    assert one.message == f"For {NAME}: “{words[:300]}{' …' if cut else ''}”"


WEST, EAST = box(-9_000, -9_000, 200, 9_000), box(200, -9_000, 9_000, 9_000)


def beyond(height_ft, *values, **changes):
    cells = [cell(value, outline, key=f"{outline.bounds}") for value, outline in values]
    flight = plan(permissions=(record(NAME, ft(height_ft)),), **changes)
    return list(beyond_cells(judged(flight, world(airspace=(CLASS_D,), cells=cells))))


@pytest.mark.parametrize("values", [((0, WEST), (None, EAST)), ((None, EAST), (0, WEST))])
def test_a_cell_without_a_value_is_less_than_one_of_nothing(values):
    """Nobody knows what may be asked for there; at 0 ft it is known that nothing may."""
    (one,) = beyond(400, *values)
    assert one.mark is Mark.ACT
    assert "at 700 m the flight touches a facility map cell of no usable value" in one.message


@pytest.mark.parametrize("values", [((100, WEST), (0, EAST)), ((100, WEST), (50, EAST))])
def test_of_several_cells_the_lowest_is_told(values):
    (one,) = beyond(400, *values)
    assert f"at 700 m the flight touches a facility map cell of {values[1][0]} ft" in one.message


def test_a_cell_that_only_a_launch_point_touches_has_no_place_along_the_path():
    """The path runs from 300 m east; launch and landing lie at 0, in the other cell."""
    path = points([(300, 0, 30.0), (600, 0, 30.0)])
    (one,) = beyond(400, (0, WEST), (400, EAST), path=path)
    assert " but the flight touches a facility map cell of 0 ft" in one.message


# ---- a site under Class E


def site(
    floor_ft=700.0, authorized_ft=900.0, outline=None, path=((-500, 0, 30.0), (500, 0, 30.0)), **of_volume
):
    over = volume(AirspaceKind.CLASS_E_OTHER, outline, above_ground(ft(floor_ft)), **of_volume)
    paper = record("INVENTED MEADOW", ft(authorized_ft), PermissionKind.AUTHORIZATION)
    flight = plan(Purpose.RECREATIONAL, path=points(path), permissions=(paper,))
    case = judged(flight, world(airspace=(over,), fixed_sites=(fixed_site(box(-550, -50, 250, 50)),)))
    return list(ends_at_class_e(case))


def test_a_site_that_is_authorized_into_class_e_ends_at_its_floor():
    (one,) = site(name="E-1")
    assert (one.rule, one.mark) == ("site-ends-at-class-e", Mark.ACT)
    assert one.title == "INVENTED MEADOW ends at the floor of Class E"
    assert "higher than the floor of E-1." in one.message
    (unnamed,) = site(name="")
    assert "higher than the floor of the Class E airspace over it." in unnamed.message


def test_up_to_the_floor_it_holds():
    assert not site(700.0, 699.0)
    assert site(700.0, 701.0)


def test_class_e_counts_where_it_lies_over_the_site_even_over_a_part():
    assert site(outline=box(150, -60, 350, 60))
    # Beside the site, though over the path; and beside both.
    assert not site(outline=box(300, -60, 600, 60))
    assert not site(outline=box(300, 300, 600, 600))


def test_class_e_that_is_not_active_is_none():
    end = plan().window.end_utc
    assert not site(active_from_utc=end + timedelta(hours=1))
    assert site(active_from_utc=end - timedelta(minutes=1))


def test_other_airspace_than_class_e_ends_no_site():
    case = judged(
        plan(
            Purpose.RECREATIONAL,
            permissions=(record("INVENTED MEADOW", ft(900), PermissionKind.AUTHORIZATION),),
        ),
        world(
            airspace=(volume(AirspaceKind.CLASS_D, floor=above_ground(ft(700))),), fixed_sites=(fixed_site(),)
        ),
    )
    assert not list(ends_at_class_e(case))
    assert not list(ends_at_class_e(attrs.evolve(case, mapped=None)))
