"""The process that reads tables: limited in memory, time and files, it lives on between them.

Started by sessions.formats.limited as `python -m sessions.formats.child <parent's pid>`; it reads requests on
standard input, answers on standard output, and ends when its parent does.
"""

from __future__ import annotations

import ctypes
import gc
import os
import resource
import signal
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from sessions.formats import wire
from sessions.formats.problems import UnreadableFile, unreadable
from sessions.formats.results import read_layouts
from sessions.formats.tables import refuse_too_big

MEMORY_BYTES: Final = 1 << 30
CPU_SECONDS: Final = 15
"""For one file; the parent's wall clock is the other limit."""

OPEN_FILES: Final = 32
_PR_SET_PDEATHSIG: Final = 1  # linux/prctl.h


def main() -> None:
    serve(
        _read_tables,
        load=_load_libraries,
        memory_bytes=MEMORY_BYTES,
        cpu_seconds=CPU_SECONDS,
        too_much_memory="too_much_memory",
    )


def serve(
    work: Callable[[dict[str, Any]], dict[str, Any]],
    *,
    load: Callable[[], None],
    memory_bytes: int,
    cpu_seconds: int,
    too_much_memory: str,
) -> None:
    """Answers one request after another with what `work` makes of it, within this process's limits.

    `load` imports what work needs, before memory is limited. `cpu_seconds`: for one request. `too_much_memory`: code
    of that misfortune.
    """
    die_with_parent(int(sys.argv[1]))
    requests, answers = _take_pipes()
    load()
    limit_process(memory_bytes)
    gc.disable()  # a table is millions of cells without a cycle among them: looking through them takes half of the time
    while True:
        try:
            request = wire.receive(requests)
            allow_cpu_time(cpu_seconds)
            out_of_memory = _answer(answers, request, work, too_much_memory)
        except wire.Closed:
            return
        if out_of_memory:
            return  # what is left of this process's memory is not worth keeping; the parent starts a new one
        gc.collect()


def die_with_parent(parent: int) -> None:
    """Asks the kernel to kill this process when its parent ends; leaves at once when that has happened already."""
    ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        sys.exit(0)


def limit_process(memory_bytes: int = MEMORY_BYTES) -> None:
    """No more memory than that, few open files, nothing written to disk, no core dumps."""
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_NOFILE, (OPEN_FILES, OPEN_FILES))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def allow_cpu_time(seconds: int) -> None:
    """Kills this process (SIGXCPU) after `seconds` more of processor time: the limit counts its whole life."""
    usage = resource.getrusage(resource.RUSAGE_SELF)
    used = int(usage.ru_utime + usage.ru_stime) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (used + seconds, hard))


def _take_pipes() -> tuple[int, int]:
    """The two ends of the conversation, moved away so that a stray print cannot break it."""
    requests, answers = os.dup(0), os.dup(1)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.dup2(2, 1)
    os.close(nothing)
    return requests, answers


def _load_libraries() -> None:
    """Imports what workbooks need before memory is limited, and without the numerical library behind it:
    its threads alone would take a large part of the memory, and cells need none of it."""
    sys.modules.setdefault("numpy", None)  # type: ignore[arg-type]
    import openpyxl  # noqa: F401


def _read_tables(request: dict[str, Any]) -> dict[str, Any]:
    path = Path(request["path"])
    refuse_too_big(path.stat().st_size)
    return read_layouts(path.read_bytes(), request["filename"], **request["choices"]).to_json()


def _answer(
    answers: int, request: dict[str, Any], work: Callable[[dict[str, Any]], dict[str, Any]], too_much_memory: str
) -> bool:
    """Does the work for one file and answers; whether memory ran out."""
    try:
        wire.send(answers, {"result": work(request)})
    except MemoryError:
        _refuse(answers, unreadable(too_much_memory), died=True)
        return True
    except UnreadableFile as error:
        _refuse(answers, error)
    except wire.Closed:
        raise
    except Exception:  # our own mistake: the log gets it, the page a sentence
        wire.send(answers, {"log": traceback.format_exc()[-4000:]})
    return False


def _refuse(answers: int, error: UnreadableFile, *, died: bool = False) -> None:
    wire.send(answers, {"code": error.code, "sentence": error.sentence, "died": died})


if __name__ == "__main__":
    main()
