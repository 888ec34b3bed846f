"""What the map's browser engine aborts over, found out before it starts.

Its sandbox refuses root. It needs shared memory that the user may write, or to be told to do without.
Nothing but the standard library is needed to ask.
"""

import os
import sys
from pathlib import Path

_SANDBOX_TURNED_OFF = "QTWEBENGINE_DISABLE_SANDBOX"
_FLAGS = "QTWEBENGINE_CHROMIUM_FLAGS"
_SHARED_MEMORY = Path("/dev/shm")
_WITHOUT_SHARED_MEMORY = "--disable-dev-shm-usage"


def refuses_this_user() -> bool:
    """Return whether the engine would abort because root runs it and did not turn its sandbox off."""
    if not sys.platform.startswith("linux"):
        return False
    return os.geteuid() == 0 and not os.environ.get(_SANDBOX_TURNED_OFF)


def refusal_line() -> str:
    """Say in one line why the engine does not start, and what to do."""
    return "The map's browser view does not run as root. Start the desk as an ordinary user"


def spare_shared_memory() -> None:
    """Let the engine use temporary files where this user may not write the system's shared memory.

    Must come before the engine is loaded: it reads its flags from the environment.
    """
    if not sys.platform.startswith("linux") or os.access(_SHARED_MEMORY, os.W_OK | os.X_OK):
        return
    flags = os.environ.get(_FLAGS, "").split()
    if _WITHOUT_SHARED_MEMORY not in flags:
        os.environ[_FLAGS] = " ".join([*flags, _WITHOUT_SHARED_MEMORY])
