"""The scan of a permission, known by its SHA-256."""

import hashlib
from pathlib import Path

from planner.errors import PlanError
from planner.plan.records import ScannedPaper


def paper_of(path: Path) -> ScannedPaper:
    """Return a file's name and the hash of its bytes.

    Raises
    ------
    PlanError
        If the file can't be read.
    """
    try:
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256")
    except OSError as error:
        raise PlanError(
            f"the scan can't be read ({error.strerror})", where=path.name, remedy="choose another file"
        ) from None
    return ScannedPaper(path.name, digest.hexdigest())


def comparison_words(paper: ScannedPaper, path: Path) -> str:
    """Say whether a file is the one that was put on record.

    Raises
    ------
    PlanError
        If the file can't be read.
    """
    if paper_of(path).sha256 == paper.sha256:
        return f"{path.name} is the very file on record, byte for byte"
    return f"{path.name} is not the file on record: find the right scan, or record this one"
