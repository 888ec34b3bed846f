"""What lies in a drop: which of its files are charts, which a plan, which belong to another."""

from collections.abc import Sequence
from pathlib import Path

import attrs
from PySide6.QtCore import QMimeData

from planner.plan.file import EARLIER_SUFFIX, PLAN_SUFFIX

_SET_FILE = "set.json"
_BESIDE_SHAPEFILE = frozenset(
    {".dbf", ".shx", ".prj", ".cpg", ".sbn", ".sbx", ".qix", ".qmd", ".qpj", ".ain", ".aih"}
)


_MOST_NAMED = 2


@attrs.frozen
class Drop:
    """Files to add, plans, folders of chart sets, and folders in which no file lies."""

    files: tuple[Path, ...] = ()
    plans: tuple[Path, ...] = ()
    sets: tuple[Path, ...] = ()
    empty: tuple[Path, ...] = ()

    @property
    def plan(self) -> Path | None:
        """The plan to open: one that came alone."""
        alone = len(self.plans) == 1 and not (self.files or self.sets)
        return self.plans[0] if alone else None

    def left(self, *taken: Path) -> str:
        """Say in one line what of it was not taken, and what to do; '' if all was."""
        plans, sets, files = (
            [path for path in paths if path not in taken] for paths in (self.plans, self.sets, self.files)
        )
        said = [
            words.format(_named(paths))
            for paths, words in (
                (plans, "Not opened: {}; drop one plan by itself on the desk"),
                (sets, "Not taken: {}; drop one chart set by itself on the desk"),
                (files, "Not added: {}; drop charts without a set beside them"),
                (self.empty, "No file in {}"),
            )
            if paths
        ]
        if not said and not taken:
            return "Nothing in what was dropped can be opened or added"
        return ". ".join(said)


def local_files(mime: QMimeData) -> tuple[Path, ...]:
    """Return the files of this computer that a drag carries."""
    return tuple(Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile())


def sorted_out(paths: Sequence[Path]) -> Drop:
    """Return what to do with dropped paths; a folder without a set stands for the files in it."""
    sets = tuple(path for path in paths if (path / _SET_FILE).is_file())
    files: list[Path] = []
    empty: list[Path] = []
    for path in paths:
        if path.is_dir() and path not in sets:
            inside = sorted(child for child in path.iterdir() if child.is_file())
            files.extend(inside)
            if not inside:
                empty.append(path)
        elif path.is_file():
            files.append(path)
    plans = tuple(dict.fromkeys(path for path in files if path.name.endswith((PLAN_SUFFIX, EARLIER_SUFFIX))))
    charts = tuple(dict.fromkeys(path for path in files if path not in plans and not _beside(path)))
    return Drop(charts, plans, sets, tuple(empty))


def _named(paths: Sequence[Path]) -> str:
    names = [path.name for path in paths[:_MOST_NAMED]]
    more = len(paths) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")


def _beside(path: Path) -> bool:
    """Whether a file is a part of a shapefile, which is read with it."""
    if path.name.casefold().endswith(".shp.xml"):
        return True
    return path.suffix.casefold() in _BESIDE_SHAPEFILE and any(
        path.with_suffix(ending).is_file() for ending in (".shp", ".SHP")
    )
