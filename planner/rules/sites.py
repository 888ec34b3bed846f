"""Rules on fixed flying sites: where their authorization ends."""

from collections.abc import Iterator

import numpy as np

from planner.permission.entries import floor_amsl_m, is_active
from planner.permission.records import in_order, in_time, site_grants
from planner.plan.records import PermissionKind
from planner.rules.bibliography import FIXED_SITES
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import judged
from planner.world.airspace import AirspaceKind


def ends_at_class_e(case: Case) -> Iterator[Finding]:
    """Yield an act where a site is authorized higher than the floor of the Class E airspace over it."""
    if case.mapped is None:
        return
    for record in in_order(case.plan.permissions):
        if not in_time(record, case.plan.window):
            continue
        for grant in site_grants(record, case.plan, case.mapped, {PermissionKind.AUTHORIZATION}):
            for column, volume in case.mapped.airspace.items():
                if volume.kind is not AirspaceKind.CLASS_E_OTHER or not is_active(volume, case.plan.window):
                    continue
                for samples in judged(case):
                    there = grant.covers(samples) & samples.inside_outline(column)
                    with np.errstate(invalid="ignore"):
                        higher = grant.height_amsl_m(samples, samples.launch_ground_amsl_m) > floor_amsl_m(
                            volume, samples
                        )
                    if (there & higher).any():
                        yield _ends(record.airspace, volume.name)
                        return


def _ends(site: str, airspace: str) -> Finding:
    return Finding(
        rule="site-ends-at-class-e",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{site} ends at the floor of Class E",
        message=(
            f"The site is authorized higher than the floor of {airspace or 'the Class E airspace over it'}. "
            "The authority has read the law so that recreational flight ends there, so the limit does too."
        ),
        citation=f"{FIXED_SITES}; summary of H.R. 6460 on Class E (secondary source)",
        remedy="stay under the floor, or ask the authority in writing",
    )


RULES = (ends_at_class_e,)
