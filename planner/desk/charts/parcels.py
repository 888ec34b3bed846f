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


@attrs.frozen
class Drop:
    """Files to add, a plan to open, folders of chart sets."""

    files: tuple[Path, ...] = ()
    plan: Path | None = None
    sets: tuple[Path, ...] = ()

    def __bool__(self) -> bool:
        """Whether there is anything to do."""
        return bool(self.files or self.plan or self.sets)


def local_files(mime: QMimeData) -> tuple[Path, ...]:
    """Return the files of this computer that a drag carries."""
    return tuple(Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile())


def sorted_out(paths: Sequence[Path]) -> Drop:
    """Return what to do with dropped paths; a folder without a set stands for the files in it."""
    sets = tuple(path for path in paths if (path / _SET_FILE).is_file())
    files: list[Path] = []
    for path in paths:
        if path.is_dir() and path not in sets:
            files.extend(sorted(child for child in path.iterdir() if child.is_file()))
        elif path.is_file():
            files.append(path)
    plans = [path for path in files if path.name.endswith((PLAN_SUFFIX, EARLIER_SUFFIX))]
    return Drop(
        files=tuple(dict.fromkeys(path for path in files if path not in plans and not _beside(path))),
        plan=plans[0] if len(plans) == 1 and len(files) == 1 else None,
        sets=sets,
    )


def _beside(path: Path) -> bool:
    """Whether a file is a part of a shapefile, which is read with it."""
    if path.name.casefold().endswith(".shp.xml"):
        return True
    return path.suffix.casefold() in _BESIDE_SHAPEFILE and any(
        path.with_suffix(ending).is_file() for ending in (".shp", ".SHP")
    )
