"""Every step of a derivation, by hand over level ground 1,000 ft above the sea; design of the program.

Limits: 400 ft above ground and structure (14 CFR 107.51(b), check_values 1.1, standing B).
"""

import pytest

from planner.assess import assess_live
from planner.ceiling.derivation import StepKind, derive_along, derive_at, derive_sample
from planner.geo.geodesy import distance_m
from planner.geo.heights import AboveSeaLevel
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import (
    GROUND_M,
    above_ground,
    at,
    box,
    cell,
    ft,
    hover,
    plan,
    record,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

K = StepKind
ABOUT = (
    K.GROUND,
    K.LOWEST_GROUND,
    K.GROUND_LIMIT,
    K.CEILING,
    K.TERRAIN_UNCERTAINTY,
    K.READOUT_ERROR,
    K.ABOVE_LAUNCH,
)
CRAFT = Aircraft("5-inch quad", 0.62, 0.35, readout=Readout(ReadoutSource.BAROMETER, ft(10)))


def derived(charts, purpose=Purpose.PART_107, place=None, **changes):
    given = {"path": hover(30.0), "aircraft": CRAFT, **changes}
    answer = assess_live(plan(purpose, **given), charts)
    return derive_at(answer.scene, place or at())


def steps(found):
    return {
        step.kind: (step.name, feet(step.change_m, 0.0), feet(step.result_m, GROUND_M))
        for step in found.steps
    }


def feet(value_m, zero_m):
    """Feet above a zero; None if there is no value."""
    return None if value_m is None else round((value_m - zero_m) / ft(1), 2)


def between(found):
    """The steps between the ground's and the ceiling, in order."""
    return [
        (step.kind, step.name, feet(step.change_m, 0.0), feet(step.result_m, GROUND_M))
        for step in found.steps
        if step.kind not in ABOUT
    ]


def test_over_open_ground():
    charts = world(terrain=terrain(vertical_uncertainty_m=ft(7), horizontal_uncertainty_m=ft(20)))
    found = derived(charts)
    said = steps(found)
    assert tuple(said) == ABOUT
    assert said[K.GROUND] == ("bare earth, NAVD 88", None, 0)
    assert said[K.LOWEST_GROUND] == ("", 20, 0)
    assert said[K.GROUND_LIMIT] == ("", 400, 400)
    assert said[K.CEILING] == ("", None, 400)
    assert said[K.TERRAIN_UNCERTAINTY] == ("", 7, None)
    assert said[K.READOUT_ERROR] == ("", 10, None)
    # The figure on the readout: 400 ft above the launch's ground, less the readout's 10 ft.
    assert found.steps[-1].result_m == pytest.approx(ft(390), abs=1e-4)
    assert found.steps[-1].change_m == pytest.approx(GROUND_M, abs=1e-4)
    assert feet(found.ceiling_amsl_m, GROUND_M) == 400
    assert feet(found.ground_amsl_m, GROUND_M) == 0


def test_without_a_stated_error_there_is_no_figure_for_the_readout():
    for craft in (None, Aircraft("5-inch quad", 0.62, 0.35)):
        found = derived(world(), aircraft=craft)
        assert found.steps[-1].result_m is None
        assert steps(found)[K.READOUT_ERROR] == ("", None, None)


def test_without_terrain_nothing_is_known():
    found = derived(world(terrain=None))
    assert found.ceiling_amsl_m is None
    assert [feet(step.result_m, 0.0) for step in found.steps] == [None] * len(found.steps)


def test_where_nothing_is_allowed_there_is_no_figure_for_the_readout():
    found = derived(world(airspace=(volume(AirspaceKind.RESTRICTED),)))
    assert found.nothing_allowed
    assert found.steps[-1].result_m is None
    assert between(found) == [(K.AIRSPACE, "INVENTED RESTRICTED", None, None)]


MAST = tower(300, (30.0, 0.0), vertical_error_m=ft(20), horizontal_error_m=ft(50))


def test_beside_a_structure_that_stands():
    found = derived(world(structures=(MAST,)), structures_standing=frozenset({"tower 300"}))
    name = "TOWER of 300 ft"
    assert between(found) == [
        (K.STRUCTURE_TOP, name, 50, 300),
        (K.STRUCTURE_ERROR, name, -20, 280),
        (K.STRUCTURE_LIMIT, name, 400, 680),
    ]


def test_a_record_without_any_vertical_error_takes_nothing_off():
    exact = tower(300, (30.0, 0.0))
    found = derived(world(structures=(exact,)), structures_standing=frozenset({"tower 300"}))
    assert between(found)[1] == (K.STRUCTURE_ERROR, "TOWER of 300 ft", 0, 300)


@pytest.mark.parametrize(
    ("purpose", "place", "named"),
    [
        (Purpose.PART_107, at(), True),
        (Purpose.PART_107, at(-200), False),
        (Purpose.RECREATIONAL, at(), False),
    ],
)
def test_a_structure_that_nobody_confirmed_is_named_where_it_would_raise_the_limit(purpose, place, named):
    found = derived(world(structures=(MAST,)), purpose, place)
    expected = [(K.STRUCTURE_NOT_CONFIRMED, "TOWER of 300 ft", 50, None)]
    assert between(found) == (expected if named else [])


def test_a_waiver_and_a_site():
    held = (record("107.51", ft(600), PermissionKind.WAIVER),)
    assert between(derived(world(), permissions=held)) == [(K.WAIVER, "", None, 600)]
    site = world(fixed_sites=(worlds.fixed_site(box(-900, -300, 900, 300)),))
    agreed = (record("INVENTED MEADOW", ft(700)),)
    found = derived(site, Purpose.RECREATIONAL, permissions=agreed)
    assert between(found) == [(K.SITE_LIMIT, "INVENTED MEADOW", None, 700)]


D = "INVENTED CLASS-D"


@pytest.mark.parametrize(
    ("cells", "words"), [((cell(200),), "1 cell"), ((cell(200, key="a"), cell(300, key="b")), "2 cells")]
)
def test_in_controlled_airspace_the_cell_and_the_record(cells, words):
    charts = world(airspace=(volume(),), cells=cells)
    assert between(derived(charts)) == [
        (K.AIRSPACE, D, None, None),
        (K.CELL, words, 200, 200),
    ]
    held = (record(D, ft(100), reference="LOW"), record(D, ft(150), reference="HIGH"))
    assert between(derived(charts, permissions=held)) == [
        (K.AIRSPACE, D, None, None),
        (K.CELL, words, 200, 200),
        (K.RECORD, "HIGH", None, 150),
    ]


def test_only_a_record_that_holds_there_is_named():
    """Both go as high; the first one's ring lies elsewhere."""
    ring = worlds.area(box(300, -300, 900, 300), None).ring
    held = (
        record(D, ft(150), reference="A", ring=ring),
        record(D, ft(150), reference="B"),
    )
    found = derived(world(airspace=(volume(),), cells=(cell(200),)), permissions=held)
    assert between(found)[-1] == (K.RECORD, "B", None, 150)


def test_without_a_known_cell_no_value_is_told():
    assert between(derived(world(airspace=(volume(),)))) == [
        (K.AIRSPACE, D, None, None),
        (K.CELL, "0 cells", None, None),
    ]


@pytest.mark.parametrize(("floor_ft", "told"), [(300, True), (450, False)])
def test_an_airspace_above_everything_that_counts_is_left_out(floor_ft, told):
    shelf = volume(AirspaceKind.CLASS_C, floor=sea_level(GROUND_M + ft(floor_ft)), name="INVENTED C")
    # A shelf has no cell of its own to tell.
    expected = [(K.AIRSPACE, "INVENTED C", None, floor_ft)] if told else []
    assert between(derived(world(airspace=(shelf,)))) == expected


def test_a_recreational_flight_over_a_shelf_has_no_number_from_the_statute():
    shelf = volume(floor=above_ground(ft(300)), top=above_ground(ft(900)))
    held = (record(D, AboveSeaLevel(GROUND_M + ft(800))),)
    found = derived(world(airspace=(shelf,), cells=(cell(400),)), Purpose.RECREATIONAL, permissions=held)
    assert between(found)[0] == (K.NO_NUMBER, D, None, None)
    assert between(found)[-1] == (K.RECORD, "INVENTED-1", None, 800)


def test_two_airspaces_from_the_ground_are_both_named():
    """One of them sets the ceiling; the other closes the place as well."""
    both = (volume(name="INVENTED D"), volume(AirspaceKind.RESTRICTED, name="INVENTED R"))
    named = [name for kind, name, *_ in between(derived(world(airspace=both))) if kind is K.AIRSPACE]
    assert sorted(named) == ["INVENTED D", "INVENTED R"]


def test_a_readout_without_any_error_shows_the_ceiling_itself():
    exact = Aircraft("5-inch quad", 0.62, 0.35, readout=Readout(ReadoutSource.BAROMETER, 0.0))
    assert derived(world(), aircraft=exact).steps[-1].result_m == pytest.approx(ft(400), abs=1e-4)


def test_a_climb_into_a_shelf_is_derived_as_it_is_flown():
    """Recreational: inside the shelf the statute names no number, under it 400 ft is the limit."""
    shelf = volume(floor=above_ground(ft(450)), top=above_ground(ft(900)))
    path = worlds.points([(-500, 0, ft(100)), (500, 0, ft(700))])
    held = (record(D, AboveSeaLevel(GROUND_M + ft(800))),)
    charts = world(airspace=(shelf,), cells=(cell(400),))
    answer = assess_live(plan(Purpose.RECREATIONAL, path=path, permissions=held), charts)
    found = [derive_sample(answer.scene, answer.track, k).ceiling_amsl_m for k in range(len(answer.track))]
    assert found == pytest.approx(answer.profile.ceiling_amsl_m)
    assert len({round(each, 3) for each in found}) == 2


def test_an_airspace_elsewhere_is_not_named():
    assert between(derived(world(airspace=(volume(outline=box(500, 0, 900, 300)),)))) == []


def test_along_a_path_the_sample_itself_is_derived():
    path = worlds.points([(-500, 0, 30.0), (500, 0, 30.0)])
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, box(-900, -300, 0, 300)),))
    answer = assess_live(plan(path=path), charts)
    for along_m in (0.0, 120.0, 640.0, 1_000.0):
        near = derive_along(answer.scene, answer.track, along_m)
        assert distance_m(near.place, at(along_m - 500)) <= 15.1  # samples lie 30 m apart
    for sample in (0, len(answer.track) // 3, len(answer.track) - 1):
        found = derive_sample(answer.scene, answer.track, sample)
        assert found.ceiling_amsl_m == pytest.approx(answer.profile.ceiling_amsl_m[sample])
        assert found.ground_amsl_m == pytest.approx(answer.track.ground_amsl_m[sample])
        assert found.place.lon_deg == pytest.approx(answer.track.lon_deg[sample])
        assert found.place.lat_deg == pytest.approx(answer.track.lat_deg[sample])
