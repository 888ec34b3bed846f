"""What changed between two judged plans: nothing is made up, nothing is passed over, both sides are alike."""

import attrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess, assess_live
from planner.assessment import Assessment
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan import edits
from planner.plan.geometry import LegShape
from planner.plan.model import Plan, Purpose
from planner.remedy.compare import compare
from planner.remedy.compare_change import Kind, Topic
from planner.remedy.compare_inputs import ELSEWHERE, NO_INTENT
from planner.remedy.compare_path import aligned
from planner.rules.verdict import Verdict
from planner.world.world import World
from tests import worlds
from tests.plan.sample_plan import FULL_PLAN
from tests.random_worlds import random_plans, random_worlds, unhurried
from tests.remedy.comparing import keyed, of
from tests.strategies import path_points, plans
from tests.worlds import at

OTHER_SIDE = {Kind.APPEARED: Kind.GONE, Kind.GONE: Kind.APPEARED, Kind.CHANGED: Kind.CHANGED}


def bare(plan):
    """A plan that nobody has judged: enough to see what changed in the plan itself."""
    return Assessment(plan, World(), Verdict.UNDETERMINED, "", (), (), ())


# ---- nothing made up


@unhurried(6)
@given(random_worlds(), random_plans())
def test_a_plan_is_as_it_is(charts, flight):
    both = compare(assess(flight, charts), assess(flight, charts))
    assert both.changes == ()


@unhurried(8)
@given(plans())
def test_whatever_is_in_a_plan_it_is_as_it_is(plan):
    assert compare(bare(plan), bare(attrs.evolve(plan))).changes == ()


def test_what_is_not_judged_whole_is_not_compared():
    live = assess_live(worlds.plan(), worlds.world())
    with pytest.raises(ValueError, match="whole"):
        compare(live, live)


# ---- both sides alike


ON_PATH = frozenset({"path", "figures"})


def seen(change):
    """What a change says, but for words that name one side."""
    return change.topic, change.kind, change.key, change.words, change.weighty


def seen_from_behind(change):
    topic, kind, key, words, weighty = seen(change)
    return topic, OTHER_SIDE[kind], key, words[::-1], weighty


@unhurried(12)
@given(plans(), plans(), st.data())
def test_exchanged_sides_exchange_what_appeared_and_what_is_gone(one, other, data):
    # Some parts the same, so that pairing has work to do.
    names = [field.name for field in attrs.fields(Plan)]
    kept = data.draw(st.sets(st.sampled_from(names)))
    if kept & ON_PATH:
        # Points name their figures.
        kept |= ON_PATH
    other = attrs.evolve(other, **{name: getattr(one, name) for name in kept})
    there, back = compare(bare(one), bare(other)), compare(bare(other), bare(one))
    assert sorted(map(repr, map(seen, there.changes))) == sorted(
        map(repr, map(seen_from_behind, back.changes))
    )


@unhurried(5)
@given(random_worlds(), random_worlds(), random_plans())
def test_exchanged_data_exchange_what_appeared_and_what_is_gone(charts, other, flight):
    one, two = assess(flight, charts), assess(flight, other)
    there, back = compare(one, two), compare(two, one)
    judgement = {Topic.VERDICT, Topic.FINDINGS, Topic.PERMISSIONS}
    forth = [seen(change) for change in there.changes if change.topic in judgement]
    again = [seen_from_behind(change) for change in back.changes if change.topic in judgement]
    assert sorted(map(repr, forth)) == sorted(map(repr, again))
    turned = {"ceiling-lower": "ceiling-higher", "ceiling-now-known": "ceiling-no-longer-known"}
    turned |= {value: key for key, value in turned.items()}
    assert sorted(change.key for change in of(Topic.CEILING, there)) == sorted(
        turned.get(change.key, change.key) for change in of(Topic.CEILING, back)
    )


@unhurried(40)
@given(st.lists(path_points(), max_size=6), st.lists(path_points(), max_size=6), st.data())
def test_points_are_laid_side_by_side_in_order_and_each_once(one, other, data):
    shared = data.draw(st.lists(st.sampled_from(one), unique=True)) if one else []
    other = [*other[:2], *sorted(shared, key=one.index), *other[2:]]
    pairs = aligned(one, other)
    assert [i for i, _ in pairs if i is not None] == list(range(len(one)))
    assert [j for _, j in pairs if j is not None] == list(range(len(other)))
    assert [(j, i) for i, j in pairs] == list(aligned(other, one))


# ---- nothing passed over


@unhurried(8)
@given(plans(), plans())
def test_every_field_that_differs_is_told(one, other):
    for field in attrs.fields(Plan):
        if field.name in NO_INTENT:
            continue
        names = ON_PATH if field.name in ON_PATH else {field.name}
        changed = attrs.evolve(one, **{name: getattr(other, name) for name in names})
        told = compare(bare(one), bare(changed)).changes
        assert bool(told) == (changed != one), field.name


def test_the_fields_told_of_elsewhere_are_fields_of_a_plan():
    assert {field.name for field in attrs.fields(Plan)} >= ELSEWHERE | NO_INTENT


MORE = travel(FULL_PLAN.path[0].place, TrueBearing(45.0), 37.0)
EDITS = [
    (edits.AppendPoint(MORE), "path-point", "Point 4"),
    (edits.InsertPoint(1, MORE), "path-point", "Point 2"),
    (edits.DeletePoint(1), "path-point", "Point 2"),
    (edits.MovePoint(0, MORE), "path-point", "Point 1 moved 37 m north-east"),
    (edits.SetPointHeight(1, AboveSeaLevel(99.0)), "path-point", "Point 2: height"),
    (edits.SetLegShape([0], LegShape.STRAIGHT), "path-point", "Leg 1"),
    (edits.SetLegSpeed(1, 3.0), "path-point", "Leg 2: speed"),
    (edits.ReversePath(), "path-direction", "Path flown the other way round"),
    (edits.RemoveArea(), "area", "Flying area"),
    (edits.SetAreaTop(None), "area-top", "Top of the area"),
    (edits.DeleteAreaCorner(0), "area", "Flying area: "),
    (edits.SetLaunch(None), "launch", "Launch point"),
    (edits.SetLanding(MORE), "landing", "Landing point"),
    (edits.RemoveCrew("guest"), "crew:guest", ""),
    (edits.MoveCrew("observer", MORE), "crew:observer", "Observer (INVENTED) moved"),
    (edits.RemovePermission(0), f"record:{FULL_PLAN.permissions[0].reference}", "Record"),
    (edits.ConfirmStructure("mast-9", standing=True), "structure:mast-9", "Structure mast-9"),
    (edits.RemoveRestriction(0), f"restrictions:{FULL_PLAN.restrictions[0].name}", "Restriction"),
    (edits.DissolveFigure(0), f"figures:{FULL_PLAN.figures[0].called}", "Figure: Dive"),
    (edits.DissolveFigure(0), "path-point", "Point 2: figure it is flown in"),
    (
        edits.ReplaceFigure(0, attrs.evolve(FULL_PLAN.figures[0], call="NOW")),
        f"figures:{FULL_PLAN.figures[0].called}",
        'Figure: Dive "North face (INVENTED)", call',
    ),
    (edits.RemoveBeneath(0), f"beneath:{FULL_PLAN.beneath[0].called}", "Beneath"),
    (edits.SetName("other"), "name", "Name"),
    (edits.SetPurpose(Purpose.RECREATIONAL, "club rules"), "guidelines", "Guidelines"),
    (edits.SetAircraft(None), "aircraft", "Aircraft"),
    (edits.SetWindow(None), "window", "Window"),
    (edits.SetNotices(None), "notices", "Notices"),
    (edits.SetPapers(None), "papers", "Papers"),
    (edits.SetWeather(None), "weather", "Weather"),
    (edits.SetSheetNotes(None), "sheet", "Sheet"),
    (edits.SetVisibility(1_234.0), "visibility-m", "Visibility"),
    (edits.SetOwnUnseen(12.5), "own-unseen-s", "Own unseen"),
    (edits.SetOwnTriedDays(17.0), "own-tried-days", "Own tried"),
    (edits.SetGuyWires("47-1", 1.25), "mast-wires", "Mast wires"),
    (edits.SetPeopleDistance(33.0), "own-people-distance-m", "Own people distance"),
    (edits.SetFromVehicle(None), "from-vehicle", "From vehicle"),
    (edits.SetOtherPilots(()), "other-pilots", "Other pilots"),
    (edits.SetChartSets(("other set",)), "set:other set", "Chart set other set"),
]


@pytest.mark.parametrize(("edit", "key", "title"), EDITS, ids=lambda value: type(value).__name__)
def test_every_kind_of_edit_is_seen_by_its_name(edit, key, title):
    changed = edit.apply(FULL_PLAN)
    assert changed != FULL_PLAN, "the edit changes nothing, so this test would show nothing"
    told = keyed(compare(bare(FULL_PLAN), bare(changed)), key)
    assert any(change.title.startswith(title) for change in told)
    assert all(change.before != change.after for change in told)


def test_one_value_inside_the_aircraft_is_told_with_its_unit():
    heavier = attrs.evolve(FULL_PLAN.aircraft, take_off_weight_kg=0.9)
    (change,) = compare(bare(FULL_PLAN), bare(attrs.evolve(FULL_PLAN, aircraft=heavier))).changes
    # 0.68 and 0.9 kg in avoirdupois pounds of exactly 0.45359237 kg.
    assert change.title == "Aircraft: take off weight"
    assert change.words == ("0.68 kg (1.499 lb)", "0.9 kg (1.984 lb)")


def test_many_points_that_moved_alike_are_one_line():
    path = worlds.points([(100.0 * k, 0, 30.0) for k in range(12)])
    moved = worlds.points([(100.0 * k, 20.0 + k, 30.0) for k in range(12)])
    told = compare(bare(Plan(path=path)), bare(Plan(path=moved))).changes
    assert [change.title for change in told] == ["Points 1 to 12 moved by up to 31 m"]
    assert told[0].numbers["points"] == 12


def test_by_how_much_an_area_grew_and_shrank_and_where():
    # 500 m square, its east half moved out by 100 m: 250 m by 100 m more.
    old = worlds.area(worlds.box(0, 0, 500, 500), AboveGround(50.0))
    new = worlds.area(
        worlds.polygon([(0, 0), (500, 0), (500, 250), (600, 250), (600, 500), (0, 500)]), old.top
    )
    (change,) = compare(bare(Plan(area=old)), bare(Plan(area=new))).changes
    # Corners are laid by azimuth and distance, so the sides are straight to some centimetres.
    assert change.numbers["gained_m2"] == pytest.approx(25_000, rel=2e-3)
    assert change.numbers["lost_m2"] == pytest.approx(0, abs=1)
    assert change.at.place.lon_deg > at(500, 300).lon_deg
    assert at(0, 250).lat_deg < change.at.place.lat_deg < at(0, 500).lat_deg
