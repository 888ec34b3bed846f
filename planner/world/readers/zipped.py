"""Archives are opened only if what they hold is of a bearable size."""

import zipfile
from pathlib import Path

from planner.errors import ChartError

LARGEST_BYTES = 8_000_000_000
LARGEST_RATIO = 250
SUSPECT_BYTES = 200_000_000
MOST_FILES = 10_000


def refuse_bombs(path: Path) -> None:
    """Refuse an archive that would unpack to far more than it seems.

    Raises
    ------
    ChartError
        If it would, or if it is a damaged archive.
    """
    if not zipfile.is_zipfile(path) or path.suffix.casefold() not in {".zip", ".kmz"}:
        return
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            unpacked = sum(member.file_size for member in members)
            packed = sum(member.compress_size for member in members)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        raise ChartError(
            "is a damaged archive", where=str(path), remedy="fetch it again, or unpack it yourself"
        ) from error
    swollen = unpacked > SUSPECT_BYTES and unpacked > LARGEST_RATIO * max(packed, 1)
    if swollen or unpacked > LARGEST_BYTES or len(members) > MOST_FILES:
        raise ChartError(
            f"would unpack to {unpacked / 1e6:,.0f} MB in {len(members):,} files",
            where=str(path),
            remedy="unpack it yourself and give the chart file in it",
        )
