"""What the authority has to be asked about, in the shape of permissions needed."""

from collections.abc import Sequence

import attrs
import numpy as np

from planner.permission.cells import TouchedCells
from planner.permission.inquiry import inquired_of
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.needs import AirspaceUse, path_span
from planner.permission.part import Part
from planner.permission.routes import LEAD_TIMES
from planner.rules.as_asked import as_asked
from planner.rules.case import Case
from planner.rules.flown_besides import flown_besides
from planner.rules.inquiries import Inquiry, inquiries, inquiries_of
from planner.rules.need_on_return import return_samples
from planner.rules.undrawn_samples import undrawn_samples
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples
from planner.world.airspace import AirspaceVolume


def inquiry_uses(case: Case | None) -> tuple[AirspaceUse, ...]:
    """Return the inquiries in the shape of permissions needed: to be asked for, recorded and written down.

    Ways that are not drawn and home on lost link are asked about, too; of what is answered for all that is
    drawn nothing changes. They count as no need of the verdict: until they are answered it can't be
    determined. Once it is known what is done on lost link, they ask for as much as the request sheet does.
    Those of what is drawn stand first, in the order of `inquiries`.
    """
    if case is None or case.mapped is None:
        return ()
    mapped = case.mapped
    return case.once("inquiry uses", lambda: _uses_as_asked(case, mapped))


def _uses_as_asked(case: Case, mapped: Mapped) -> tuple[AirspaceUse, ...]:
    found = _uses(case, mapped)
    if case.weather is None or not found:
        return found
    besides = flown_besides(case)
    return tuple(use if use.need.recorded else as_asked(mapped, use, besides) for use in found)


def _uses(case: Case, mapped: Mapped) -> tuple[AirspaceUse, ...]:
    drawn = inquiries(case)
    besides = _besides(case, mapped)
    named = {(one.name, one.kind): one for one in besides}
    uses = []
    for one in drawn:
        more = named.pop((one.name, one.kind), None)
        parts = (*one.parts, *more.parts) if more is not None and not one.answers else one.parts
        uses.append(_use(mapped, one, parts))
    alone = [_use(mapped, one, one.parts) for one in named.values()]
    return (*uses, *(attrs.evolve(use, need=_not_drawn(use.need)) for use in alone))


def _not_drawn(need: PermissionNeed) -> PermissionNeed:
    return attrs.evolve(need, not_drawn=True, rise_m=0.0, way_rise_m=0.0)


def _besides(case: Case, mapped: Mapped) -> tuple[Inquiry, ...]:
    def asks(volume: AirspaceVolume) -> bool:
        return inquired_of(volume, case.plan.purpose)

    if not any(map(asks, mapped.airspace.values())):
        return ()
    returns = return_samples(case, lambda _, volume: asks(volume))
    return inquiries_of(case, mapped, (*undrawn_samples(case, asks), *returns))


@attrs.frozen
class _Heights:
    """The greatest height above ground, of all and of what is drawn or on ways to it [m]; None if unknown."""

    asked_m: float | None
    flown_m: float | None
    drawn_m: float | None

    @classmethod
    def of(cls, drawn: Sequence[Part], parts: Sequence[Part]) -> "_Heights":
        on_lost_link = [isinstance(one.samples, WaySamples) and one.samples.on_lost_link for one in parts]
        flown = [one for one, lost in zip(parts, on_lost_link, strict=True) if not lost]
        return cls(_asked_agl_m(parts), _asked_agl_m(flown or parts), _asked_agl_m(drawn))

    @property
    def rise_m(self) -> float:
        """How much is flown on lost link alone [m]."""
        return 0.0 if self.asked_m is None or self.flown_m is None else self.asked_m - self.flown_m

    @property
    def way_rise_m(self) -> float:
        """How much is flown on ways alone that are not drawn [m]."""
        return 0.0 if self.flown_m is None or not self.drawn_m else self.flown_m - self.drawn_m


def _asked_agl_m(parts: Sequence[Part]) -> float | None:
    heights = [part.asked_agl_m() for part in parts]
    return max(heights) if heights and np.isfinite(heights).all() else None


def _use(mapped: Mapped, inquiry: Inquiry, parts: Sequence[Part]) -> AirspaceUse:
    span, heights = path_span(inquiry.parts), _Heights.of(inquiry.parts, parts)
    need = PermissionNeed(
        subject=Subject.INQUIRY,
        airspace=inquiry.name,
        airspace_class="E",
        route=Route.ASK_AUTHORITY,
        asked_agl_m=heights.asked_m,
        rise_m=heights.rise_m,
        way_rise_m=heights.way_rise_m,
        lead_time=LEAD_TIMES[Route.ASK_AUTHORITY],
        record=inquiry.answers[0] if inquiry.answers else None,
        beside=inquiry.answers[1:],
        shortfall=inquiry.fault.words,
        falls_short=inquiry.fault.record,
        from_m=None if span is None else span[0],
        to_m=None if span is None else span[1],
        place=inquiry.parts[0].first_place(mapped),
    )
    return AirspaceUse(need, inquiry.columns, TouchedCells((), complete=False))
