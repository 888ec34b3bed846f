"""How far the guy wires of one mast reach out, by the pilot's own look."""

import attrs

from planner.plan.checks import not_empty, within

SHARES = within(0.0, 5.0, "the reach of guy wires")


@attrs.frozen
class MastWires:
    """What the pilot says of one mast; `structure` is the id of its record.

    `share` is how far its wires reach out, as a share of its height; 0: it has none. `record` is what the
    record said when it was told (`Structure.wires_record`): of another record nothing has been said,
    and of none that is not kept.
    """

    structure: str = attrs.field(validator=not_empty("the mast whose wires are told"))
    share: float = attrs.field(validator=SHARES)
    record: str | None = None
