"""Why records fall short, with places, heights, covers and outlines put in by hand (plane, m).

Distances and differences of heights by hand; 10 m are 32.8 ft, rounded up to 33. That of several records the
least at fault is told is our own rule.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.permission.shortfall import Held, nearest

SHAPES = {"west": shapely.box(0, 0, 100, 100), "east": shapely.box(120, 0, 220, 100)}
MAPPED = SimpleNamespace(outlines=SimpleNamespace(polygon=SHAPES.__getitem__))


@attrs.frozen(eq=False)
class Grant:
    """A record that holds in one outline, up to a height."""

    record: object
    columns: tuple
    high_m: float = 100.0
    site: object = None

    def covers(self, samples):
        return shapely.intersects_xy(SHAPES[self.columns[0]], samples.x_m, samples.y_m)

    def height_amsl_m(self, samples, _launch_m):
        return np.full(len(samples.x_m), self.high_m)


def grants(**heights_m):
    """WEST and EAST, up to 100 m unless a test says otherwise."""
    return [
        Grant(SimpleNamespace(reference=one.upper()), (one,), heights_m.get(one, 100.0)) for one in SHAPES
    ]


def part(where, *places, there=None):
    """Samples at (x, height), 50 m north of the outlines' southern edge; all of them count, or some."""
    x_m, high_m = np.array(places, dtype=float).T
    samples = SimpleNamespace(x_m=x_m, y_m=np.full(len(x_m), 50.0), planned_amsl_m=high_m, where=where)
    return samples, np.ones(len(x_m), dtype=bool) if there is None else np.array(there)


def held(lid_m=None):
    lid = None if lid_m is None else lambda _samples: np.array(lid_m)
    return Held(MAPPED, 0.0, lid, "the shelf above")


BOTH = part("in the area", (50, 90), (170, 90))


def told(*parts, at=None, **heights_m):
    found = nearest(grants(**heights_m), parts, at or held())
    return found.record.reference, str(found.words)


@pytest.mark.parametrize("turned", [False, True])
def test_what_neither_of_two_records_covers_is_told_of_both_however_many_parts_they_cover(turned):
    """90 m beyond the eastern one's end, 210 m beyond the other's."""
    parts = [BOTH, part("on the way out", (310, 90))]
    record, words = told(*(parts[::-1] if turned else parts))
    assert record == "EAST"
    assert words == (
        "records EAST and WEST together do not cover the whole place: "
        "the plan leaves them on the way out, up to 90 m outside them"
    )


def test_of_several_parts_outside_the_farthest_is_told():
    near, far = part("near", (230, 90)), part("far", (260, 90))
    for parts in ((near, far), (far, near)):
        assert told(BOTH, *parts)[1].endswith("the plan leaves them far, up to 40 m outside them")


@pytest.mark.parametrize(("lower", "record"), [("west", "WEST"), ("east", "EAST")])
def test_of_two_that_cover_it_together_the_one_that_is_too_low_is_told(lower, record):
    assert told(BOTH, **{lower: 80.0}) == (record, f"the plan is 33 ft above record {record} in the area")
    # What does not count is as high as it likes.
    beyond = part("in the area", (50, 90), (170, 90), (170, 500), there=[True, True, False])
    assert told(beyond, **{lower: 80.0})[1] == f"the plan is 33 ft above record {record} in the area"


def test_where_a_height_is_not_known_no_excess_is_told_of_another_part():
    unknown = part("in the area", (50, np.nan), (170, 90))
    _, words = told(unknown, part("on the way out", (50, 110)))
    assert "together" not in words
    assert "above record" not in words


def test_where_something_else_ends_a_record_is_asked_where_it_is_exceeded_most():
    flown = part("in the area", (50, 90), (60, 90))
    ends = "the plan is 33 ft above record WEST in the area, as it ends at the shelf above"
    assert told(flown, at=held([np.inf, 80.0])) == ("WEST", ends)
    assert told(flown, at=held([80.0, np.inf])) == ("WEST", ends)
    plain = "the plan is 33 ft above record WEST in the area"
    assert told(flown, at=held([85.0, np.inf]), west=80.0) == ("WEST", plain)
