"""The system's own libraries that Qt and its browser view load, found missing before Qt crashes on them.

Needs nothing but the standard library, so it can be asked before anything else is imported:
``python -m planner.system_libraries [--install]``.
"""

import argparse
import ctypes
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

# What the Qt wheels link to and do not bring, and the Debian package that holds it.
PACKAGE_OF_LIBRARY = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libXcomposite.so.1": "libxcomposite1",
    "libXdamage.so.1": "libxdamage1",
    "libXrandr.so.2": "libxrandr2",
    "libXtst.so.6": "libxtst6",
    "libasound.so.2": "libasound2",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libgbm.so.1": "libgbm1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libnss3.so": "libnss3",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-dri3.so.0": "libxcb-dri3-0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxkbfile.so.1": "libxkbfile1",
}
# Renamed in the releases whose time values have 64 bits (Debian 13, Ubuntu 24.04 and later).
_RENAMED_WITH_T64 = frozenset({"libasound2", "libglib2.0-0"})

_PACKAGE_RECORDS = Path("/var/lib/dpkg/info")
_DESKTOP_SESSIONS = (Path("/usr/share/xsessions"), Path("/usr/share/wayland-sessions"))


def missing() -> list[str]:
    """Return what must be installed before Qt can start: Debian packages, or library names elsewhere.

    Empty where nothing is missing, and on systems whose Qt wheels bring everything.
    """
    if not sys.platform.startswith("linux"):
        return []
    libraries = [name for name in PACKAGE_OF_LIBRARY if not _loads(name)]
    if not _has_apt():
        return libraries
    renamed = any(_PACKAGE_RECORDS.glob("*t64*.list"))
    return sorted(_package(library, renamed) for library in libraries)


def one_line(names: Iterable[str]) -> str:
    """Say in one line what is missing and how to get it; empty when nothing is missing."""
    listed = " ".join(names)
    if not listed:
        return ""
    if _has_apt():
        sudo = "" if _is_root() else "sudo "
        command = f"{sudo}apt-get update && {sudo}{' '.join(_INSTALL)} {listed}"
        return f"System libraries are missing. Install them with: {command}"
    return f"System libraries are missing. Install the packages of your system that hold: {listed}"


def has_screen() -> bool:
    """Return whether there is a screen that a window can be opened on."""
    if not sys.platform.startswith("linux"):
        return True
    return _wayland_answers() or _x_answers()


def main(arguments: Sequence[str] | None = None) -> int:
    """Report what is missing, or install it where that is safe; return 1 when something stays missing."""
    parser = argparse.ArgumentParser(prog="python -m planner.system_libraries", description=main.__doc__)
    parser.add_argument(
        "--install", action="store_true", help="install it on a Debian-like system without a desktop"
    )
    chosen = parser.parse_args(arguments)
    names = missing()
    if chosen.install and names and _may_install():
        names = _install(names)
    if names:
        print(one_line(names), file=sys.stderr)
    return 1 if names else 0


_INSTALL = ("apt-get", "install", "-y", "--no-install-recommends")


def _package(library: str, renamed: bool) -> str:
    package = PACKAGE_OF_LIBRARY[library]
    return f"{package}t64" if renamed and package in _RENAMED_WITH_T64 else package


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _has_apt() -> bool:
    return shutil.which("apt-get") is not None


def _is_root() -> bool:
    return os.geteuid() == 0


def _may_install() -> bool:
    """Return whether this is a bare system: one with apt-get, and no desktop running or installed."""
    desktop_runs = any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))
    desktop_installed = any(any(folder.glob("*.desktop")) for folder in _DESKTOP_SESSIONS)
    return _has_apt() and not desktop_runs and not desktop_installed


def _install(names: Sequence[str]) -> list[str]:
    """Install with apt-get as root or through sudo; return what is still missing."""
    as_root = _as_root()
    if as_root is None:
        return list(names)
    print(f"Installing system libraries: {' '.join(names)}", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (("apt-get", "update"), (*_INSTALL, *names)):
        done = subprocess.run(
            (*as_root, *command),
            env=environment,
            capture_output=True,
            text=True,
            errors="replace",
            check=False,
        )
        if done.returncode != 0:
            print(done.stderr.strip(), file=sys.stderr)
            return list(names)
    return missing()


def _as_root() -> tuple[str, ...] | None:
    if _is_root():
        return ()
    if shutil.which("sudo") is None:
        return None
    return ("sudo",) if sys.stdin.isatty() else ("sudo", "--non-interactive")


def _wayland_answers() -> bool:
    name = os.environ.get("WAYLAND_DISPLAY")
    if not name:
        return False
    path = Path(os.environ.get("XDG_RUNTIME_DIR", "/nonexistent"), name)
    with socket.socket(socket.AF_UNIX) as channel:
        try:
            channel.connect(str(path))
        except OSError:
            return False
    return True


def _x_answers() -> bool:
    if not os.environ.get("DISPLAY"):
        return False
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        # Cannot be asked; a display is named, and the missing library will be named before Qt starts.
        return True
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(None, None))
    refused = xcb.xcb_connection_has_error(connection)
    xcb.xcb_disconnect(connection)
    return not refused


if __name__ == "__main__":
    sys.exit(main())
