"""By which words an airspace is told from others of its name: names, kinds and identifiers put in by hand.

Which words those are is our own rule; parts of one airspace, of one name, kind and identifier, are one.
"""

from types import SimpleNamespace

import pytest

from planner.rules.told_apart import told_apart, which_airspace
from planner.world.airspace import AirspaceKind
from tests.worlds import volume

D, E2, MILITARY = AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2, AirspaceKind.MILITARY_OPERATIONS
SHUT = AirspaceKind.RESTRICTED


def one(kind=D, name="AIR", ident=""):
    return volume(kind, name=name, ident=ident)


@pytest.mark.parametrize(
    ("own", "others", "words"),
    [
        (one(), [], "AIR"),
        (one(), [one()], "AIR"),  # two parts of one
        (one(), [one(E2, name="FIELD")], "AIR"),
        (one(), [one(name="FIELD")], "AIR"),
        (one(), [one(E2)], "AIR (Class D)"),
        (one(), [one(E2, name=" air ")], "AIR (Class D)"),
        (one(E2), [one(name="FIELD"), one(), one(E2)], "AIR (Class E2)"),
        (one(SHUT), [one()], "AIR (restricted area)"),
        (one(SHUT, ident="R-1"), [one(SHUT, ident="R-2")], "AIR (R-1)"),
        (one(SHUT, ident="R-1"), [one(SHUT, ident="R-1")], "AIR"),
        # Nothing is known that tells it.
        (one(MILITARY), [one()], "AIR"),
    ],
)
def test_a_name_that_others_have_as_well_is_told_with_what_it_is(own, others, words):
    mapped = SimpleNamespace(airspace=dict(enumerate([own, *others])))
    assert told_apart(own, mapped) == words
    assert told_apart(own, None) == "AIR"


def test_what_parts_of_one_airspace_have_alike():
    assert which_airspace(one(SHUT, ident=" r-1")) == which_airspace(one(SHUT, name="air ", ident="R-1"))
    assert which_airspace(one(SHUT, ident="R-1")) != which_airspace(one(SHUT, ident="R-2"))
    assert which_airspace(one()) != which_airspace(one(E2))
