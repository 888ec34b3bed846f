"""How high a need has to reach, in words and figures, and as its request sheet has it: put in by hand (m).

Sums and differences; 1 ft is 0.3048 m. That heights are told in whole feet, rounded up, what is not a foot
more is not told twice, and of what is answered nothing is asked again, are our own rules.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.permission.asked_heights import AskedHeights
from planner.permission.besides import Besides
from planner.permission.need import PermissionNeed, Rise, Route, Subject
from planner.permission.needs import AirspaceUse
from planner.plan.aircraft import Readout, ReadoutSource
from planner.rules import as_asked as sheet
from planner.rules import flown_besides, inquiry_uses, loss_above_asked, need_on_return
from planner.rules.as_asked import as_asked
from planner.rules.asked_words import asked_numbers, readout_words, risen_words, to_ask_for_m
from planner.rules.inquiry_uses import _Heights, _not_drawn
from planner.saying import Units, said, told
from planner.track.way_samples import WaySamples
from tests.worlds import FOOT_M, plan, record

LOST, FLOWN = Rise.ON_LOST_LINK, Rise.AS_FLOWN


def need(asked_m=100 * FOOT_M, route=Route.AGENCY, subject=Subject.AIRSPACE, **given):
    return PermissionNeed(subject, "V", "", route, asked_agl_m=asked_m, **given)


def feet(**given):
    return {key: one * FOOT_M if key.endswith("_m") else one for key, one in given.items()}


@pytest.mark.parametrize(
    ("asked_ft", "given", "words"),
    [
        (100, {}, ""),
        (100, feet(rise_m=30), ", on lost link up to 100 ft"),
        (
            100,
            feet(rise_m=30, rise=FLOWN),
            ", where the path falls faster than the aircraft sinks up to 100 ft",
        ),
        (100, feet(way_rise_m=30), ", on ways that are not drawn up to 100 ft"),
        (
            100,
            feet(rise_m=30, way_rise_m=20),
            ", on ways that are not drawn up to 70 ft, on lost link up to 100 ft",
        ),
        # In whole feet the same, or one more.
        (100.5, feet(rise_m=0.9), ", on lost link up to 101 ft"),
        (100, feet(rise_m=0.9), ""),
        (99.9, feet(rise_m=0.8), ""),
        (99.9, feet(rise_m=0.8, way_rise_m=30), ", on ways that are not drawn up to 100 ft"),
        (99.9, feet(rise_m=20, way_rise_m=0.8), ", on lost link up to 100 ft"),
        (99.9, feet(way_rise_m=0.8), ""),
        (None, feet(rise_m=30), ""),
    ],
)
def test_what_is_flown_higher_than_drawn_is_told_where_it_is_a_foot_more(asked_ft, given, words):
    asked_m = None if asked_ft is None else asked_ft * FOOT_M
    assert said(told(risen_words(need(asked_m, **given))), Units()) == words


def test_what_is_off_by_single_precision_is_no_foot_more():
    # 0.2 mm over 70 ft: terrain is kept no finer.
    assert risen_words(need(70 * FOOT_M + 2e-4, rise_m=2e-4)) == ""
    assert risen_words(need(70 * FOOT_M + 4e-4, rise_m=4e-4)) != ""


def case(error_m, **given):
    craft = attrs.evolve(
        plan().aircraft, readout=None if error_m is None else Readout(ReadoutSource.BAROMETER, error_m)
    )
    return SimpleNamespace(plan=plan(aircraft=craft), **given)


@pytest.mark.parametrize(
    ("asked_m", "error_m", "given", "words"),
    [
        (100 * FOOT_M, 10 * FOOT_M, {}, " With what the readout may be off, ask for 110 ft."),
        (100 * FOOT_M, 0.0, {}, ""),
        (100 * FOOT_M, None, {}, ""),
        (None, 10 * FOOT_M, {}, ""),
        # The automated service gives no more.
        (
            100 * FOOT_M,
            10 * FOOT_M,
            {"route": Route.AUTOMATED, "cell_ceiling_agl_m": 105 * FOOT_M},
            " With what the readout may be off, ask for 105 ft.",
        ),
        (100 * FOOT_M, 10 * FOOT_M, {"route": Route.AUTOMATED, "cell_ceiling_agl_m": 100 * FOOT_M}, ""),
    ],
)
def test_what_the_readout_may_be_off_is_asked_for_as_the_sheet_has_it(asked_m, error_m, given, words):
    assert said(told(readout_words(case(error_m), need(asked_m, **given))), Units()) == words


def test_without_an_aircraft_nothing_is_added():
    assert to_ask_for_m(SimpleNamespace(plan=plan(aircraft=None)), need(), 30.0) == 30.0


@pytest.mark.parametrize(
    ("asked_m", "rise_m", "numbers"),
    [
        (90.0, 0.0, {"asked_agl_m": 90.0}),
        (90.0, 30.0, {"asked_agl_m": 60.0, "above_asked_m": 30.0}),
        (None, 0.0, {}),
    ],
)
def test_its_figures(asked_m, rise_m, numbers):
    assert asked_numbers(need(asked_m, rise_m=rise_m)) == numbers


# ---- as its sheet has it


def test_a_need_is_as_high_as_its_sheet(monkeypatch):
    use = AirspaceUse(need(40.0), (3,), None)
    monkeypatch.setattr(sheet, "asked_heights", lambda *_: AskedHeights(90.0, 10.0, 30.0, FLOWN))
    wider = as_asked("map", use, Besides())
    assert (wider.need.asked_agl_m, wider.need.way_rise_m, wider.need.rise_m) == (90.0, 10.0, 30.0)
    assert (wider.need.rise, wider.volumes) == (FLOWN, (3,))
    monkeypatch.setattr(sheet, "asked_heights", lambda *_: None)
    assert as_asked("map", use, Besides()) is use


@pytest.mark.parametrize("mapped", ["map", None])
@pytest.mark.parametrize(
    ("subject", "recorded", "wider"),
    [
        (Subject.AREA_CLOSED_BY_AGENCY, False, True),
        (Subject.AREA_CLOSED_BY_AGENCY, True, False),
        (Subject.AIRSPACE, False, False),
    ],
)
def test_of_an_agency_as_much_is_asked(subject, recorded, wider, mapped, monkeypatch):
    paper = record("V", 60.0) if recorded else None
    use, other = (AirspaceUse(need(40.0, subject=one), (3,), None) for one in (subject, Subject.AIRSPACE))
    use = attrs.evolve(use, need=attrs.evolve(use.need, record=paper))
    monkeypatch.setattr(need_on_return, "flown_besides", lambda _case: "besides")
    monkeypatch.setattr(need_on_return, "as_asked", lambda *given: given)
    monkeypatch.setattr(need_on_return, "_with_uses", lambda _case, uses: uses)
    given = SimpleNamespace(uses=(other, use), mapped=mapped)
    found = need_on_return._with_agencies_heights(given)
    if wider and mapped:
        assert found == (other, ("map", use, "besides"))
    else:
        assert found is given


@pytest.mark.parametrize(
    ("over", "columns", "most"),
    [
        ({LOST: {3: 5.0, 4: 9.0}, FLOWN: {3: 7.0}}, (3,), (7.0, FLOWN)),
        ({LOST: {3: 5.0, 4: 9.0}, FLOWN: {3: 7.0}}, (3, 4), (9.0, LOST)),
        ({LOST: {3: 5.0}, FLOWN: {}}, (3, 4), (5.0, LOST)),
        ({LOST: {3: 0.5}, FLOWN: {}}, (3,), (0.5, LOST)),
        ({LOST: {3: 5.0}, FLOWN: {}}, (4,), (0.0, LOST)),
        ({}, (3,), (0.0, LOST)),
    ],
)
def test_the_most_above_the_limit_of_what_is_entered(over, columns, most):
    assert Besides(over_limit_m=over).over_limit(columns) == most


# ---- what is asked about


@pytest.mark.parametrize(
    ("asked_m", "flown_m", "drawn_m", "rises"),
    [
        (90.0, 60.0, 50.0, (30.0, 10.0)),
        (90.0, 90.0, 90.0, (0.0, 0.0)),
        (90.0, 60.0, None, (30.0, 0.0)),
        (None, 60.0, 50.0, (0.0, 10.0)),
        (90.0, None, 50.0, (0.0, 0.0)),
        (None, None, None, (0.0, 0.0)),
    ],
)
def test_how_much_of_it_is_flown_otherwise_than_drawn(asked_m, flown_m, drawn_m, rises):
    found = _Heights(asked_m, flown_m, drawn_m)
    assert (found.rise_m, found.way_rise_m) == rises


def part(high_m, kind=""):
    """A part of what is drawn, of a way, or of what is flown on lost link."""
    none = np.empty(0)
    way = WaySamples(None, none, none, none, none, none, none, on_lost_link=kind == "lost")
    return SimpleNamespace(samples=way if kind else "drawn", asked_agl_m=lambda: high_m)


@pytest.mark.parametrize(
    ("parts", "heights"),
    [
        ([part(50.0)], (50.0, 50.0, 50.0)),
        ([part(50.0), part(60.0, "way")], (60.0, 60.0, 50.0)),
        ([part(50.0), part(60.0, "way"), part(90.0, "lost")], (90.0, 60.0, 50.0)),
        ([part(50.0), part(40.0, "way"), part(30.0, "lost")], (50.0, 50.0, 50.0)),
        ([part(50.0), part(np.nan, "lost")], (None, 50.0, 50.0)),
        ([part(50.0), part(np.inf, "way"), part(20.0, "lost")], (None, None, 50.0)),
        ([part(90.0, "lost")], (90.0, 90.0, None)),
        ([], (None, None, None)),
    ],
)
def test_the_greatest_height_of_all_and_of_what_is_drawn(parts, heights):
    drawn = [one for one in parts if one.samples == "drawn"]
    found = _Heights.of(drawn, parts)
    assert (found.asked_m, found.flown_m, found.drawn_m) == heights


def test_where_nothing_is_drawn_nothing_rises_above_it():
    found = _not_drawn(need(90.0, rise_m=30.0, way_rise_m=10.0))
    assert (found.asked_agl_m, found.rise_m, found.way_rise_m, found.not_drawn) == (90.0, 0.0, 0.0, True)


@pytest.mark.parametrize(("weather", "wider"), [(None, False), ("weather", True)])
def test_once_it_is_known_what_is_done_on_lost_link_as_much_is_asked_about(weather, wider, monkeypatch):
    open_use = AirspaceUse(need(), (3,), None)
    held_use = AirspaceUse(need(record=record("V", 60.0)), (4,), None)
    monkeypatch.setattr(inquiry_uses, "_uses", lambda _case, _mapped: (open_use, held_use))
    monkeypatch.setattr(inquiry_uses, "flown_besides", lambda _case: "besides")
    monkeypatch.setattr(inquiry_uses, "as_asked", lambda *given: given)
    given = SimpleNamespace(mapped="map", weather=weather, once=lambda _key, make: make())
    first = ("map", open_use, "besides") if wider else open_use
    assert inquiry_uses.inquiry_uses(given) == (first, held_use)
    assert inquiry_uses.inquiry_uses(None) == ()
    assert inquiry_uses.inquiry_uses(SimpleNamespace(mapped=None)) == ()
    monkeypatch.setattr(inquiry_uses, "_uses", lambda _case, _mapped: ())
    monkeypatch.setattr(inquiry_uses, "flown_besides", lambda _case: pytest.fail("asked in vain"))
    assert inquiry_uses.inquiry_uses(given) == ()


# ---- what is flown on lost link through what is entered


def test_what_is_flown_on_lost_link_through_entered_airspace_is_marked_so(monkeypatch):
    none = np.empty(0)

    def way(where):
        return WaySamples(None, none, none, none, none, none, none, where=where)

    def wanted_of(wanted):
        return [column for column in range(5) if wanted(column, None)]

    for name, one in {
        "losses_of": lambda _case: [("first", True), ("second", False)],
        "ways_over": lambda _mapped, loss, outline, *, in_row: [way(f"{loss} {outline} {in_row}")],
        "returned_in": lambda _mapped, places, wanted: (
            way(f"{places} {wanted_of(wanted)}") if places else None
        ),
        "down_beside_area": lambda _case, _mapped, wanted: [way(f"down {wanted_of(wanted)}")],
    }.items():
        monkeypatch.setattr(flown_besides, name, one)
    mapped = SimpleNamespace(outlines=SimpleNamespace(polygon=lambda column: f"outline {column}"))
    found = list(flown_besides._through_closed(SimpleNamespace(returned=("home", "")), mapped, [2, 4]))
    assert [one.where for one in found] == [
        "first outline 2 True",
        "first outline 4 True",
        "second outline 2 False",
        "second outline 4 False",
        "home [2, 4]",
        "down [2, 4]",
    ]
    assert all(one.on_lost_link for one in found)


@pytest.mark.parametrize(
    ("flown_m", "asked_m", "error_m", "words"),
    [
        (42.0, 30.0, 3.0, "148 ft there, with what the readout may be off"),
        (42.0, 45.0, 3.0, "158 ft there, with what the readout may be off"),
        (42.0, None, 3.0, "148 ft there, with what the readout may be off"),
        (0.5, None, 0.0, "2 ft there"),
        (42.0, 30.0, 0.0, "138 ft there"),
        (42.0, 30.0, None, "138 ft there"),
    ],
)
def test_what_to_ask_for_is_what_the_sheet_says(flown_m, asked_m, error_m, words):
    """42 m are 137.8 ft, 45 m 147.6, 48 m 157.5, 3 m 9.8 ft, half a metre 1.6 ft."""
    found = loss_above_asked._as_the_sheet_says(case(error_m), need(asked_m), flown_m)
    assert said(told(found), Units()) == words
