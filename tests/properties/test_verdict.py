"""What must hold whatever the world: a worse plan or worse data is never judged better.

Source: issue of the design, section 2 (unknowns; the verdict) and the definition of a permission.
"""

from datetime import timedelta

import attrs
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.edits.path import SetPointHeight
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import NoticesChecked, PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from tests import worlds
from tests.random_worlds import outlines, random_plans, random_worlds, unhurried
from tests.worlds import START, at, cell, ft, layer, layers, plan, record, recreational, volume, world

BEST_FIRST = (Verdict.READY, Verdict.PERMISSION_NEEDED, Verdict.UNDETERMINED, Verdict.MUST_CHANGE)
HEIGHT_AND_AIRSPACE = {
    "above-height-limit",
    "closed-airspace",
    "airspace-authorization",
    "no-facility-map-value",
    "class-e-extension",
    "class-e-recreational",
    "area-above-limit",
}
RESTRICTING = (LayerName.TERRAIN, LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY)


def rank(answer) -> int:
    return BEST_FIRST.index(answer.verdict)


# ---- raising the path


@st.composite
def solid_worlds(draw):
    """Volumes that start at the surface and top out above every allowance."""
    charts = draw(random_worlds())
    kinds = [AirspaceKind.CLASS_B, AirspaceKind.CLASS_D, AirspaceKind.PROHIBITED, AirspaceKind.CLASS_E4]
    solid = tuple(
        volume(draw(st.sampled_from(kinds)), draw(outlines()), key=f"solid {k}", name=f"SOLID {k}")
        for k in range(draw(st.integers(0, 3)))
    )
    high = worlds.sea_level(5_000.0)
    return attrs.evolve(charts, airspace=tuple(attrs.evolve(found, top=high) for found in solid))


def weights(answer) -> dict[str, int]:
    """The heaviest mark of each rule on height and airspace, 0 for none."""
    order = (Mark.NOTE, Mark.ACT, Mark.UNKNOWN, Mark.STOP)
    found = dict.fromkeys(HEIGHT_AND_AIRSPACE, 0)
    for finding in answer.findings:
        if finding.rule in found:
            found[finding.rule] = max(found[finding.rule], 1 + order.index(finding.mark))
    return found


@unhurried(60)
@given(solid_worlds(), random_plans(), st.floats(0.0, 200.0), st.integers(0, 3))
def test_raising_a_point_never_improves_height_or_airspace(charts, flight, raise_m, index):
    index %= len(flight.path)
    point = flight.path[index]
    higher = attrs.evolve(point.height, m=point.height.m + raise_m)
    raised = SetPointHeight((index,), higher).apply(flight)
    before, after = assess(flight, charts), assess(raised, charts)
    if before.verdict is Verdict.READY:
        assume(raise_m > 0)
    lighter = {
        rule: (was, now)
        for rule, was, now in zip(
            weights(before), weights(before).values(), weights(after).values(), strict=True
        )
        if now < was
    }
    # A recreational flight raised above the cell's value needs another route, not less of a permission.
    assert not lighter
    asked_before = {need.airspace for need in before.permissions if not need.recorded}
    asked_after = {need.airspace for need in after.permissions if not need.recorded}
    assert asked_before <= asked_after


# ---- permissions


@unhurried(60)
@given(random_worlds(), random_plans())
def test_removing_a_permission_never_improves_the_verdict(charts, flight):
    full = rank(assess(flight, charts))
    for number in range(len(flight.permissions)):
        fewer = attrs.evolve(flight, permissions=worlds.without(flight.permissions, number))
        assert rank(assess(fewer, charts)) >= full


@unhurried(60)
@given(random_worlds(), random_plans())
def test_a_structure_not_seen_standing_never_improves_the_verdict(charts, flight):
    unseen = attrs.evolve(flight, structures_standing=frozenset())
    assert rank(assess(unseen, charts)) >= rank(assess(flight, charts))


# ---- data


def ready_with(purpose):
    charts = world(cells=(cell(400),), airspace=(volume(),))
    flight = plan(purpose, permissions=(record("INVENTED CLASS-D", 100.0),))
    return flight, charts


@pytest.fixture(scope="module")
def ready():
    """For each purpose a flight and charts with which it is ready."""
    given = {purpose: ready_with(purpose) for purpose in Purpose}
    assert [assess(*of).verdict for of in given.values()] == [Verdict.READY] * len(Purpose)
    return given


@pytest.fixture(scope="module")
def granted():
    """For each granting layer a flight and charts with which it is ready by that layer alone."""
    mast = worlds.tower(402)
    charts = world(structures=(mast,), fixed_sites=(worlds.fixed_site(),))
    high = {"path": worlds.hover(ft(600), (10.0, 0.0))}
    given = {
        LayerName.OBSTACLES: (plan(**high, structures_standing=frozenset({mast.key})), charts),
        LayerName.FIXED_SITES: (
            recreational(**high, permissions=(record("INVENTED MEADOW", ft(700)),)),
            charts,
        ),
    }
    assert [assess(*of).verdict for of in given.values()] == [Verdict.READY] * 2
    return given


WAYS_TO_FAIL = {
    "missing": None,
    "expired": {"expires_utc": START + timedelta(minutes=59)},
    "not yet in force": {"effective_utc": START + timedelta(minutes=1)},
    "damaged": {"damage": "its table can't be read"},
    "without coverage": {"coverage": None},
    "elsewhere": {"coverage": worlds.box(30_000, 0, 60_000, 30_000)},
    "covering all but one end": {"coverage": worlds.box(-5_000, -5_000, 490, 5_000)},
    "with a hole": {"coverage": worlds.box(-5_000, -5_000, 5_000, 5_000) - worlds.disc(50.0, (250.0, 0.0))},
}


@pytest.mark.parametrize("purpose", Purpose)
@pytest.mark.parametrize("name", RESTRICTING)
@pytest.mark.parametrize("way", [*WAYS_TO_FAIL, "undated", "half dated"])
def test_no_restricting_layer_can_fail_and_leave_it_ready(name, way, purpose, ready):
    flight, charts = ready[purpose]
    if way in ("undated", "half dated"):
        if name is LayerName.TERRAIN:
            pytest.skip("ground does not expire: terrain needs no dates (table of unknowns)")
        changes = (
            {"effective_utc": None} if way == "half dated" else {"effective_utc": None, "expires_utc": None}
        )
    else:
        changes = WAYS_TO_FAIL[way]
    broken = None if changes is None else layer(name, **changes)
    answer = assess(flight, attrs.evolve(charts, layers=layers(**{name.name.lower(): broken})))
    assert answer.verdict is Verdict.UNDETERMINED
    assert answer.valid_until_utc is None
    assert any(finding.mark is Mark.UNKNOWN and finding.remedy for finding in answer.findings)


@pytest.mark.parametrize("way", [*WAYS_TO_FAIL, "undated"])
def test_the_facility_map_can_not_fail_and_leave_a_recreational_request_open(way):
    """Inside controlled airspace it is restricting: without a record it is what a request rests on."""
    charts = world(cells=(cell(400),), airspace=(volume(),))
    assert assess(recreational(), charts).verdict is Verdict.PERMISSION_NEEDED
    changes = {"effective_utc": None, "expires_utc": None} if way == "undated" else WAYS_TO_FAIL[way]
    broken = None if changes is None else layer(LayerName.FACILITY_MAP, **changes)
    answer = assess(recreational(), attrs.evolve(charts, layers=layers(facility_map=broken)))
    assert answer.verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize("name", [LayerName.OBSTACLES, LayerName.FIXED_SITES])
@pytest.mark.parametrize("way", [*WAYS_TO_FAIL, "undated"])
def test_granting_data_that_fails_grants_nothing(name, way, granted):
    flight, charts = granted[name]
    changes = {"effective_utc": None, "expires_utc": None} if way == "undated" else WAYS_TO_FAIL[way]
    if way in ("covering all but one end", "with a hole"):
        changes = {"coverage": worlds.disc(50.0, (500.0, 0.0))}
    broken = None if changes is None else layer(name, **changes)
    answer = assess(flight, attrs.evolve(charts, layers=layers(**{name.name.lower(): broken})))
    assert answer.verdict is Verdict.MUST_CHANGE


def test_no_charts_at_all():
    answer = assess(plan(), world(terrain=None, layers=()))
    assert answer.verdict is Verdict.UNDETERMINED
    assert "no-charts" in {finding.rule for finding in answer.findings}


def test_two_records_may_cover_the_place_together():
    west, east = worlds.box(-9_000, -9_000, 100, 9_000), worlds.box(100, -9_000, 9_000, 9_000)
    rest = tuple(record for record in layers() if record.name is not LayerName.CLASS_AIRSPACE)
    halves = tuple(
        layer(LayerName.CLASS_AIRSPACE, coverage=half, source=str(k)) for k, half in enumerate((west, east))
    )
    assert assess(plan(), world(layers=(*rest, *halves))).verdict is Verdict.READY
    late = attrs.evolve(halves[1], expires_utc=START)
    assert assess(plan(), world(layers=(*rest, halves[0], late))).verdict is Verdict.UNDETERMINED


# ---- what the plan does not say


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"purpose": None}, "no-purpose"),
        ({"window": None}, "no-window"),
        ({"launch": None}, "no-launch"),
        ({"aircraft": None}, "no-aircraft"),
        ({"notices": None}, "notices-not-checked"),
        ({"notices": NoticesChecked(START - timedelta(hours=25), "pilot")}, "notices-too-old"),
        ({"notices": NoticesChecked(START + timedelta(hours=2), "pilot")}, "notices-after-start"),
        ({"crew": ()}, "no-observer"),
        ({"path": ()}, "nothing-drawn"),
        ({"launch": GroundSpot(at(), LandStatus.UNSETTLED)}, "land-not-settled"),
    ],
)
@pytest.mark.parametrize("purpose", Purpose)
def test_what_a_plan_leaves_out_keeps_it_from_being_ready(purpose, changes, rule):
    answer = assess(attrs.evolve(plan(purpose), **changes), world())
    assert answer.verdict is not Verdict.READY
    found = next(finding for finding in answer.findings if finding.rule == rule)
    assert found.remedy


def test_a_recreational_flight_names_its_guidelines():
    assert assess(recreational(guidelines=" "), world()).verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize("away_m", [0.0, 60.0, 121.0])
def test_unknown_ground_anywhere_on_the_way_is_never_ready(away_m):
    def relief(east_m, north_m):
        heights_m = np.full(east_m.shape, worlds.GROUND_M)
        heights_m[np.hypot(east_m - 100, north_m - away_m) < 25] = np.nan
        return heights_m

    ground = worlds.terrain(relief, horizontal_uncertainty_m=max(away_m, 1.0))
    assert np.isnan(ground.heights_m).any()
    answer = assess(plan(), world(terrain=ground))
    assert answer.verdict is Verdict.UNDETERMINED
    assert np.isnan(answer.profile.ceiling_amsl_m).any()


@pytest.mark.parametrize("kind", [AirspaceKind.PROHIBITED, AirspaceKind.CLASS_D])
def test_taking_off_inside_an_airspace_is_flying_in_it(kind):
    """Launch and landing are flown too, even if the path begins beyond the edge."""
    there = volume(kind, worlds.disc(200.0, (0.0, 2_000.0)))
    charts = world(airspace=(there,), cells=(cell(400),))
    assert assess(plan(), charts).verdict is Verdict.READY
    for spot in ("launch", "landing"):
        moved = plan(**{spot: GroundSpot(at(0, 2_000), LandStatus.OWN)})
        assert assess(moved, charts).verdict is not Verdict.READY


# ---- records and validity


@pytest.mark.parametrize("kind", PermissionKind)
def test_no_kind_of_record_opens_what_it_does_not_speak_of(kind):
    charts = world(airspace=(volume(), volume(AirspaceKind.PROHIBITED)), cells=(cell(400),))
    for height in (None, AboveGround(100.0)):
        elsewhere = record("SOMEWHERE ELSE", height, kind)
        answer = assess(plan(permissions=(elsewhere,)), charts)
        assert answer.verdict is Verdict.MUST_CHANGE
        assert not any(need.recorded for need in answer.permissions)


def test_a_record_up_to_the_ground_permits_nothing():
    charts = world(airspace=(volume(),), cells=(cell(400),))
    nothing = record("INVENTED CLASS-D", 0.0)
    answer = assess(plan(path=worlds.hover(0.0), permissions=(nothing,)), charts)
    assert answer.profile.in_unpermitted.all()
    assert answer.verdict is Verdict.PERMISSION_NEEDED


@pytest.mark.parametrize(("before_h", "valid_h"), [(1, 1.0), (23, 1.0), (23.5, 0.5)])
def test_ready_ends_with_the_first_thing_it_rests_on(before_h, valid_h):
    """The window ends after one hour; a check of notices holds for 24 (planning practice)."""
    notices = NoticesChecked(START - timedelta(hours=before_h), "pilot")
    answer = assess(plan(notices=notices), world())
    assert answer.verdict is Verdict.READY
    assert answer.valid_until_utc == START + timedelta(hours=valid_h)
