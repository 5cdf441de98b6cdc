"""The process that measures files: limited in memory, time and files.

Started by sessions.formats.limited as `python -m metrics.measuring.child <parent's pid>`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from metrics.catalogue import load_catalogue
from metrics.measuring.asked import Asked
from metrics.measuring.capture import capture_bytes
from metrics.measuring.measured import measure_bytes
from metrics.measuring.measurer import CPU_SECONDS
from metrics.measuring.room import Room, Thrower
from sessions.formats.c3d import refuse_too_big
from sessions.formats.child import serve

MEMORY_BYTES: Final = 2 << 30
"""Address space; the largest recording that the limits allow took 1.1 GB, the process's own share with it."""


def main() -> None:
    serve(
        _work,
        load=_load,
        memory_bytes=MEMORY_BYTES,
        cpu_seconds=CPU_SECONDS,
        too_much_memory="recording_too_much_memory",
    )


def _load() -> None:
    """What a first throw would read from disk."""
    load_catalogue()


def _work(request: dict[str, Any]) -> dict[str, Any]:
    path = Path(request["path"])
    refuse_too_big(path.stat().st_size)
    return WORK[request["do"]](path.read_bytes(), request)


def _measure(data: bytes, request: dict[str, Any]) -> dict[str, Any]:
    return measure_bytes(data, request["filename"], Asked(**request["asked"])).to_json()


def _capture(data: bytes, request: dict[str, Any]) -> dict[str, Any]:
    return capture_bytes(
        data,
        request["filename"],
        room=Room.from_json(request["room"]),
        rooms={fingerprint: Room.from_json(room) for fingerprint, room in request["rooms"].items()},
        thrower=Thrower.from_json(request["thrower"]),
        keep=request["keep"],
    ).to_json()


WORK: Final[dict[str, Callable[[bytes, dict[str, Any]], dict[str, Any]]]] = {"measure": _measure, "capture": _capture}


if __name__ == "__main__":
    main()
