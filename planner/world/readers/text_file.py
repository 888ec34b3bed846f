"""Text files read whole, within bounds."""

from pathlib import Path

from planner.errors import ChartError

LARGEST_BYTES = 1_500_000_000


def read_bytes(path: Path, largest_bytes: int = LARGEST_BYTES) -> bytes:
    """Return the file's content.

    Raises
    ------
    ChartError
        If it is missing, can't be read or is larger than any chart.
    """
    try:
        if path.stat().st_size > largest_bytes:
            raise ChartError(
                f"is larger than {largest_bytes // 1_000_000:,} MB",
                where=str(path),
                remedy="give a file of a smaller part of the country",
            )
        return path.read_bytes()
    except OSError as error:
        raise ChartError(
            f"can't be read ({error.strerror or error})",
            where=str(path),
            remedy="check its name and permissions",
        ) from error
