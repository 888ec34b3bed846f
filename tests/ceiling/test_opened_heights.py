"""What a record opens and what can still be asked for, along a path; heights above level ground, in feet.

Part 107: 400 ft can be asked for whatever the cell says; recreational: the cell's value through the automated
service, else nobody has published what (check_values 1.5, 1.9 and 1.10, JO 7210.3 ch. 12, standing A). Closed
airspace opens as far as its agency permits (14 CFR 107.45).
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import GROUND_M, box, cell, ft, hover, plan, points, record, sea_level, volume, world

PART_107, FUN = Purpose.PART_107, Purpose.RECREATIONAL
D, R = "INVENTED CLASS-D", "INVENTED RESTRICTED"
AGENCY = PermissionKind.AGENCY


def profile(*airspace, cells=(), purpose=PART_107, **changes):
    given = {"launch": None, "landing": None, "path": hover(30.0), **changes}
    return assess_live(plan(purpose, **given), world(airspace=airspace, cells=cells)).profile


def feet(heights_m):
    """Heights above the ground in feet, the same all along; None if not known."""
    found = {None if np.isnan(height) else round((height - GROUND_M) / FOOT_M, 3) for height in heights_m}
    (only,) = found
    return only


def now_and_asked(*airspace, **changes):
    found = profile(*airspace, **changes)
    return feet(found.ceiling_amsl_m), feet(found.requestable_amsl_m)


@pytest.mark.parametrize(
    ("purpose", "cell_ft", "automated", "granted_ft", "expected"),
    [
        (PART_107, 200, True, None, (0, 400)),
        (PART_107, 200, True, 100, (100, 400)),
        (PART_107, None, True, None, (0, 400)),
        (FUN, 200, True, None, (0, 200)),
        (FUN, 200, True, 100, (100, 200)),
        (FUN, 200, True, 300, (300, 300)),  # more than can be asked for now stays granted
        (FUN, 0, True, None, (0, 0)),
        (FUN, 200, False, None, (0, None)),
        (FUN, None, True, None, (0, None)),
    ],
)
def test_granted_now_and_still_to_be_asked_for(purpose, cell_ft, automated, granted_ft, expected):
    cells = () if cell_ft is None else (cell(cell_ft, automated=automated),)
    held = () if granted_ft is None else (record(D, ft(granted_ft)),)
    found = now_and_asked(volume(), cells=cells, purpose=purpose, permissions=held)
    assert found == expected


@pytest.mark.parametrize(("height_ft", "expected"), [(None, 0), (150, 150), (500, 400), (0, 0)])
def test_closed_airspace_opens_as_far_as_its_agency_permits(height_ft, expected):
    """Our own rule: one without a height opens none, as in the other kinds; an empty field grants nothing."""
    restricted = volume(AirspaceKind.RESTRICTED)
    assert now_and_asked(restricted) == (0, 400)
    held = record(R, None if height_ft is None else ft(height_ft), AGENCY)
    assert now_and_asked(restricted, permissions=(held,)) == (expected, 400)


@pytest.mark.parametrize(
    "harmless",
    [
        volume(AirspaceKind.MILITARY_OPERATIONS),
        volume(AirspaceKind.CLASS_E_OTHER),
        volume(AirspaceKind.RESTRICTED, schedule="1200-1500 DAILY", utc_offset_h=-10.0),
        volume(AirspaceKind.RESTRICTED, box(2_000, 2_000, 3_000, 3_000)),
    ],
    ids=["not closing", "class E", "not active", "elsewhere"],
)
def test_what_does_not_close_here_and_now_lowers_nothing(harmless):
    found = profile(harmless)
    assert (feet(found.ceiling_amsl_m), feet(found.requestable_amsl_m)) == (400, 400)
    assert not (found.in_closed | found.in_unpermitted).any()


SHELF = volume(AirspaceKind.CLASS_D, floor=sea_level(GROUND_M + ft(300)))


@pytest.mark.parametrize(
    ("granted_ft", "ceiling_ft", "binding"),
    [
        (None, 300, Binding.AIRSPACE_FLOOR),
        (200, 300, Binding.AIRSPACE_FLOOR),  # up to less than the floor opens nothing
        (300, 300, Binding.AIRSPACE_FLOOR),
        (350, 350, Binding.PERMITTED_HEIGHT),
    ],
)
def test_a_record_opens_a_shelf_only_above_its_floor(granted_ft, ceiling_ft, binding):
    held = () if granted_ft is None else (record(D, AboveSeaLevel(GROUND_M + ft(granted_ft))),)
    found = profile(SHELF, cells=(cell(400),), permissions=held)
    assert feet(found.ceiling_amsl_m) == ceiling_ft
    assert set(found.binding) == {binding}


def test_a_record_up_to_the_floor_leaves_the_floor_itself_closed():
    """It belongs to the airspace, and that height is not above what is permitted."""
    at_floor = hover(AboveSeaLevel(GROUND_M + ft(300)))
    held = (record(D, AboveSeaLevel(GROUND_M + ft(300))),)
    assert profile(SHELF, cells=(cell(400),), permissions=held, path=at_floor).in_unpermitted.all()
    more = (record(D, AboveSeaLevel(GROUND_M + ft(301))),)
    assert not profile(SHELF, cells=(cell(400),), permissions=more, path=at_floor).in_unpermitted.any()


def test_a_record_up_to_the_ground_permits_nothing():
    found = profile(volume(), cells=(cell(400),), permissions=(record(D, 0.0),))
    assert feet(found.ceiling_amsl_m) == 0
    assert set(found.binding) == {Binding.NO_PERMISSION}


def halves(found, track):
    """Ceilings in feet well west and well east of the middle."""
    west, east = track.x_m < -1.0, track.x_m > 1.0
    return feet(found.ceiling_amsl_m[west]), feet(found.ceiling_amsl_m[east])


def test_beyond_its_ring_a_record_opens_nothing():
    ring = worlds.area(box(-900, -300, 0, 300), None).ring
    line = points([(-500, 0, 30.0), (500, 0, 30.0)])
    held = (record(D, ft(150), ring=ring),)
    flight = plan(launch=None, landing=None, path=line, permissions=held)
    answer = assess_live(flight, world(airspace=(volume(),), cells=(cell(400),)))
    assert halves(answer.profile, answer.track) == (150, 0)
    east = np.flatnonzero(answer.track.x_m > 1.0)
    assert answer.profile.in_unpermitted[east].all()


def test_beyond_its_outline_an_airspace_closes_nothing():
    line = points([(-500, 0, 30.0), (500, 0, 30.0)])
    flight = plan(launch=None, landing=None, path=line)
    west = volume(AirspaceKind.RESTRICTED, box(-900, -300, 0, 300))
    answer = assess_live(flight, world(airspace=(west,)))
    assert halves(answer.profile, answer.track) == (0, 400)


def test_of_two_records_the_higher_counts():
    held = (record(D, ft(100), reference="A"), record(D, ft(250), reference="B"), record(D, ft(50)))
    assert now_and_asked(volume(), cells=(cell(400),), permissions=held)[0] == 250


# ---- fixed sites in Class G (49 USC 44809(c), A), which end where Class E begins (check_values 1.8, B)

SITE = worlds.fixed_site(box(-900, -300, 900, 300))
AGREED = record("INVENTED MEADOW", ft(700), PermissionKind.AUTHORIZATION)


def at_the_site(*airspace, site=SITE, granted=AGREED, **changes):
    given = {"launch": None, "landing": None, "path": hover(30.0), "permissions": (granted,), **changes}
    charts = world(airspace=airspace, fixed_sites=(site,))
    answer = assess_live(plan(FUN, **given), charts)
    return answer.profile


def class_e(floor_ft, outline=None, **changes):
    return volume(
        AirspaceKind.CLASS_E_OTHER,
        outline,
        floor=worlds.above_ground(ft(floor_ft)),
        key=str(floor_ft),
        **changes,
    )


@pytest.mark.parametrize(
    ("airspace", "ceiling_ft"),
    [
        ((), 700),
        ((class_e(500),), 500),
        ((class_e(600), class_e(500)), 500),
        ((class_e(500), class_e(600)), 500),
        ((class_e(900),), 700),
        ((class_e(500, box(2_000, 0, 3_000, 900)),), 700),
        ((class_e(500, schedule="1200-1500 DAILY", utc_offset_h=-10.0),), 700),
        ((volume(AirspaceKind.MILITARY_OPERATIONS, floor=worlds.above_ground(ft(500))),), 700),
    ],
)
def test_an_authorized_site_ends_at_the_lowest_class_e_over_it(airspace, ceiling_ft):
    found = at_the_site(*airspace)
    assert feet(found.ceiling_amsl_m) == ceiling_ft
    assert set(found.binding) == {Binding.SITE_HEIGHT}


@pytest.mark.parametrize(
    ("site", "granted", "ceiling_ft"),
    [
        (worlds.fixed_site(box(-900, -300, 900, 300), 550), AGREED, 550),
        (worlds.fixed_site(box(2_000, -300, 2_900, 300)), AGREED, 400),
        (SITE, record("INVENTED MEADOW", ft(300), PermissionKind.AUTHORIZATION), 400),
        (SITE, record("INVENTED MEADOW", ft(700), PermissionKind.FIXED_SITE_AGREEMENT), 400),
        (SITE, record("ANOTHER MEADOW", ft(700)), 400),
        (SITE, record("INVENTED MEADOW", ft(700), valid_to_utc=worlds.START), 400),
    ],
    ids=["its own ceiling", "elsewhere", "lower", "an agreement", "another", "too old"],
)
def test_what_raises_the_limit_at_a_site_and_what_does_not(site, granted, ceiling_ft):
    assert feet(at_the_site(site=site, granted=granted).ceiling_amsl_m) == ceiling_ft


# ---- recreational flights inside controlled airspace: no number in the statute (44809(a)(6), A)


def stacked(*floors_and_tops_ft):
    """Shelves of one Class C with floors and tops above the ground [ft]."""
    return tuple(
        volume(
            AirspaceKind.CLASS_C,
            floor=sea_level(GROUND_M + ft(low)),
            top=sea_level(GROUND_M + ft(high)),
            name="INVENTED C",
            key=f"{low}",
        )
        for low, high in floors_and_tops_ft
    )


@pytest.mark.parametrize(
    ("shelves", "granted_ft", "ceiling_ft"),
    [
        (((300, 900),), None, 300),
        (((300, 900),), 600, 600),
        (((399, 900),), 600, 600),
        (((450, 900),), 600, 400),  # one above it lifts nothing for a flight below
        (((300, 500), (500, 900)), 700, 700),  # one shelf lifts the limit to the next
        (((500, 900), (300, 500)), 700, 700),
        (((300, 500), (510, 900)), 700, 500),
    ],
)
def test_shelves_lift_the_limit_only_as_far_as_they_hang_together(shelves, granted_ft, ceiling_ft):
    held = ()
    if granted_ft is not None:
        held = (record("INVENTED C", AboveSeaLevel(GROUND_M + ft(granted_ft))),)
    found = profile(*stacked(*shelves), cells=(cell(400),), purpose=FUN, permissions=held)
    assert feet(found.ceiling_amsl_m) == ceiling_ft


def test_an_airspace_over_a_part_of_the_path_lifts_the_limit_there_and_only_there():
    line = points([(-500, 0, 30.0), (500, 0, 30.0)])
    west = volume(AirspaceKind.CLASS_D, box(-900, -300, 0, 300))
    flight = plan(FUN, launch=None, landing=None, path=line, permissions=(record(D, ft(600)),))
    answer = assess_live(flight, world(airspace=(west,), cells=(cell(400),)))
    assert halves(answer.profile, answer.track) == (600, 400)


def test_at_the_top_of_what_lifts_the_limit_it_is_the_permission_that_binds():
    """Its record reaches higher; above the top lies Class G, where the number of the statute holds again."""
    held = (record("INVENTED C", AboveSeaLevel(GROUND_M + ft(700))),)
    found = profile(*stacked((300, 500)), cells=(cell(400),), purpose=FUN, permissions=held)
    assert feet(found.ceiling_amsl_m) == 500
    assert set(found.binding) == {Binding.PERMITTED_HEIGHT}
    assert set(found.binding_name) == {"INVENTED C"}
