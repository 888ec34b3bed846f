"""What is told of the data, where each layer's standing, the needs and the terrain are put in by hand.

What the absence of a layer means is the project's own table; 14 CFR 107.49 and 49 USC 44809 (standing A) want
the place looked up before the flight.
"""

import math

import attrs
import pytest
import shapely

from planner.permission.need import Subject
from planner.plan.model import Purpose
from planner.rules.data import (
    STATE_WORDS,
    jurisdiction,
    other_layers,
    restricting_layers,
    terrain_quality,
    terrain_unit,
)
from planner.rules.data_status import DataStatus, data_status, extent_of, weight_in
from planner.rules.finding import Basis, Mark
from planner.rules.unknowns import TABLE, Weight
from planner.world.currency import LayerState
from planner.world.layers import Jurisdiction, LayerName
from planner.world.terrain import SurfaceKind
from tests.rules.hand_made import complete, judged
from tests.worlds import area, at, box, layer, layers, plan, points, volume, world

CASE = complete()
ROWS = {row.layer: row for row in TABLE if row.layer is not None}
INVENTED = (Jurisdiction("US", "Invented", invented=True),)
CELLS, D = LayerName.FACILITY_MAP, LayerName.CLASS_AIRSPACE


def standing(name, state, weight=None, **record):
    made = layer(name, **record) if record is not None else None
    return DataStatus(name, state, made, ROWS[name].weight if weight is None else weight)


def told(rule, *statuses, **changes):
    return list(rule(attrs.evolve(CASE, data=statuses, **changes)))


NEEDY = judged(plan(), world(airspace=(volume(),)))
(NEED,) = NEEDY.needs


def needing(subject=Subject.AIRSPACE, recorded=None):
    """The complete case in need of a permission, on record or not."""
    need = attrs.evolve(NEED, subject=subject, record=recorded)
    return {"needs": (need,)}


# ---- what must be there


@pytest.mark.parametrize(
    "name", [name for name, row in ROWS.items() if row.weight is Weight.RESTRICTING and name is not CELLS]
)
@pytest.mark.parametrize("state", [state for state in LayerState if state is not LayerState.OK])
def test_a_restricting_layer_that_does_not_hold_leaves_it_open(name, state):
    (one,) = told(restricting_layers, standing(name, state, damage="Page 7 is torn."))
    assert (one.rule, one.mark, one.basis) == (
        f"data-{name.value.replace('_', '-')}",
        Mark.UNKNOWN,
        Basis.LAW,
    )
    assert one.title == f"Data on {ROWS[name].what} {STATE_WORDS[state]}"
    assert one.message.startswith(ROWS[name].reason[0].upper() + ROWS[name].reason[1:])
    assert one.message.endswith("Page 7 is torn.") is (state is LayerState.DAMAGED)
    assert one.remedy == (
        f"load current data on {ROWS[name].what} for this place and time: {ROWS[name].source} "
        "(last from Invented Authority)"
    )
    assert not told(other_layers, standing(name, state))


def test_what_holds_or_restricts_nothing_is_not_told_as_missing():
    assert not told(restricting_layers, standing(D, LayerState.OK))
    for name, row in ROWS.items():
        if row.weight is not Weight.RESTRICTING:
            assert not told(restricting_layers, standing(name, LayerState.EXPIRED))
    (one,) = told(restricting_layers, DataStatus(D, LayerState.MISSING, None, Weight.RESTRICTING))
    assert one.remedy.endswith("class airspace data of the current cycle")
    (one,) = told(restricting_layers, standing(D, LayerState.DAMAGED, damage=""))
    assert one.message.endswith("whose airspace it is.")


@pytest.mark.parametrize(
    ("purpose", "needs", "open_for"),
    [
        # It says up to where it can be asked for in controlled airspace; by part 107 a request goes without.
        (Purpose.RECREATIONAL, needing(), True),
        (None, needing(), True),
        (Purpose.PART_107, needing(), False),
        (Purpose.RECREATIONAL, {"needs": ()}, False),
        (Purpose.RECREATIONAL, needing(recorded="anything"), False),
        (Purpose.RECREATIONAL, needing(Subject.HEIGHT_LIMIT), False),
    ],
)
def test_the_facility_map_is_wanted_where_it_says_what_to_ask_for(purpose, needs, open_for):
    changes = {"plan": attrs.evolve(CASE.plan, purpose=purpose), **needs}
    for state in LayerState:
        found = told(restricting_layers, standing(CELLS, state), **changes)
        assert bool(found) is (open_for and state is not LayerState.OK)


@pytest.mark.parametrize(
    ("state", "said"),
    [
        (LayerState.EXPIRED, True), (LayerState.DAMAGED, True), (LayerState.OTHER_JURISDICTION, True),
        (LayerState.NOT_YET_EFFECTIVE, True),
        # Cells without a date, or about a part of the flight, are used all the same.
        (LayerState.UNDATED, False), (LayerState.NOT_COVERING, False), (LayerState.MISSING, False),
        (LayerState.OK, False),
    ],
)  # fmt: skip
def test_a_facility_map_left_out_is_a_note_where_a_flight_may_go_without(state, said):
    found = told(other_layers, standing(CELLS, state), **needing())
    assert bool(found) is said
    for one in found:
        assert (one.rule, one.mark) == ("data-facility-map", Mark.NOTE)
        assert one.message.startswith("So it grants nothing: inside controlled airspace")
    assert not told(other_layers, standing(CELLS, state))
    fun = {"plan": attrs.evolve(CASE.plan, purpose=Purpose.RECREATIONAL)}
    assert not told(other_layers, standing(CELLS, state), **needing(), **fun)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (LayerName.OBSTACLES, "So it grants nothing: a structure not on record gives no height"),
        (LayerName.AERODROMES, "So it counts as not checked: they show where other aircraft are low."),
    ],
)
def test_other_layers_that_do_not_hold_are_a_note(name, words):
    (one,) = told(other_layers, standing(name, LayerState.EXPIRED))
    assert (one.rule, one.mark, one.basis) == (
        f"data-{name.value.replace('_', '-')}",
        Mark.NOTE,
        Basis.SAFETY,
    )
    assert one.title == f"Data on {ROWS[name].what} {STATE_WORDS[LayerState.EXPIRED]}"
    assert one.message.startswith(words)
    (torn,) = told(other_layers, standing(name, LayerState.DAMAGED, damage="Page 7 is torn."))
    assert torn.message.endswith(". Page 7 is torn.")
    assert not told(other_layers, DataStatus(name, LayerState.MISSING, None, ROWS[name].weight))
    assert not told(other_layers, standing(name, LayerState.OK))
    unnamed = DataStatus(name, LayerState.EXPIRED, None, ROWS[name].weight)
    assert told(other_layers, unnamed)[0].message.endswith(".")


def test_what_a_layers_standing_weighs():
    zones, events, airspace = (ROWS[one] for one in (LayerName.UAS_ZONES, LayerName.STADIUM_EVENTS, D))
    # Published by some authorities only: not given at all leaves nothing open.
    assert weight_in(zones, LayerState.MISSING) is Weight.ADVISORY
    assert weight_in(zones, LayerState.EXPIRED) is Weight.RESTRICTING
    assert weight_in(airspace, LayerState.MISSING) is Weight.RESTRICTING
    # What closes and can't be read leaves it open.
    assert weight_in(events, LayerState.DAMAGED) is Weight.RESTRICTING
    assert weight_in(events, LayerState.EXPIRED) is Weight.ADVISORY
    assert weight_in(ROWS[LayerName.ROADS], LayerState.DAMAGED) is Weight.ADVISORY
    assert weight_in(ROWS[LayerName.OBSTACLES], LayerState.DAMAGED) is Weight.GRANTING


def test_each_layer_has_a_standing_and_ground_needs_no_dates():
    undated = {"effective_utc": None, "expires_utc": None}
    charts = world(
        layers=layers(
            terrain=layer(LayerName.TERRAIN, **undated), class_airspace=layer(D, **undated), roads=None
        )
    )
    found = {one.layer: one for one in data_status(plan(), charts)}
    assert list(found) == list(ROWS)
    assert found[LayerName.TERRAIN].state is LayerState.OK
    assert found[D].state is LayerState.UNDATED
    assert (found[LayerName.ROADS].state, found[LayerName.ROADS].record) == (LayerState.MISSING, None)
    others = {one.state for name, one in found.items() if name not in (D, LayerName.ROADS)}
    assert others == {LayerState.OK}


def test_data_is_needed_wherever_anything_is_drawn():
    bare = plan(path=(), launch=None, landing=None)
    assert extent_of(bare) is None
    spots = {"launch": plan().launch, "landing": plan().landing}
    drawn = {
        "path": points([(0, 700, 30.0), (10, 710, 30.0)]),
        "area": area(box(800, 0, 900, 10), None),
        "launch": attrs.evolve(spots["launch"], place=at(0, -600)),
        "landing": attrs.evolve(spots["landing"], place=at(-500, 0)),
        # Where it returns to by itself when the link is lost: flown to as well (own rule).
        "return_point": at(-400, 600),
    }
    whole = extent_of(attrs.evolve(bare, **drawn))
    for name in drawn:
        part = extent_of(attrs.evolve(bare, **{name: drawn[name]}))
        assert part is not None
        assert whole.covers(part)
        assert not extent_of(attrs.evolve(bare, **{**drawn, name: getattr(bare, name)})).covers(part)
    ends = [shapely.Point(one.place.lon_deg, one.place.lat_deg) for one in drawn["path"]]
    line = extent_of(attrs.evolve(bare, path=drawn["path"]))
    assert [line.distance(end) for end in ends] == [0.0, 0.0]


# ---- terrain


def ground(**changes):
    terrain = attrs.evolve(CASE.world.terrain, **changes)
    return attrs.evolve(CASE, world=attrs.evolve(CASE.world, terrain=terrain))


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        (SurfaceKind.SURFACE, "The terrain is a surface model; heights"),
        (SurfaceKind.UNKNOWN, "The terrain does not say whether it is bare earth; heights"),
        (SurfaceKind.BARE_EARTH, None),
    ],
)
def test_terrain_that_may_hold_trees_is_something_to_do(surface, words):
    found = list(terrain_quality(ground(surface=surface, uncertainty_assumed=False)))
    assert bool(found) is (words is not None)
    for one in found:
        assert (one.rule, one.mark) == ("terrain-kind", Mark.ACT)
        assert one.message.startswith(words)


def test_an_accuracy_that_nobody_states_is_said_to_be_assumed():
    found = list(
        terrain_quality(
            ground(uncertainty_assumed=True, vertical_uncertainty_m=3.2, horizontal_uncertainty_m=7.0)
        )
    )
    assert [(one.rule, one.mark) for one in found] == [("terrain-accuracy-assumed", Mark.NOTE)]
    assert found[0].message == "Its file states none; 3 m in height and 7 m in place are assumed."


def test_metres_that_are_assumed_are_told_with_a_height_to_compare():
    """300 m are 984.3 ft."""
    case = ground(unit_assumed=True)
    case = attrs.evolve(case, track=attrs.evolve(case.track, launch_ground_amsl_m=300.0))
    (one,) = terrain_unit(case)
    assert (one.rule, one.mark) == ("terrain-unit", Mark.NOTE)
    assert one.message.endswith("metres are taken. The launch lies at 984 ft (300 m) by it.")
    for track in (None, attrs.evolve(case.track, launch_ground_amsl_m=math.nan)):
        (one,) = terrain_unit(attrs.evolve(case, track=track))
        assert one.message.endswith("metres are taken.")
    assert not list(terrain_unit(ground(unit_assumed=False)))
    invented = attrs.evolve(case, world=attrs.evolve(case.world, jurisdictions=INVENTED))
    assert not list(terrain_unit(invented))


def test_without_terrain_it_has_no_quality():
    none = attrs.evolve(CASE, world=attrs.evolve(CASE.world, terrain=None))
    for rule in (terrain_quality, terrain_unit):
        assert not list(rule(none))


def test_without_any_charts_nothing_is_known():
    bare = attrs.evolve(CASE.world, layers=(), jurisdictions=())
    (one,) = jurisdiction(attrs.evolve(CASE, world=bare))
    assert (one.rule, one.mark, one.basis) == ("no-charts", Mark.UNKNOWN, Basis.LAW)
    for charts in (attrs.evolve(bare, layers=(layer(D),)), attrs.evolve(CASE.world, jurisdictions=())):
        assert not list(jurisdiction(attrs.evolve(CASE, world=charts)))
