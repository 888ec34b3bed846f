"""Write a file in one step: the whole new one, or the old one untouched."""

import contextlib
import errno
import os
import secrets
import shutil
from pathlib import Path

from planner.errors import OutputError


def write_text(path: Path, text: str) -> None:
    """Replace the content of `path` with UTF-8 text, as `write_bytes` does."""
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError:
        raise OutputError("a text in it holds a character that can't be written", where=str(path)) from None
    write_bytes(path, data)


def write_bytes(path: Path, data: bytes) -> None:
    """Replace the content of `path`.

    The bytes go to a new file in the same folder, onto the disk, then over
    the old one. A link is followed; the old file's permission bits are kept.

    Raises
    ------
    OutputError
        If that fails; the old file is then as it was.
    """
    try:
        target = Path(os.path.realpath(path))
        _refuse_read_only(target)
        _replace(target, data)
    except IsADirectoryError:
        raise OutputError("this is a folder", where=str(path), remedy="name a file in it") from None
    except PermissionError:
        raise OutputError(
            "the file may not be written", where=str(path), remedy="choose another folder or name"
        ) from None
    except FileNotFoundError:
        raise OutputError(
            "its folder does not exist", where=str(path), remedy="make the folder or choose another"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise OutputError(
            f"the file can't be written ({reason})", where=str(path), remedy="choose another folder or disk"
        ) from None


def _refuse_read_only(target: Path) -> None:
    # A rename asks the folder only; the pilot's lock on the file itself counts too.
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))


def _replace(target: Path, data: bytes) -> None:
    scratch = target.with_name(f".lowline-{secrets.token_hex(8)}.tmp")
    try:
        with scratch.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            shutil.copymode(target, scratch)
        scratch.replace(target)
    finally:
        with contextlib.suppress(OSError):
            scratch.unlink(missing_ok=True)
    _settle(target.parent)


def _settle(folder: Path) -> None:
    """Make the new name last through a power cut, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
