"""A child that cannot outlive its parent, however the parent ends."""

import ctypes
import os
import signal
import sys

PR_SET_PDEATHSIG = 1  # linux/prctl.h

_libc = ctypes.CDLL(None, use_errno=True) if sys.platform == "linux" else None


def die_with_parent(parent: int | None = None) -> None:
    """Have the kernel kill this process when the thread that started it ends; the setting survives exec.

    parent: process id of the one that forks; given, a parent that died before the call is noticed too.
    Linux only (prctl(2)). Elsewhere it does nothing: a killed parent leaves its children to be ended by hand.
    """
    if _libc is None:
        return
    expected = os.getppid() if parent is None else parent
    _libc.prctl(PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
    if os.getppid() != expected:
        os._exit(1)
