"""What reading a table gives: features, and those refused with their reason."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TypeVar

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.layers import SNAP_DEG, LayerName, LayerRecord
from planner.world.readers.plain import one_line
from planner.world.readers.reach import reach_of
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World

F = TypeVar("F")
_NAMED_REFUSALS = 3
_LONGEST_NAME, _LONGEST_WHY = 80, 300


@attrs.frozen(eq=False)
class Refusal:
    """A feature that can't be used: why, and where it lies if that can be told."""

    why: str
    shape: BaseGeometry | None


@attrs.frozen(eq=False)
class Reading:
    """Features of one table as part of a world, without its records."""

    content: World
    refusals: tuple[Refusal, ...] = ()


@attrs.frozen
class Edition:
    """What a file says of itself, as far as it does: publisher, dates, edition in words."""

    publisher: str = ""
    effective_utc: datetime | None = None
    expires_utc: datetime | None = None
    note: str = ""


@attrs.frozen(eq=False)
class LayerPart:
    """What one file holds of one layer.

    `table` is the whole of it as rows, ready to be stored: reading them again
    with the layer's own `FileKind` gives the same `reading`, and what could not
    be read is a row that is refused again.
    """

    layer: LayerName
    table: Table
    reading: Reading
    edition: Edition = Edition()


@attrs.frozen(eq=False)
class FileKind:
    """A kind of publisher's table.

    `recognised_by` are groups of attribute names: a table is of this kind if
    it has at least one name of every group and none of `never_with`. A kind
    without groups is known by the name of its table only.
    """

    layer: LayerName
    title: str
    recognised_by: tuple[frozenset[str], ...]
    read: Callable[[Table], Reading]
    never_with: frozenset[str] = frozenset()

    def missing_from(self, columns: frozenset[str]) -> tuple[str, ...]:
        """Return what a table lacks to be of this kind, one text for each group."""
        return tuple(" or ".join(sorted(group)) for group in self.recognised_by if not group & columns)

    def fits(self, columns: frozenset[str]) -> bool:
        """Whether a table with these columns is of this kind."""
        missing = self.missing_from(columns) or self.never_with & columns
        return bool(self.recognised_by) and not missing


def collect(
    table: Table, parse: Callable[[Row], F | None], *, of_spots: bool = False
) -> tuple[list[F], tuple[Refusal, ...]]:
    """Return what `parse` makes of each row (None: nothing), and the rows it refuses.

    A refused row counts as far as it may reach (`reach_of`); `of_spots` says that the kind is one of
    points or lines, which reach no farther than they are.
    """
    features: list[F] = []
    refusals: list[Refusal] = []
    for row in table.rows:
        try:
            feature = parse(row)
        except RefusedError as error:
            where = row.shape if of_spots else reach_of(row.shape)
            refusals.append(Refusal(_shortened(one_line(f"{_called(row)}: {error}"), _LONGEST_WHY), where))
        else:
            if feature is not None:
                features.append(feature)
    return features, tuple(refusals)


def records_with(record: LayerRecord, refusals: Sequence[Refusal]) -> tuple[LayerRecord, ...]:
    """Return the record, split where features were refused.

    Where a refused feature lies the layer is damaged; elsewhere it still
    speaks. If that place can't be told the whole layer is damaged.
    """
    if not refusals or record.damage:
        return (record,)
    whys = sorted(refusal.why for refusal in refusals)
    more = f" and {len(whys) - _NAMED_REFUSALS} more" if len(whys) > _NAMED_REFUSALS else ""
    damage = f"can't be used: {'; '.join(whys[:_NAMED_REFUSALS])}{more}"
    shapes = [refusal.shape for refusal in refusals if refusal.shape is not None]
    if record.coverage is None or len(shapes) < len(refusals):
        return (attrs.evolve(record, damage=damage),)
    # A little more than the snap, so that snapping can't reach into the damaged place.
    spoilt = shapely.union_all(shapes).buffer(2 * SNAP_DEG)
    return (
        attrs.evolve(record, coverage=record.coverage.difference(spoilt)),
        attrs.evolve(record, coverage=spoilt, features=len(refusals), damage=damage),
    )


def _called(row: Row) -> str:
    name = row.text("NAME", "SITE_NAME", "TITLE", "FACILITY", "STADIUM", "OAS", "IDENT", "ZONE_ID")
    number = row.text("OBJECTID", "GLOBAL_ID", "GLOBALID")
    return _shortened(name or (f"feature {number}" if number else "a feature without a name"), _LONGEST_NAME)


def _shortened(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
