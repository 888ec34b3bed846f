"""What a request says of its height and of what it holds: figures put in by hand (m)."""

from types import SimpleNamespace

import attrs
import pytest

from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.permission import request as rule
from planner.permission.asked_heights import AskedHeights
from planner.permission.besides import Besides
from planner.permission.need import PermissionNeed, Rise, Route, Subject
from tests.worlds import record

LOST, FLOWN = Rise.ON_LOST_LINK, Rise.AS_FLOWN


def request(monkeypatch, heights=None, bail_outs=(), agencies=("A",), error_m=3.0, rise=LOST, **besides):
    for name, one in {
        "_fitted_area": lambda *_: SimpleNamespace(cells="cells"),
        "_airports": lambda cells, _aerodromes: cells,
        "_ident": lambda volumes: f"{len(volumes)} volumes",
        "asked_heights": lambda _mapped, _use, _besides: heights,
    }.items():
        monkeypatch.setattr(rule, name, one)
    need = PermissionNeed(Subject.AIRSPACE, "V", "", Route.AGENCY, rise=rise)
    volumes = {k: SimpleNamespace(agency=one) for k, one in enumerate(agencies)}
    figures = [SimpleNamespace(bail_out=one) for one in bail_outs]
    flight = SimpleNamespace(window=None, figures=figures, readout_error_m=error_m)
    use = SimpleNamespace(need=need, volumes=tuple(volumes))
    given = ([], Besides(**besides))
    return rule._request(flight, SimpleNamespace(airspace=volumes), use, given, (), None)


def test_its_height_is_what_is_asked_for_and_made_of(monkeypatch):
    one = request(monkeypatch, AskedHeights(90.0, 10.0, 30.0, FLOWN))
    assert (one.highest_agl_m, one.way_rise_m, one.rise_m, one.rise) == (90.0, 10.0, 30.0, FLOWN)
    assert (one.readout_error_m, one.may_reach_agl_m) == (3.0, 93.0)


@pytest.mark.parametrize("rise", [LOST, FLOWN])
def test_of_a_height_that_is_not_known_nothing_is_made(rise, monkeypatch):
    one = request(monkeypatch, None, rise=rise)
    assert (one.highest_agl_m, one.way_rise_m, one.rise_m, one.rise) == (None, 0.0, 0.0, rise)
    assert one.may_reach_agl_m is None


@pytest.mark.parametrize(
    ("bail_outs", "told"), [((), False), ((None,), False), ((None, "place"), True), (("place", None), True)]
)
def test_whether_ways_to_bail_out_places_are_held(bail_outs, told, monkeypatch):
    assert request(monkeypatch, bail_outs=bail_outs).bails_out is told


def test_how_far_it_comes_above_the_limit_and_why(monkeypatch):
    over = {LOST: {0: 5.0, 1: 9.0, 2: 20.0}, FLOWN: {0: 7.0}}
    one = request(monkeypatch, agencies=("A", "B"), over_limit_m=over)
    assert (one.over_limit_m, one.over_limit_by) == (9.0, LOST)
    one = request(monkeypatch, over_limit_m=over)
    assert (one.over_limit_m, one.over_limit_by) == (7.0, FLOWN)
    assert request(monkeypatch).over_limit_m == 0.0


@pytest.mark.parametrize(
    ("agencies", "named"), [(("B", "A", "B"), "A, B"), (("", "A"), "A"), (("",), ""), (("A",), "A")]
)
def test_who_is_to_be_asked_is_named_once(agencies, named, monkeypatch):
    assert request(monkeypatch, agencies=agencies).agency == named


@pytest.mark.parametrize(
    ("highest_m", "sea", "names"),
    [
        (60.0, False, []),
        # Of two that share a flight one may hold for less: only what none of them reaches is outgrown.
        (60.1, False, []),
        (70.0, False, []),
        (70.1, False, ["A", "C"]),
        (None, False, []),
        # One to a height above the sea is not held to it: the plan is judged by it.
        (70.1, True, []),
    ],
)
def test_what_is_on_record_for_less_than_is_flown(highest_m, sea, names, monkeypatch):
    """Records up to 60 m and 70 m over the ground."""
    others = (record("B", AboveSeaLevel(10.0)),) * sea + (record("C", AboveGround(70.0)),)
    held = {"record": record("A", AboveGround(60.0)), "beside": others}
    one = request(monkeypatch, None if highest_m is None else AskedHeights(highest_m))
    one = attrs.evolve(one, need=attrs.evolve(one.need, **held))
    assert [each.airspace for each in one.outgrown] == names
