"""How the web server runs: read by gunicorn, which sets itself up from the names in this file."""

from typing import Any

from desk.running.parent_death import die_with_parent

wsgi_app = "config.wsgi:application"
worker_class = "gthread"
# Few processes, some threads: pages wait for the database more than they compute.
workers = 2
threads = 4
# A browser opens spare connections and holds them; they must not look like a hung worker.
timeout = 60
graceful_timeout = 5
keepalive = 5
# Load once, then fork: half the memory and half the start.
preload_app = True
control_socket_disable = True


def post_fork(server: Any, worker: Any) -> None:
    die_with_parent(worker.ppid)
