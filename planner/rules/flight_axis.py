"""Charge and links on the path's own axis, and why they were not checked: for strips, on screen or paper."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer, Link
from planner.flight.battery import Pack
from planner.flight.charge import Charge
from planner.flight.links import missing_figures
from planner.flight.power import power_model
from planner.plan.aircraft import RadioUse
from planner.plan.model import Plan

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class LinkAxis:
    """All links of one use; arrays (n,) on the track's samples, each of the link with the least to spare.

    Parameters
    ----------
    links : those whose budget is complete.
    which : index into them. margin_db, required_db : of that link; NaN where nobody can say.
    """

    links: tuple[Link, ...]
    which: NDArray[np.int64]
    margin_db: Floats
    required_db: Floats

    def link_at(self, sample: int) -> Link:
        """Return the link that decides at a sample."""
        return self.links[int(self.which[sample])]


def link_axis(flight: FlightAnswer | None, use: RadioUse) -> LinkAxis | None:
    """Return the links of one use; None where none could be reckoned."""
    links = tuple(link for link in flight.links if link.radio.use is use) if flight else ()
    if not links:
        return None
    margins_db = np.stack([link.profile.margin_db for link in links])
    required_db = np.array([link.profile.spec.required_margin_db for link in links])
    # A margin that nobody knows decides before any that is known.
    spare_db = np.where(np.isnan(margins_db), -np.inf, margins_db - required_db[:, None])
    which = spare_db.argmin(axis=0)
    rows = np.arange(margins_db.shape[1])
    return LinkAxis(links, which, margins_db[which, rows], required_db[which])


def charge_of(flight: FlightAnswer | None) -> Charge | None:
    """Return the charge along the path; None where it could not be reckoned."""
    return flight.charge if flight is not None else None


def battery_lacks(plan: Plan) -> tuple[str, ...]:
    """Return what the plan does not say of the battery, in words."""
    craft = plan.aircraft
    able = craft.performance if craft else None
    pack = Pack.of(craft.battery) if craft and craft.battery else None
    power = power_model(able, craft.take_off_weight_kg, craft.form, pack) if craft and able else None
    lacking = {
        "battery": craft is None or craft.battery is None,
        "a battery chemistry that is known": craft is not None and craft.battery is not None and pack is None,
        "power and airspeed in cruise, or a measured flight": power is None,
        "launch or landing point": plan.launch is None and plan.landing is None,
    }
    return tuple(words for words, lacks in lacking.items() if lacks)


def link_lacks(plan: Plan, use: RadioUse) -> tuple[str, ...]:
    """Return what the plan does not say of the links of one use, in words."""
    radios = [radio for radio in plan.aircraft.radios if radio.use is use] if plan.aircraft else []
    if not radios:
        return (f"{use.value} radio",)
    each = [missing_figures(radio) for radio in radios]
    return () if () in each else each[0]
