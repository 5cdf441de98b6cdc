"""The process that measures files: limited in memory, time and files.

Started by sessions.formats.limited as `python -m metrics.measuring.child <parent's pid>`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from metrics.catalogue import load_catalogue
from metrics.measuring.asked import Asked
from metrics.measuring.measured import measure_bytes
from metrics.measuring.measurer import CPU_SECONDS
from sessions.formats.c3d import refuse_too_big
from sessions.formats.child import serve

MEMORY_BYTES: Final = 2 << 30
"""Address space; the largest recording that the limits allow took 1.1 GB, the process's own share with it."""


def main() -> None:
    serve(
        _measure,
        load=_load,
        memory_bytes=MEMORY_BYTES,
        cpu_seconds=CPU_SECONDS,
        too_much_memory="recording_too_much_memory",
    )


def _load() -> None:
    """What a first throw would read from disk."""
    load_catalogue()


def _measure(request: dict[str, Any]) -> dict[str, Any]:
    path = Path(request["path"])
    refuse_too_big(path.stat().st_size)
    return measure_bytes(path.read_bytes(), request["filename"], Asked(**request["asked"])).to_json()


if __name__ == "__main__":
    main()
