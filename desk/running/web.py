"""How the web server runs: read by gunicorn, which sets itself up from the names in this file."""

import gc
from typing import Any

from django.urls import get_resolver

from desk.running.parent_death import die_with_parent

wsgi_app = "config.wsgi:application"
worker_class = "gthread"
# Pages compute more than they wait for the database, and threads of one process compute in turns: of eight people at
# once the slowest wait less with four processes than with two (docs/performance.md). Threads beyond two a process are
# for the connections that a browser opens and leaves silent, each of which holds one for up to five seconds.
workers = 4
threads = 3
# A browser opens spare connections and holds them; they must not look like a hung worker.
timeout = 60
graceful_timeout = 5
keepalive = 5
# Load once, then fork: half the memory and half the start.
preload_app = True
control_socket_disable = True


def when_ready(server: Any) -> None:
    """Before the first fork: every view is loaded, and what is loaded now is never looked through for garbage again.

    It lives as long as the process does, and looking through it made one answer in some tens wait.
    """
    assert get_resolver().url_patterns
    gc.collect()
    gc.freeze()


def post_fork(server: Any, worker: Any) -> None:
    die_with_parent(worker.ppid)
