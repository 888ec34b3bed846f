"""Data that is missing, stale, not yet in force, elsewhere, torn or another state's never becomes "ready".

Every layer, every way it can fail, every purpose. What must follow is the house's own rule (restricting,
granting, advisory); what a layer is for is 14 CFR 107.41, 107.45, 107.51 and 49 USC 44809.
"""

from datetime import timedelta

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import Memory, assess
from planner.briefing.check_json import check_json
from planner.briefing.report_text import report_text
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround
from planner.geo.window import TimeWindow
from planner.plan.aircraft import RemoteId
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.data import STATE_WORDS
from planner.rules.finding import Mark
from planner.rules.unknowns import TABLE, Weight
from planner.rules.verdict import Verdict
from planner.world.currency import LayerState
from planner.world.layers import Jurisdiction, LayerName
from planner.world.merge import merged
from planner.world.sites import ExemptArea
from planner.world.world import World
from tests import worlds
from tests.worlds import EVERYWHERE, START, WINDOW, changed, ft, layer

ELSEWHERE = shapely.box(10, 50, 11, 51)
HALF = EVERYWHERE.intersection(shapely.box(-180, -90, worlds.HERE.lon_deg, 90))
FAILURES = {
    "missing": (LayerState.MISSING, None),
    "expired before the window": (LayerState.EXPIRED, {"expires_utc": START - timedelta(days=1)}),
    "expires within the window": (LayerState.EXPIRED, {"expires_utc": START + timedelta(minutes=30)}),
    "not yet effective": (LayerState.NOT_YET_EFFECTIVE, {"effective_utc": WINDOW.end_utc}),
    "effective within the window": (
        LayerState.NOT_YET_EFFECTIVE,
        {"effective_utc": START + timedelta(minutes=30)},
    ),
    "covers another place": (LayerState.NOT_COVERING, {"coverage": ELSEWHERE}),
    "covers half of the path": (LayerState.NOT_COVERING, {"coverage": HALF}),
    "states no coverage": (LayerState.NOT_COVERING, {"coverage": None}),
    "damaged": (LayerState.DAMAGED, {"damage": "its table is torn"}),
    "of another jurisdiction": (
        LayerState.OTHER_JURISDICTION,
        {"jurisdiction": Jurisdiction("US", "Elsewhere", ELSEWHERE)},
    ),
    "made for other rules, bounded here": (
        LayerState.OTHER_JURISDICTION,
        {"jurisdiction": Jurisdiction("FR", "France", EVERYWHERE)},
    ),
    "made for other rules, not bounded": (
        LayerState.OTHER_JURISDICTION,
        {"jurisdiction": Jurisdiction("FR", "France")},
    ),
}
UNDATED = {
    "no beginning stated": (LayerState.UNDATED, {"effective_utc": None}),
    "no end stated": (LayerState.UNDATED, {"expires_utc": None}),
}
RESTRICTING, GRANTING, ADVISORY = (
    tuple(row.layer for row in TABLE if row.layer is not None and row.weight is weight) for weight in Weight
)
WHAT = {row.layer: row for row in TABLE if row.layer is not None}
GIVEN_ONLY = {row.layer for row in TABLE if not row.everywhere}
CASES = [(name, *failure) for name, failure in {**FAILURES, **UNDATED}.items()]
PURPOSES = pytest.mark.parametrize("purpose", Purpose)
FAILING = pytest.mark.parametrize(("how", "state", "changes"), CASES, ids=[case[0] for case in CASES])


def layers_with(name, changes):
    failed = None if changes is None else changed(layer(name), **changes)
    return worlds.layers(**{name.name.lower(): failed})


def plan_for(purpose, **changes):
    return worlds.plan(purpose, **{"guidelines": "INVENTED", **changes})


def status_of(answer, name):
    (status,) = [status for status in answer.data if status.layer is name]
    return status


def applies(name, state):
    """Terrain has no cycle; what only some authorities publish may be missing; cells are tested below."""
    if name is LayerName.TERRAIN and state is LayerState.UNDATED:
        return False
    return name is not LayerName.FACILITY_MAP and not (name in GIVEN_ONLY and state is LayerState.MISSING)


RESTRICTED = [(name, *case) for name in RESTRICTING for case in CASES if applies(name, case[1])]


@PURPOSES
def test_with_everything_current_the_plan_is_ready(purpose):
    assert assess(plan_for(purpose), worlds.world()).verdict is Verdict.READY


@PURPOSES
@pytest.mark.parametrize(
    ("name", "how", "state", "changes"), RESTRICTED, ids=[f"{case[0]}: {case[1]}" for case in RESTRICTED]
)
def test_a_restricting_layer_that_fails_is_never_ready(purpose, name, how, state, changes):
    answer = assess(plan_for(purpose), worlds.world(layers=layers_with(name, changes)))
    assert answer.verdict is Verdict.UNDETERMINED
    assert status_of(answer, name).state is state
    (finding,) = [finding for finding in answer.findings if finding.mark is Mark.UNKNOWN]
    assert WHAT[name].what in finding.title
    assert STATE_WORDS[state] in finding.title
    assert WHAT[name].source in finding.remedy
    if state is not LayerState.MISSING:
        assert "Invented Authority" in finding.remedy
    if state is LayerState.DAMAGED:
        assert "its table is torn" in finding.message
    said = {entry["layer"]: entry["state"] for entry in check_json(answer)["data"]}
    assert said[name.value] == state.value


@PURPOSES
@FAILING
def test_cells_that_fail_inside_controlled_airspace_are_never_ready(purpose, how, state, changes):
    """Controlled, but no cell known: Part 107 asks for permission, recreational can't be determined."""
    world = worlds.world(
        airspace=(worlds.volume(),),
        cells=(worlds.cell(200),),
        layers=layers_with(LayerName.FACILITY_MAP, changes),
    )
    answer = assess(plan_for(purpose), world)
    assert status_of(answer, LayerName.FACILITY_MAP).state is state
    assert answer.verdict is (
        Verdict.PERMISSION_NEEDED if purpose is Purpose.PART_107 else Verdict.UNDETERMINED
    )
    if purpose is Purpose.RECREATIONAL:
        named = [finding for finding in answer.findings if finding.rule == "data-facility-map"]
        assert [finding.mark for finding in named] == [Mark.UNKNOWN]
        assert "facility map" in named[0].title
        assert "facility map data" in named[0].remedy
    elif state in (LayerState.EXPIRED, LayerState.NOT_YET_EFFECTIVE, LayerState.DAMAGED):
        named = [finding for finding in answer.findings if finding.rule == "data-facility-map"]
        assert [finding.mark for finding in named] == [Mark.NOTE]
        assert STATE_WORDS[state] in named[0].title


@PURPOSES
@FAILING
def test_what_is_known_to_be_closed_stays_closed_whatever_the_layer_s_standing(purpose, how, state, changes):
    closed = worlds.volume(worlds.AirspaceKind.PROHIBITED)
    layers = layers_with(LayerName.SPECIAL_USE, changes)
    answer = assess(plan_for(purpose), worlds.world(airspace=(closed,), layers=layers))
    assert answer.verdict is Verdict.MUST_CHANGE


@pytest.fixture(scope="module")
def high_beside_a_tower():
    """A flight that is ready because a tower stands beside it, and the tower."""
    plan = plan_for(Purpose.PART_107, path=worlds.hover(ft(500), (50, 0)))
    plan = attrs.evolve(plan, structures_standing=frozenset({"tower 300"}))
    tower = (worlds.tower(300),)
    for world in (worlds.world(structures=tower), granted(LayerName.OBSTACLES, structures=tower)):
        assert assess(plan, world).verdict is Verdict.READY
    return plan, tower


@pytest.fixture(scope="module")
def at_a_fixed_site():
    """A flight that is ready by the agreement of a fixed site, and what is there."""
    record = worlds.record("INVENTED MEADOW", AboveGround(60.0), PermissionKind.FIXED_SITE_AGREEMENT)
    plan = plan_for(Purpose.RECREATIONAL, permissions=(record,))
    given = {"airspace": (worlds.volume(),), "fixed_sites": (worlds.fixed_site(),)}
    for world in (worlds.world(**given), granted(LayerName.FIXED_SITES, **given)):
        assert assess(plan, world).verdict is Verdict.READY
    return plan, given


@FAILING
def test_structures_that_fail_grant_no_height(how, state, changes, high_beside_a_tower):
    plan, tower = high_beside_a_tower
    world = worlds.world(structures=tower, layers=layers_with(LayerName.OBSTACLES, changes))
    answer = assess(plan, world)
    assert answer.verdict is Verdict.MUST_CHANGE
    assert Binding.STRUCTURE not in answer.profile.binding
    limit = answer.profile.ceiling_amsl_m - answer.track.ground_amsl_m
    assert np.nanmax(limit) == pytest.approx(ft(400))


@FAILING
def test_fixed_sites_that_fail_grant_nothing(how, state, changes, at_a_fixed_site):
    """49 USC 44809(c): inside a fixed site its agreement opens controlled airspace, no cell needed."""
    plan, given = at_a_fixed_site
    answer = assess(plan, worlds.world(**given, layers=layers_with(LayerName.FIXED_SITES, changes)))
    assert answer.verdict is not Verdict.READY


@PURPOSES
@FAILING
@pytest.mark.parametrize("name", GRANTING)
def test_a_granting_layer_that_fails_changes_nothing_where_nothing_hangs_on_it(
    purpose, how, state, changes, name
):
    answer = assess(plan_for(purpose), worlds.world(layers=layers_with(name, changes)))
    assert answer.verdict is Verdict.READY
    assert status_of(answer, name).state is state
    said = [finding for finding in answer.findings if WHAT[name].what in finding.title]
    assert [finding.mark for finding in said] == ([] if state is LayerState.MISSING else [Mark.NOTE])
    assert all("grants nothing" in finding.message for finding in said)


@PURPOSES
@FAILING
@pytest.mark.parametrize("name", ADVISORY)
def test_an_advisory_layer_that_fails_is_printed_as_not_checked(purpose, how, state, changes, name):
    answer = assess(plan_for(purpose), worlds.world(layers=layers_with(name, changes)))
    torn = WHAT[name].closing and state is LayerState.DAMAGED
    assert answer.verdict is (Verdict.UNDETERMINED if torn else Verdict.READY)
    (line,) = [words for words in answer.not_known if words.startswith("not checked")]
    assert line.endswith(f": {WHAT[name].what}")
    assert "not checked, as no current data covers the place" in " ".join(report_text(answer).split())


@PURPOSES
@pytest.mark.parametrize("code", ["US", "us ", "PR"])
def test_a_set_made_for_the_rules_of_the_plan_is_good_where_it_is_bounded(purpose, code):
    made = tuple(changed(one, jurisdiction=Jurisdiction(code, "", EVERYWHERE)) for one in worlds.layers())
    assert assess(plan_for(purpose), worlds.world(layers=made)).verdict is Verdict.READY


@PURPOSES
@pytest.mark.parametrize("name", [row.layer for row in TABLE if row.closing])
def test_what_closes_for_a_time_and_was_given_but_not_read_is_never_ready(purpose, name):
    """Whoever imports a notice or a list of games knows of them: that it was refused is no "not checked"."""
    torn = changed(layer(name), damage="can't be used: it has no shape")
    answer = assess(plan_for(purpose), worlds.world(layers=(*worlds.layers(), torn)))
    assert answer.verdict is Verdict.UNDETERMINED
    (finding,) = [finding for finding in answer.findings if finding.mark is Mark.UNKNOWN]
    assert WHAT[name].what in finding.title
    assert "it has no shape" in finding.message


def test_the_layers_that_close_for_a_time():
    assert {row.layer for row in TABLE if row.closing} == {LayerName.TEMPORARY, LayerName.STADIUM_EVENTS}


def test_nothing_is_said_to_be_unchecked_where_all_is_current():
    answer = assess(plan_for(Purpose.PART_107), worlds.world())
    assert not [words for words in answer.not_known if words.startswith("not checked")]


NEIGHBOURS = {
    **FAILURES,
    **UNDATED,
    "expired and covers nothing": (None, {"expires_utc": START - timedelta(days=1), "coverage": None}),
}
BESIDE = pytest.mark.parametrize(
    "changes",
    [
        pytest.param(changes, id=how)
        for how, (_, changes) in NEIGHBOURS.items()
        # What covers half of the place does hold there, as what the other record covers does.
        if changes is not None and how != "covers half of the path"
    ],
)


def beside_a_current_one(name, changes, **features):
    """A world of two chart sets: a current one without these features, and one with them that fails."""
    current = worlds.world()
    failing = changed(layer(name), chart_set="another", source="another", **changes)
    return merged([current, World(layers=(failing,), **features)])


def granted(name, **features):
    return merged([worlds.world(), World(layers=(changed(layer(name), source="another"),), **features)])


@pytest.fixture(scope="module")
def in_an_exempt_area():
    """A flight without broadcast that is ready by the area it stays in, and the area."""
    given = {"exempt_areas": (ExemptArea("area", "INVENTED", worlds.disc(5_000.0), START, WINDOW.end_utc),)}
    aircraft = attrs.evolve(worlds.plan().aircraft, remote_id=RemoteId.NONE)
    plan = plan_for(Purpose.PART_107, aircraft=aircraft)
    assert assess(plan, granted(LayerName.EXEMPT_AREAS, **given)).verdict is Verdict.READY
    return plan, given


@BESIDE
def test_an_exempt_area_of_a_failing_set_beside_a_current_one_exempts_nobody(changes, in_an_exempt_area):
    """14 CFR 89.115(b): without broadcast only within an FAA-recognized identification area."""
    plan, given = in_an_exempt_area
    for order in (1, -1):
        world = merged([beside_a_current_one(LayerName.EXEMPT_AREAS, changes, **given)][::order])
        assert assess(plan, world).verdict is Verdict.MUST_CHANGE


@BESIDE
def test_a_structure_of_a_failing_set_beside_a_current_one_gives_no_height(changes, high_beside_a_tower):
    plan, tower = high_beside_a_tower
    answer = assess(plan, beside_a_current_one(LayerName.OBSTACLES, changes, structures=tower))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert Binding.STRUCTURE not in answer.profile.binding


@BESIDE
def test_a_fixed_site_of_a_failing_set_beside_a_current_one_opens_nothing(changes, at_a_fixed_site):
    plan, given = at_a_fixed_site
    answer = assess(plan, beside_a_current_one(LayerName.FIXED_SITES, changes, **given))
    assert answer.verdict is not Verdict.READY


@pytest.fixture(scope="module")
def inside_a_cell():
    """A flight that needs a permission which a current map's cell can give, and what is there."""
    given = {"airspace": (worlds.volume(),), "cells": (worlds.cell(400),)}
    plan = plan_for(Purpose.PART_107)
    (need,) = assess(plan, granted(LayerName.FACILITY_MAP, **given)).permissions
    assert need.cell_ceiling_agl_m == pytest.approx(ft(400))
    return plan, given


STALE_MAPS = ("expired before the window", "expires within the window", "expired and covers nothing",
              "not yet effective", "damaged", "covers another place", "of another jurisdiction",
              "made for other rules, bounded here")  # fmt: skip


@pytest.mark.parametrize("how", STALE_MAPS)
@pytest.mark.parametrize("alone", [True, False])
def test_cells_of_a_failing_map_say_nothing_alone_or_beside_a_current_one(how, alone, inside_a_cell):
    """What the automated service can give is in the current map (JO 7210.3 ch. 12 sec. 10) only."""
    changes = NEIGHBOURS[how][1]
    plan, given = inside_a_cell
    world = beside_a_current_one(LayerName.FACILITY_MAP, changes, **given)
    if alone:
        kept = tuple(
            record
            for record in world.layers
            if record.name is not LayerName.FACILITY_MAP or record.source == "another"
        )
        world = attrs.evolve(world, layers=kept)
    (need,) = assess(plan, world).permissions
    assert need.cell_ceiling_agl_m is None


def test_what_a_current_set_holds_too_is_granted_whatever_an_old_one_says():
    """The same tower in last year's file and in this year's."""
    plan = plan_for(Purpose.PART_107, path=worlds.hover(ft(500), (50, 0)))
    plan = attrs.evolve(plan, structures_standing=frozenset({"tower 300"}))
    given = {"structures": (worlds.tower(300),)}
    old = changed(layer(LayerName.OBSTACLES), chart_set="old", expires_utc=START - timedelta(days=1))
    parts = [worlds.world(**given), World(layers=(old,), **given)]
    for order in (1, -1):
        assert assess(plan, merged(parts[::order])).verdict is Verdict.READY


def test_a_moved_window_is_judged_anew_with_the_same_memory():
    """Both records make the layer current throughout; only one of them holds the tower."""
    tower = (worlds.tower(300),)
    short = changed(layer(LayerName.OBSTACLES), chart_set="short", expires_utc=WINDOW.end_utc)
    world = merged([worlds.world(), World(layers=(short,), structures=tower)])
    plan = plan_for(Purpose.PART_107, path=worlds.hover(ft(500), (50, 0)))
    plan = attrs.evolve(plan, structures_standing=frozenset({"tower 300"}))
    later = TimeWindow(START + timedelta(minutes=30), WINDOW.end_utc + timedelta(minutes=30))
    memory = Memory()
    assert assess(plan, world, memory).verdict is Verdict.READY
    assert assess(attrs.evolve(plan, window=later), world, memory).verdict is Verdict.MUST_CHANGE


def test_the_matrix_leaves_no_layer_out():
    covered = {*RESTRICTING, *GRANTING, *ADVISORY}
    assert set(LayerName) == covered
    assert {state for state, _ in {**FAILURES, **UNDATED}.values()} == set(LayerState) - {LayerState.OK}
    assert not EVERYWHERE.intersects(ELSEWHERE)
