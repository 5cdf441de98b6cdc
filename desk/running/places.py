"""What one start holds for itself: the data folder and a port."""

import fcntl
import socket
from pathlib import Path
from typing import TextIO

HOST = "127.0.0.1"
PORTS_TRIED = 50


class DataFolderInUse(Exception):
    """Another start runs on this data folder; the message says where."""


class NoFreePort(Exception):
    """No port from the wanted one on is free."""


def hold_data_folder(var_dir: Path) -> TextIO:
    """Lock the data folder for this process; the kernel lets go of it however the process ends."""
    var_dir.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = (var_dir / "run.lock").open("a+")
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        lock.seek(0)
        where = lock.read().strip()
        lock.close()
        raise DataFolderInUse(
            f"Moundbook already runs on {var_dir}" + (f", at {where}" if where else "") + ". Stop it there first."
        ) from None
    lock.truncate(0)
    return lock


def listen_from(port: int) -> socket.socket:
    """A socket that listens on the wanted port of this machine, or on the next free one."""
    for candidate in range(port, min(port + PORTS_TRIED, 65536)):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HOST, candidate))
            listening.listen(128)
        except OSError:
            listening.close()
            continue
        return listening
    raise NoFreePort(f"No port from {port} on is free. Set PORT to a free one.")
