"""What a use of airspace is made of: parts drawn and parts of ways that are not, put in by hand (m).

Of what closes unless an agency permits ways make no need, and where something is drawn its records are held
against that alone: our own rules. How much more a way asks for is a difference.
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from planner.permission import needs as rule
from planner.permission.cells import TouchedCells
from planner.permission.need import Route, Subject
from planner.permission.needs import uses_besides
from planner.world.airspace import AirspaceKind
from tests.worlds import plan, volume

D, SHUT = AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED
DRAWN, WAYS = "drawn", "ways"


def part(name, high_m, columns=(5,)):
    return SimpleNamespace(
        samples=name,
        by_volume=dict.fromkeys(columns),
        asked_agl_m=lambda: high_m,
        first_place=lambda _mapped: f"first of {name} {high_m:g}",
    )


def use(monkeypatch, kind, drawn=(), ways=(), matched=((), "")):
    """The use of an airspace with such parts, and against which its records were held."""
    held = []
    parts = {DRAWN: [part(DRAWN, one) for one in drawn], WAYS: [part(WAYS, one) for one in ways]}

    def match(_self, some, columns):
        held.extend(one.samples for one in some)
        return matched[0], SimpleNamespace(words=matched[1], record="nearest")

    for name, one in {
        "_parts": lambda _self, flown, columns: parts[flown[0]] if flown else [],
        "_match": match,
        "_cells": lambda _self, _parts: TouchedCells((), complete=False),
        "_in_sites": lambda _self, _parts: (),
        "_floor_amsl_m": lambda _self, _parts: 3.0,
        "_rest_at_times": lambda _self, _parts: False,
    }.items():
        monkeypatch.setattr(rule._Scene, name, one)
    mapped = SimpleNamespace(airspace={5: volume(kind, name="AIR")})
    found = rule._Scene(plan(), mapped, (DRAWN,)).use([5], [WAYS])
    return found, held


@pytest.mark.parametrize(
    ("kind", "drawn", "ways", "asked_m", "way_rise_m", "held"),
    [
        (D, [30.0], [], 30.0, 0.0, [DRAWN]),
        (D, [30.0, 40.0], [50.0], 50.0, 10.0, [DRAWN, DRAWN]),
        (D, [30.0], [20.0], 30.0, 0.0, [DRAWN]),
        (D, [], [50.0, 20.0], 50.0, 0.0, [WAYS, WAYS]),
        (D, [30.0], [math.nan], None, 0.0, [DRAWN]),
        (D, [math.nan], [50.0], None, 0.0, [DRAWN]),
        (D, [], [math.nan], None, 0.0, [WAYS]),
        # Only launch or landing is drawn there.
        (D, [0.0], [50.0], 50.0, 0.0, [DRAWN]),
        (SHUT, [30.0], [50.0], 30.0, 0.0, [DRAWN]),
        (SHUT, [], [50.0], None, None, []),
        (D, [], [], None, None, []),
    ],
)
def test_what_is_asked_for(kind, drawn, ways, asked_m, way_rise_m, held, monkeypatch):
    found, against = use(monkeypatch, kind, drawn, ways)
    assert against == held
    assert (found is None) is (not held)
    if found is not None:
        need = found.need
        assert (need.asked_agl_m, need.way_rise_m, need.not_drawn) == (asked_m, way_rise_m, not drawn)
        assert need.place == f"first of {held[0]} {[*drawn, *ways][0]:g}"
        closes = kind is SHUT
        assert need.subject is (Subject.AREA_CLOSED_BY_AGENCY if closes else Subject.AIRSPACE)
        assert (need.route is Route.AGENCY) is closes
        assert found.volumes == (5,)


def test_the_first_of_several_records_is_the_one_and_the_others_stand_beside_it(monkeypatch):
    need = use(monkeypatch, D, [30.0], matched=(("A", "B", "C"), ""))[0].need
    assert (need.record, need.beside) == ("A", ("B", "C"))
    none = use(monkeypatch, D, [30.0], matched=((), "too low"))[0].need
    assert (none.record, none.beside, none.shortfall, none.falls_short) == (None, (), "too low", "nearest")


@pytest.mark.parametrize(
    ("rests", "columns", "at_times"),
    [
        ({1, 2}, [(1,), (2,)], True),
        ({1}, [(1,), (2,)], False),
        ({1}, [(1, 2)], False),
        ({1, 2}, [(1, 2)], True),
    ],
)
def test_it_rests_on_times_where_all_of_it_does(rests, columns, at_times):
    airspace = {k: SimpleNamespace(rests_at_times=k in rests) for k in (1, 2)}
    scene = rule._Scene(plan(), SimpleNamespace(airspace=airspace), ())
    assert scene._rest_at_times([part(DRAWN, 30.0, one) for one in columns]) is at_times


def test_only_what_is_not_known_yet_is_asked_for_ways(monkeypatch):
    """Two volumes of one name and kind are one airspace; of what closes ways make no need."""
    names = {1: (D, "A"), 2: (D, "B"), 3: (D, "B"), 4: (D, "C"), 6: (SHUT, "D")}
    airspace = {k: volume(kind, name=name) for k, (kind, name) in names.items()}
    mapped = SimpleNamespace(airspace=airspace)
    asked = []

    def used(scene, columns, ways):
        asked.append((columns, ways, scene.flown, scene.launch_m))
        return None if columns == [4] else f"use of {columns}"

    monkeypatch.setattr(rule._Scene, "use", used)
    known = [SimpleNamespace(volumes=(1,))]
    assert uses_besides(plan(), mapped, known, ["way"], 300.0) == ("use of [2, 3]",)
    assert asked == [([2, 3], ["way"], (), 300.0), ([4], ["way"], (), 300.0)]
    asked.clear()
    assert uses_besides(plan(), mapped, [SimpleNamespace(volumes=(3,))], [], 300.0) == ("use of [1]",)


@pytest.mark.parametrize("shut", [False, True])
def test_airspace_that_is_surely_not_active_asks_for_nothing(shut, monkeypatch):
    monkeypatch.setattr(rule, "is_active", lambda one, _window: not (shut and one.name == "B"))
    airspace = {
        1: volume(D, name="B"),
        2: volume(SHUT, name="A"),
        3: volume(AirspaceKind.ALERT, name="C"),
        4: volume(D, name="D"),
    }
    mapped = SimpleNamespace(airspace=airspace)
    assert list(rule._airspaces(plan(), mapped)) == ([[4]] if shut else [[1], [4]])
    closing = list(rule._airspaces(plan(), mapped, frozenset({SHUT})))
    assert closing == ([[2], [4]] if shut else [[2], [1], [4]])


def test_the_greatest_of_heights_is_known_where_all_are():
    assert rule._greatest([3.0, 9.0, 5.0]) == 9.0
    assert rule._greatest(np.array([3.0, math.nan])) is None
