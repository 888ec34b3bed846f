"""The way on which a figure is broken off is asked like any other way that is flown and not drawn.

What is closed: 14 CFR 107.45 and part 73 (check values 1.17, standing A); people: 14 CFR 107.39 (A). That the
straight way to the place stands for how it is broken off is our own choice.
"""

import attrs

from planner.assess import assess
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.figures import Figure, FigureKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import at, box, plan, points, tower, volume, world

R = volume(AirspaceKind.RESTRICTED, box(200, 100, 400, 400), name="R INVENTED")
FOLK = BeneathItem(BeneathKind.GATHERING, DrawnAs.SPOT, (at(300, 150),), name="folk", half_width_m=5.0)


def told(bail_out, charts=(), beneath=(), structures=()):
    figure = Figure("f1", FigureKind.ORBIT, call="orbit", bail_out=bail_out)
    path = list(points([(-500, 0, 30.0), (100, 0, 30.0), (300, 0, 30.0), (500, 0, 30.0)]))
    path[1], path[2] = (attrs.evolve(one, figure="f1") for one in path[1:3])
    flight = plan(path=tuple(path), figures=(figure,), beneath=beneath)
    found = assess(flight, world(airspace=charts, structures=structures)).findings
    return [one for one in found if "to its bail-out" in one.title]


def test_into_closed_airspace_it_leaves_the_answer_open():
    found = told(at(300, 160), charts=(R,))
    assert {one.mark for one in found} == {Mark.UNKNOWN}
    assert all("leads through R INVENTED" in one.message for one in found)
    assert all(one.remedy.startswith("choose another bail-out place") for one in found)
    assert not told(at(300, -160), charts=(R,))


def test_over_people_it_leaves_the_answer_open():
    found = told(at(300, 170), beneath=(FOLK,))
    assert {(one.rule, one.mark) for one in found} == {("undrawn-way-over", Mark.UNKNOWN)}
    (over,) = [one for one in found if "leads over folk" in one.message]
    assert "from Orbit (exit) to its bail-out" in over.title
    assert not told(at(300, -170), beneath=(FOLK,))


def test_through_a_mast_it_is_something_to_do():
    mast = tower(200.0, (300.0, 80.0), key="M", horizontal_error_m=1.0, vertical_error_m=1.0)
    assert Mark.ACT in {one.mark for one in told(at(300, 160), structures=(mast,))}


def test_so_far_away_it_is_anybodys_guess():
    assert {one.mark for one in told(at(8_000, 0))} == {Mark.UNKNOWN}


def test_without_a_place_there_is_no_way():
    assert not told(None, charts=(R,))
