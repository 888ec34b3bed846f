"""What tests of comparisons share."""

from planner.assess import assess
from tests import worlds

NARROW = worlds.box(0, -2_000, 4_000, 2_000)
"""Half the path of the plain plan lies in it: from 500 m on."""


def judged(plan=None, world=None):
    return assess(plan or worlds.plan(), world or worlds.world())


def of(topic, comparison):
    return [change for change in comparison.changes if change.topic is topic]


def keyed(comparison, key):
    return [change for change in comparison.changes if change.key == key]
