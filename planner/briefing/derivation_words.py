"""How a ceiling came about, in words: one line for each step."""

import attrs

from planner.briefing.words import plain
from planner.ceiling.derivation import Derivation, Step, StepKind
from planner.saying import AS_IT_COMES, UNKNOWN, Units, limit, planned
from planner.units import FOOT_M


@attrs.frozen
class DerivationLine:
    """A line: what the step is, what it adds or takes off, and the height reached, in words."""

    what: str
    change: str
    height: str


def derivation_lines(derivation: Derivation, units: Units = AS_IT_COMES) -> tuple[DerivationLine, ...]:
    """Return a derivation as lines; heights are above mean sea level but for the last one.

    Figures that a limit rests on are rounded down, what is taken off is rounded up.
    """
    return tuple(_line(step, derivation, units) for step in derivation.steps)


def _line(step: Step, derivation: Derivation, units: Units) -> DerivationLine:
    if derivation.nothing_allowed and step.kind is StepKind.CEILING:
        return DerivationLine("nothing is allowed here with the permissions on record", "", "at the ground")
    if derivation.nothing_allowed and step.kind is StepKind.ABOVE_LAUNCH:
        return DerivationLine("on the readout: no figure, as nothing is allowed here", "", "")
    what = _WHAT[step.kind].format(name=plain(step.name, 60))
    return DerivationLine(what, _change(step, units), _height(step, units))


_WHAT = {
    StepKind.GROUND: "ground straight below, from the terrain ({name})",
    StepKind.LOWEST_GROUND: "lowest ground within the terrain's horizontal uncertainty",
    StepKind.GROUND_LIMIT: "the height limit above that ground",
    StepKind.STRUCTURE_NOT_CONFIRMED: (
        "{name}: raises nothing until you confirm that it stands; its radius is reduced"
    ),
    StepKind.STRUCTURE_OF_SEVERAL: (
        "{name}, which may be several in one record: raises nothing until you confirm that the highest "
        "stands just there; its radius is reduced"
    ),
    StepKind.STRUCTURE_TOP: "top of {name}, within its radius; the radius is reduced",
    StepKind.STRUCTURE_ERROR: "the vertical error of that record is taken off",
    StepKind.STRUCTURE_LIMIT: "the allowance above {name}",
    StepKind.SITE_LIMIT: "height authorized for the fixed site {name}",
    StepKind.WAIVER: "height of the waiver on record",
    StepKind.NO_NUMBER: "inside {name} the statute names no height: what is authorized is the limit",
    StepKind.AIRSPACE: "floor of {name}",
    StepKind.CELL: "lowest facility map value touched ({name}): what can be asked for, not a limit yet",
    StepKind.RECORD: "height permitted by record {name}",
    StepKind.OPEN_QUESTION: "whether {name} is open to this flight only the authority can say",
    StepKind.CLOSED_AT_TIMES: "{name} is closed at certain times; no time is set, so that it may be closed",
    StepKind.AIRSPACE_NOT_KNOWN: "no current data says which airspace is here: so far it is no ceiling",
    StepKind.CEILING: "the ceiling here",
    StepKind.TERRAIN_UNCERTAINTY: "vertical uncertainty of the terrain: a plan closer than that is marked",
    StepKind.READOUT_ERROR: "error of the readout, as you state it",
    StepKind.ABOVE_LAUNCH: "on the readout: above the launch point, less the readout's error",
}
_REACH = frozenset({StepKind.LOWEST_GROUND})
_REDUCED = frozenset(
    {StepKind.STRUCTURE_TOP, StepKind.STRUCTURE_NOT_CONFIRMED, StepKind.STRUCTURE_OF_SEVERAL}
)
_UNCERTAINTIES = frozenset({StepKind.TERRAIN_UNCERTAINTY, StepKind.READOUT_ERROR})
_WITHOUT_HEIGHT = frozenset(
    {
        StepKind.STRUCTURE_NOT_CONFIRMED,
        StepKind.STRUCTURE_OF_SEVERAL,
        StepKind.NO_NUMBER,
        StepKind.OPEN_QUESTION,
        StepKind.CLOSED_AT_TIMES,
        StepKind.AIRSPACE_NOT_KNOWN,
        *_UNCERTAINTIES,
    }
)


def _change(step: Step, units: Units) -> str:
    change_m = step.change_m
    if step.kind is StepKind.ABOVE_LAUNCH:
        return f"launch at {limit(change_m, units)}"
    if step.kind in _UNCERTAINTIES:
        return f"± {planned(change_m, units)}" if change_m is not None else UNKNOWN
    if change_m is None:
        return ""
    if step.kind in _REACH:
        return f"within {planned(change_m, units)}"
    if step.kind in _REDUCED:
        return f"by {planned(change_m, units)} to {limit(400 * FOOT_M - change_m, units)}"
    if change_m == 0:
        return "none" if step.kind is StepKind.STRUCTURE_ERROR else limit(0.0, units)
    return f"− {planned(-change_m, units)}" if change_m < 0 else f"+ {limit(change_m, units)}"


def _height(step: Step, units: Units) -> str:
    if step.kind in _WITHOUT_HEIGHT:
        return ""
    if step.kind is StepKind.AIRSPACE and step.result_m is None:
        return "at the ground"
    if step.kind is StepKind.CELL and step.result_m is None:
        return "no value known"
    if step.kind is StepKind.RECORD and step.result_m is None:
        return "no height named"
    above = " above launch" if step.kind is StepKind.ABOVE_LAUNCH else ""
    return f"{limit(step.result_m, units)}{above}" if step.result_m is not None else UNKNOWN
