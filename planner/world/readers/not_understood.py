"""Tables of a file that nobody can tell, beside others that are known.

Such a table could hold more of the same, or something that closes the place. So a file of which
one table is known and another not is refused by that other's name: nothing of it may vanish.
"""

from collections.abc import Sequence

from planner.world.layers import LayerName
from planner.world.readers.ground_tags import has_tags
from planner.world.readers.kinds import KINDS, kind_of, nearest_kinds
from planner.world.readers.reading import FileKind
from planner.world.readers.table import Table


def kind_of_table(table: Table) -> FileKind | None:
    """Return what a table is by its name, if its attributes don't speak against it, else by them."""
    by_name = next((kind for layer, kind in KINDS.items() if layer == table.name), None)
    if by_name is not None and not by_name.missing_from(table.columns):
        return by_name
    return kind_of(table.columns)


def has_shapes(table: Table) -> bool:
    """Whether a table's rows lie somewhere; one without rows is as good as one that does."""
    return not table.rows or any(row.shape is not None or row.fault for row in table.rows)


def left_out(tables: Sequence[Table]) -> str:
    """Return which of the tables of a file would be left out and why, '' if none.

    Rows without any place are left out without a word only where they are not of a known kind: they
    are lists that go with a table. Features of the ground that their tags don't tell close nothing.
    """
    lost = [f"{table.name!r} ({why})" for table in tables if (why := _why_lost(table))]
    return f"its table {', '.join(lost)} would be left out" if lost else ""


def _why_lost(table: Table) -> str:
    if not (table.total or table.rows) or table.name == LayerName.STADIUM_EVENTS:
        return ""
    kind = kind_of_table(table)
    if not has_shapes(table):
        return f"{kind.title} without any shapes" if kind else ""
    if kind is not None or has_tags(table.columns):
        return ""
    return nearest_kinds(table.columns)
