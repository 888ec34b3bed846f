"""What the map's browser engine needs of the system, found out before it aborts for want of it.

The engine refuses to start without its sandbox. The sandbox refuses root, and needs the system to let an
ordinary user make namespaces of their own. It also needs shared memory that this user may write.
Nothing but the standard library is needed to ask.
"""

import os
import subprocess
import sys
from pathlib import Path

_TURNED_OFF_BY_USER = "QTWEBENGINE_DISABLE_SANDBOX"

_ENGINE_FLAGS = "QTWEBENGINE_CHROMIUM_FLAGS"
_SHARED_MEMORY = Path("/dev/shm")
_WITHOUT_SHARED_MEMORY = "--disable-dev-shm-usage"

# Takes the steps of the engine's own sandbox: a user namespace, mapped to the user, then process and network
# namespaces inside it. A process of its own, because a process with threads may not take them.
_TRY_NAMESPACES = """
import ctypes, os
user, group = os.geteuid(), os.getegid()
unshare = ctypes.CDLL(None).unshare
if unshare(0x10000000):
    raise SystemExit(1)
try:
    for name, text in (("setgroups", "deny"), ("uid_map", f"0 {user} 1"), ("gid_map", f"0 {group} 1")):
        with open(f"/proc/self/{name}", "w") as file:
            file.write(text)
except OSError:
    raise SystemExit(1) from None
raise SystemExit(1 if unshare(0x20000000 | 0x40000000) else 0)
"""


def sandbox_works() -> bool:
    """Return whether the browser view can start here: locked in, or unlocked by the user's own decision."""
    if not sys.platform.startswith("linux") or os.environ.get(_TURNED_OFF_BY_USER):
        return True
    return os.geteuid() != 0 and _namespaces_can_be_made()


def sandbox_line() -> str:
    """Say in one line why the browser view can't start, and what to do."""
    if os.geteuid() == 0:
        return "The map's browser view does not run as root. Start the desk as an ordinary user"
    return (
        "The map's browser view can't lock itself in: this system lets no user make namespaces. "
        "Have unprivileged user namespaces allowed for it, "
        f"or set {_TURNED_OFF_BY_USER}=1 if you accept that the map then runs unprotected"
    )


def spare_shared_memory() -> None:
    """Let the engine use temporary files where this user may not write the system's shared memory.

    Must come before the engine is loaded: it reads its flags from the environment.
    """
    if not sys.platform.startswith("linux") or os.access(_SHARED_MEMORY, os.W_OK | os.X_OK):
        return
    flags = os.environ.get(_ENGINE_FLAGS, "").split()
    if _WITHOUT_SHARED_MEMORY not in flags:
        os.environ[_ENGINE_FLAGS] = " ".join([*flags, _WITHOUT_SHARED_MEMORY])


def _namespaces_can_be_made() -> bool:
    command = (sys.executable, "-I", "-S", "-c", _TRY_NAMESPACES)
    return subprocess.run(command, capture_output=True, check=False).returncode == 0
