"""A finding: what a rule says about one stretch or place of the plan."""

from collections.abc import Mapping
from enum import StrEnum

import attrs

from planner.geo.place import Place
from planner.rules.words import capitalised
from planner.saying import marked, told


class Mark(StrEnum):
    """How much a finding weighs, heaviest first."""

    STOP = "stop"
    UNKNOWN = "unknown"
    ACT = "act"
    NOTE = "note"


class Basis(StrEnum):
    """On what a finding rests."""

    LAW = "law"
    SAFETY = "safety"
    OWN_LIMIT = "own limit"


def _titled(text: str) -> str:
    return told(capitalised(marked(text)))


@attrs.frozen
class Finding:
    """One finding.

    Parameters
    ----------
    rule : stable id of the rule, kebab-case.
    title : what it is about, in a few words; begins with a capital, also where a name does not.
    message : one or two sentences with the numbers, feet first; `saying.said` tells it in other units.
    citation : the rule's source; empty only for notes and own limits.
    remedy : what would cure it; '' if nothing has to be done.
    from_m, to_m : the stretch along the path [m], None off the path.
    numbers : the quantities behind the message, SI, unit in the key.
    about : what tells the thing it is about from others that are titled alike; () if nothing has to.
    """

    rule: str
    mark: Mark
    basis: Basis
    title: str = attrs.field(converter=_titled)
    message: str = attrs.field(converter=told)
    citation: str = ""
    remedy: str = attrs.field(default="", converter=told)
    from_m: float | None = None
    to_m: float | None = None
    place: Place | None = None
    numbers: Mapping[str, float] = attrs.field(factory=dict)
    about: tuple[str, ...] = ()
