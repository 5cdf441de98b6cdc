"""Joint angles against a general-purpose library of biomechanics, and a thousand throws through two processes."""

from __future__ import annotations

import multiprocessing
import os
from functools import cache
from time import perf_counter, process_time

import numpy as np
import psutil

from bench.ratios import Ratio, compare
from metrics.kinematics import measure_throw
from metrics.kinematics.joints import Sizes
from metrics.kinematics.landmarks import Markers
from metrics.kinematics.movement import Movement
from sessions.formats.recording import Recording
from tests import synthesis
from tests.metrics.kinematics.bridge import as_recording
from tests.metrics.kinematics.library_angles import ANGLES, library_angles

RATE_HZ = 300.0
SECONDS = 5.0
THROWS, DIFFERENT, PROCESSES = 1_000, 10, 2
WARM = 100  # throws of each process after which its memory should have settled
MB = 2.0**20


def measure() -> list[Ratio]:
    print(many_throws())
    return [joint_angles()]


def thrown(number: int) -> synthesis.Recording:
    """Five seconds of a college pitcher with 1 mm of noise, each number another throw."""
    rng = np.random.default_rng(number)
    delivery = synthesis.Delivery(synthesis.Body(1.86, 88.0), synthesis.style_of("college").varied(rng))
    standing = SECONDS - (delivery.end - delivery.start)
    room = synthesis.Room(rate_hz=RATE_HZ, ball=True, before=standing / 2, after=standing / 2)
    return synthesis.with_noise(synthesis.record(delivery, room), 0.001, rng)


def joint_angles() -> Ratio:
    """All angles that both define from the same markers and lengths: theirs moment by moment, as the library works."""
    made = thrown(0)
    body = synthesis.Body(1.86, 88.0)
    sizes = (body.pelvis_width, body.pelvis_depth, body.length("biacromial"))
    markers = Markers(made.labels, np.asarray(made.points), RATE_HZ)
    frames = np.arange(len(markers))

    def theirs() -> int:
        return len(library_angles(made.marker, made.labels, frames, sizes))

    def ours() -> int:
        movement = Movement.of(markers, Sizes(*sizes), half_width=lambda joint: np.nan)
        return len([movement.curve(name) for name in ANGLES])

    assert theirs() == ours() == len(ANGLES)
    return compare(f"{len(ANGLES)} joint angles of {len(frames)} frames", floor=theirs, work=ours, goal=0.2)


def many_throws() -> str:
    """Throws a second through two processes, and what a process weighs when it is warm and at the end."""
    with multiprocessing.get_context("spawn").Pool(PROCESSES) as pool:
        pool.map(warm_up, range(PROCESSES), chunksize=1)
        started = perf_counter()
        weights = pool.map(measure_many, [THROWS // PROCESSES] * PROCESSES, chunksize=1)
        seconds = perf_counter() - started
    warm, last, busy = zip(*weights, strict=True)
    return (
        f"{THROWS:,} throws of {SECONDS:g} s at {RATE_HZ:g} Hz over {PROCESSES} processes: "
        f"{THROWS / seconds:.0f} throws a second, {1000 * sum(busy) / THROWS:.0f} ms of processor time each; "
        f"a process weighs {max(warm):.0f} MB after {WARM}, {max(last):.0f} MB at the end"
    )


@cache
def recordings() -> tuple[Recording, ...]:
    return tuple(as_recording(thrown(number)) for number in range(DIFFERENT))


def warm_up(_: int) -> None:
    measure_throw(recordings()[0], height_m=1.86, mass_kg=88.0)


def measure_many(count: int) -> tuple[float, float, float]:
    """Resident memory (MB) after `WARM` throws and after all, and processor time (s)."""
    process, warm, started = psutil.Process(os.getpid()), 0.0, process_time()
    for number in range(count):
        measure_throw(recordings()[number % DIFFERENT], height_m=1.86, mass_kg=88.0)
        if number + 1 == WARM:
            warm = process.memory_info().rss / MB
    return warm, process.memory_info().rss / MB, process_time() - started
