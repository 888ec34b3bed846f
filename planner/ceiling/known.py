"""A ceiling is known only where somebody says what airspace there is."""

import numpy as np
from numpy.typing import NDArray

from planner.ceiling.limits import Ceiling
from planner.track.mapped import Mapped
from planner.track.samples import Samples

Mask = NDArray[np.bool_]


def airspace_known(samples: Samples, mapped: Mapped) -> Mask:
    """Return, per sample, whether current data says which airspace is there."""
    if mapped.airspace_known_in is None:
        return np.ones(len(samples.ground_amsl_m), dtype=bool)
    return samples.inside_outline(mapped.airspace_known_in)


def where_known(ceiling: Ceiling, samples: Samples, mapped: Mapped) -> Ceiling:
    """Return the ceiling, NaN where anything is allowed and the airspace is not known.

    Where nothing is allowed anyway, an old or torn chart says so too: what closes counts until it is known
    to be gone.
    """
    if mapped.airspace_known_in is None:
        return ceiling
    unknown = ~airspace_known(samples, mapped)
    if not unknown.any():
        return ceiling
    with np.errstate(invalid="ignore"):
        open_to_all = unknown & (ceiling.amsl_m > samples.ground_amsl_m)
    return Ceiling(np.where(open_to_all, np.nan, ceiling.amsl_m), ceiling.column, ceiling.permitted)
