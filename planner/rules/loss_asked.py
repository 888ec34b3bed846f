"""Rule on a return on lost link through airspace that only the authority can open."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.plan.aircraft import LinkLossAction
from planner.rules.area_links import returns_of_area
from planner.rules.bibliography import inquiry_rule
from planner.rules.case import AskedOnReturn, Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.loss_words import does
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft
from planner.track.track import Track
from planner.world.airspace import AirspaceVolume


@attrs.frozen
class _Entered:
    """The return that comes farthest above what is open, and where the link is lost to make it."""

    where: str
    track: Track
    sample: int
    volume: AirspaceVolume
    above_m: float
    span: tuple[float, float] | None = None


def return_asks(case: Case) -> Iterator[Finding]:
    """Yield an unknown for each airspace that a return enters and that no answer on record opens there.

    What the drawn flight enters without an answer is asked about anyway.
    """
    flight, in_area = case.flight, case.area_flight
    action = None
    if flight is not None and flight.loss is not None:
        action = flight.loss.failsafe.action
    elif in_area is not None and in_area.losses:
        action = in_area.losses[0].failsafe.action
    if action is None or case.mapped is None:
        return
    asked_anyway = {
        column for inquiry in inquiries(case) if not inquiry.answers for column in inquiry.columns
    }
    entered = [one for one in _entered(case) if one[0] not in asked_anyway]
    for column in dict.fromkeys(column for column, _ in entered):
        yield _finding(case, action, max((one for at, one in entered if at == column), key=_above))


def _above(one: _Entered) -> float:
    return one.above_m


def _entered(case: Case) -> Iterator[tuple[int, _Entered]]:
    assert case.mapped is not None
    found: list[tuple[str, Track, AskedOnReturn]] = []
    if case.track is not None and case.loss_asked is not None:
        found.append(("", case.track, case.loss_asked))
    # Of an area the returns are worked out from some places, none of which lies on a path.
    in_area = zip(returns_of_area(case), case.area_loss_asked, strict=False)
    found += [(where, places, asked) for (where, places, _), asked in in_area]
    for where, track, asked in found:
        for column in np.unique(asked.column[asked.column >= 0]).tolist():
            above_m = np.where(asked.column == column, asked.above_m, -np.inf)
            k, at_m = int(np.argmax(above_m)), track.distance_m[asked.column == column]
            span = None if where else (float(at_m.min()), float(at_m.max()))
            words = where or f"at {along(float(track.distance_m[k]))}"
            volume = case.mapped.airspace[column]
            yield column, _Entered(words, track, k, volume, float(above_m[k]), span)


def _finding(case: Case, action: LinkLossAction, one: _Entered) -> Finding:
    name = one.volume.name or "an airspace without a name"
    bounded = bool(np.isfinite(one.above_m))
    how = f", {over_ft(one.above_m)} above what is open there" if bounded else ", which begins at the ground"
    lower = f"a return height that is {over_ft(one.above_m)} lower and still clears the ground, or "
    return Finding(
        rule="link-loss-asks",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=f"On lost link it returns through {name}",
        message=f"Lost {one.where} the aircraft {does(case.plan, action)}, and comes into {name}{how}. Only "
        "the authority can say whether it may.",
        citation=inquiry_rule(one.volume.kind),
        remedy=f"set {lower if bounded else ''}another action or another way home; or ask the authority, and "
        "record its answer with the height it holds to",
        from_m=None if one.span is None else one.span[0],
        to_m=None if one.span is None else one.span[1],
        place=place_at(one.track, one.sample),
        numbers={"above_open_m": one.above_m} if bounded else {},
    )


RULES = (return_asks,)
