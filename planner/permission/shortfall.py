"""Why the records in hand do not cover a flight, in one sentence: where, and by how much."""

import math
from collections.abc import Callable, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.geo.window import TimeWindow
from planner.permission.namesakes import called, opens_others
from planner.permission.records import Grant, in_order, in_time, names_others, speaks_of_volume
from planner.permission.routes import TOLERANCE_M
from planner.permission.time_fault import one_after_the_other, time_fault
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord
from planner.saying import Kind, Quantity, marked, told
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.track.way_samples import WaySamples
from planner.world.airspace import AirspaceVolume

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Flown = Track | AreaSamples | WaySamples
Parts = Sequence[tuple[Flown, Mask]]

_NOT_KNOWN, _NOT_THERE, _NO_HEIGHT = 1e8, 1e9, 1e10
"""How bad a fault is that no excess in metres measures; the nearest record is the one least at fault."""
_BETWEEN = tuple(step / 16 for step in range(1, 16))
_EDGE_ERROR_M = 0.01
"""What the edges of outlines may be off in the plane."""


@attrs.frozen
class Shortfall:
    """The record that comes nearest to covering a flight, and why it does not; no words without one."""

    record: PermissionRecord | None = None
    words: str = attrs.field(default="", converter=told)


NO_SHORTFALL = Shortfall()


def shortfall(
    volume: AirspaceVolume, plan: Plan, grants: Sequence[Grant], parts: Parts, at: "Held"
) -> Shortfall:
    """Return where and by how much the best record fails; without words if none speaks of this airspace."""
    if grants:
        return nearest(grants, parts, at)
    named = [record for record in in_order(plan.permissions) if speaks_of_volume(record, volume)]
    late = late_one(named, plan.window)
    unclear = [record for record in named if names_others(record, volume, plan, at.mapped)]
    if unclear:
        return Shortfall(unclear[0], _namesakes(unclear[0], volume, plan, at.mapped))
    if late.record is None and named:
        return Shortfall(named[0], f"record {named[0].reference} is not of the kind this airspace needs")
    return late


def _namesakes(record: PermissionRecord, volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> str:
    which = called(volume)
    apart = which != volume.name and not opens_others(which, volume, plan, mapped)
    how = f"let it name {which}" if apart else "give each the number of its notice"
    return f"record {record.reference} names {record.airspace}, as others near are called, too: {how}"


def late_one(records: Sequence[PermissionRecord], window: TimeWindow | None) -> Shortfall:
    """Return why the first record that does not hold for all of the window doesn't."""
    late = [record for record in records if not in_time(record, window)]
    if not late:
        return NO_SHORTFALL
    return Shortfall(late[0], f"{marked(time_fault(late[0], window))}{one_after_the_other(late, window)}")


def nearest(grants: Sequence[Grant], parts: Parts, at: "Held") -> Shortfall:
    """Return where and by how much the best of some records that hold in time fails."""
    faults = [(*_fault(grant, parts, at), grant.record) for grant in grants]
    _, words, record = min(faults, key=lambda fault: fault[0])
    own = [grant for grant in grants if grant.record is record]
    open_to_others = [(samples, there & ~_covered(own, samples)) for samples, there in parts]
    others = [
        grant
        for grant in grants
        if any(grant.covers(samples)[there].any() for samples, there in open_to_others)
    ]
    return (_fault_of_all([*own, *others], parts, at) if others else None) or Shortfall(record, words)


def _covered(grants: Sequence[Grant], samples: Flown) -> Mask:
    """Return, per sample, whether any of some records holds there, whatever their heights."""
    return np.asarray(np.any([grant.covers(samples) for grant in grants], axis=0), dtype=bool)


def _fault_of_all(grants: Sequence[Grant], parts: Parts, at: "Held") -> Shortfall | None:
    """Return where and by how much records fail that each cover some of it, the nearest first; None not told.

    Of one of them it would be measured what the others cover.
    """
    away = [_outside(grants, samples, there, at) for samples, there in parts]
    if any(text for _, text in away):
        names = " and ".join(dict.fromkeys(grant.record.reference for grant in grants))
        return Shortfall(
            grants[0].record, f"records {names} together do not cover the whole place: {max(away)[1]}"
        )
    worst, found = TOLERANCE_M, None
    for samples, there in parts:
        allowed_m = np.array(
            [np.where(grant.covers(samples), at.allowed_amsl_m(grant, samples), -np.inf) for grant in grants]
        )
        over = np.where(there, samples.planned_amsl_m - allowed_m.max(axis=0), -np.inf)
        if not np.isfinite(over[there]).all():
            return None
        if over.max() > worst:
            worst = float(over.max())
            highest = grants[int(np.argmax(allowed_m[:, np.argmax(over)]))]
            found = Shortfall(highest.record, _over_words(worst, highest, samples, over, at))
    return found


@attrs.frozen(eq=False)
class Held:
    """What a record is held against: the mapped world, and the launch ground's height [m AMSL].

    `lid_amsl_m` gives, per sample, the height that no such record reaches beyond; `lid_name` is what it is.
    """

    mapped: Mapped
    launch_m: float
    lid_amsl_m: Callable[[Flown], Floats] | None = None
    lid_name: str = ""

    def allowed_amsl_m(self, grant: Grant, samples: Flown) -> Floats:
        """Return, per sample, up to what height a record counts [m AMSL]."""
        allowed_m = grant.height_amsl_m(samples, self.launch_m)
        return allowed_m if self.lid_amsl_m is None else np.minimum(allowed_m, self.lid_amsl_m(samples))

    def end_words(self, grant: Grant, samples: Flown, sample: int) -> str:
        """Return ', as it ends at …' where something else than the record's own height ends it."""
        allowed_m = self.allowed_amsl_m(grant, samples)[sample]
        with_site_m = grant.height_amsl_m(samples, self.launch_m)[sample]
        alone_m = attrs.evolve(grant, site=None).height_amsl_m(samples, self.launch_m)[sample]
        if allowed_m < with_site_m:
            return f", as it ends at {self.lid_name}"
        return ", as it ends at the height that the chart gives the site" if with_site_m < alone_m else ""


def _fault(grant: Grant, parts: Parts, at: Held) -> tuple[float, str]:
    reference = grant.record.reference
    away = [_outside([grant], samples, there, at) for samples, there in parts]
    if any(text for _, text in away):
        farthest_m, text = max(away)
        return _NOT_THERE + farthest_m, f"record {reference} does not cover the whole place: {text}"
    worst, text = 0.0, f"record {reference} goes no higher than the ground"
    for samples, there in parts:
        allowed_m = at.allowed_amsl_m(grant, samples)
        over = np.where(there, samples.planned_amsl_m - allowed_m, -np.inf)
        if np.isnan(over[there]).any():
            return _NOT_KNOWN, _height_not_known(reference, allowed_m[there])
        if over.max() > worst:
            worst = float(over.max())
            if not np.isfinite(worst):
                return _NO_HEIGHT, f"record {reference} names no height"
            text = _over_words(worst, grant, samples, over, at)
    return worst, text


def _over_words(worst_m: float, grant: Grant, samples: Flown, over_m: Floats, at: Held) -> str:
    where, end = _where(samples, over_m == over_m.max()), at.end_words(grant, samples, int(np.argmax(over_m)))
    return f"the plan is {Quantity(Kind.PLANNED, worst_m)} above record {grant.record.reference}{where}{end}"


def _height_not_known(reference: str, allowed_m: Floats) -> str:
    whose = "what it allows" if np.isnan(allowed_m).any() else "the planned height"
    return f"{whose} is not known above sea level, so record {reference} can't be held against the plan"


def _outside(grants: Sequence[Grant], samples: Flown, there: Mask, at: Held) -> tuple[float, str]:
    """Return how far a flight leaves the places that records hold for [m], and that in words; '' if not."""
    outside = there & ~_covered(grants, samples)
    if not outside.any():
        return 0.0, ""
    looked_at = _looked_at(samples, outside)
    away_m = np.min([_away_m(grant, looked_at, at) for grant in grants], axis=0)
    farthest_m = float(away_m.max())
    by, it = "", "it" if len(grants) == 1 else "them"
    if np.isfinite(farthest_m):
        by = f", up to {Quantity(Kind.WAY, max(math.ceil(farthest_m - _EDGE_ERROR_M), 1.0))} outside {it}"
    return farthest_m, f"the plan leaves {it}{_where(samples, outside)}{by}"


def _away_m(grant: Grant, looked_at: Floats, at: Held) -> Floats:
    """Return how far places are from where a record holds [m]; infinite where that is nowhere."""
    held = shapely.intersection_all([at.mapped.outlines.polygon(column) for column in grant.columns])
    return np.asarray(
        np.nan_to_num(shapely.distance(held, shapely.points(looked_at)), nan=np.inf), dtype=float
    )


def _looked_at(samples: Flown, outside: Mask) -> NDArray[np.float64]:
    """Return the samples outside [m], of a path the places between them too: samples may all be at edges."""
    places = np.column_stack([samples.x_m, samples.y_m])
    if not isinstance(samples, Track):
        return places[outside]
    both = np.flatnonzero(outside[:-1] & outside[1:])
    between = [places[both] * (1 - share) + places[both + 1] * share for share in _BETWEEN]
    return np.concatenate([places[outside], *between])


def _where(samples: Flown, mask: Mask) -> str:
    if not isinstance(samples, Track):
        return f" {samples.where}"
    return f" at {Quantity(Kind.WAY, float(samples.distance_m[np.argmax(mask)]))}"
