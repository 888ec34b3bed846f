"""Which chart sets are at hand, and where: a set is known by its id, and one id belongs to one folder."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import attrs

from planner.errors import ChartError
from planner.world.set_record import FILE_NAME
from planner.world.store.reading import set_record


@attrs.frozen(eq=False)
class ChartSets(Mapping[str, Path]):
    """The folders of chart sets by id; `doubles` are ids that several folders claim: none of them is taken.

    `unread` are folders whose record can't be read, with the reason in one line.
    """

    folders: Mapping[str, Path]
    doubles: Mapping[str, tuple[Path, ...]] = attrs.field(factory=dict)
    unread: Mapping[Path, str] = attrs.field(factory=dict)

    def __getitem__(self, set_id: str) -> Path:
        """Return the folder of a set."""
        return self.folders[set_id]

    def __iter__(self) -> Iterator[str]:
        """Yield the ids."""
        return iter(self.folders)

    def __len__(self) -> int:
        """Return the number of sets."""
        return len(self.folders)

    def trouble_with(self, set_id: str) -> str:
        """Return in words why a set can't be taken although it is there, else ''."""
        return double_words(set_id, self.doubles[set_id]) if set_id in self.doubles else ""


def double_words(set_id: str, folders: Iterable[Path]) -> str:
    """Return that several folders claim one id, and what to do."""
    names = " and ".join(str(folder) for folder in folders)
    return (
        f"{names} each hold a chart set {set_id!r}, and nobody can tell which is meant; "
        "remove one, or give it another 'id' in its set.json"
    )


def chart_set_folders(parents: Iterable[Path]) -> ChartSets:
    """Return the chart sets found in or directly below the folders.

    A folder whose set.json can't be read is `unread`: a plan that names such
    a set is told that it is not at hand.
    """
    found: dict[str, list[Path]] = {}
    unread: dict[Path, str] = {}
    for folder in _candidates(parents):
        try:
            found.setdefault(set_record(folder).id, []).append(folder)
        except ChartError as error:
            unread[folder] = error.one_line()
    return ChartSets(
        {set_id: folders[0] for set_id, folders in found.items() if len(folders) == 1},
        {set_id: tuple(folders) for set_id, folders in found.items() if len(folders) > 1},
        unread,
    )


def _candidates(parents: Iterable[Path]) -> Iterator[Path]:
    """Yield each folder that has a record, once, however the parents overlap."""
    seen = set()
    for parent in parents:
        for folder in (parent, *sorted(child for child in _children(parent) if child.is_dir())):
            if (folder / FILE_NAME).is_file() and folder.resolve() not in seen:
                seen.add(folder.resolve())
                yield folder


def _children(parent: Path) -> tuple[Path, ...]:
    try:
        return tuple(parent.iterdir())
    except OSError:
        return ()
