"""A room that records: motions one after another become frames of landmarks, in that room's axes and unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import permutations, product

import numpy as np

from .curves import Array
from .delivery import Delivery, Motion
from .flight import ball_path
from .happenings import Events, events_of
from .markers import BALL, HEAD, REQUIRED, place_markers
from .measures import metrics
from .plates import Plate, centres_of_pressure, ground_forces, plates_under
from .pose import Pose, between
from .skeleton import place_skeleton
from .truth import angles, speeds

UNITS = {"m": 1.0, "cm": 100.0, "mm": 1000.0}  # in a metre
MIRROR = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True, slots=True)
class Room:
    """How a room records.

    `axes` (3, 3) takes lab axes (X home, Y left, Z up) to the file's; any signed permutation. `side` "left" mirrors the
    pitcher. `before`, `after`, `between` are seconds of standing around the motions; `phase` moves the frames against
    the events (s). `plates` adds a rear and a lead plate at `analog_per_frame` samples a frame; `plate_sign` -1 writes
    them upside down; `level_plates` False lays them on the slope. `shift` (m, file axes) moves the origin.
    """

    rate_hz: float = 240.0
    unit: str = "m"
    axes: Array = field(default_factory=lambda: np.eye(3))
    side: str = "right"
    head: bool = False
    ball: bool = False
    plates: bool = False
    analog_per_frame: int = 5
    plate_sign: float = 1.0
    level_plates: bool = True
    before: float = 0.25
    after: float = 0.25
    between: float = 1.5
    phase: float = 0.0
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Throw:
    """A delivery inside a recording; `start` is the recording's time (s from its first frame) of the delivery's 0 s."""

    delivery: Delivery
    start: float

    @property
    def events(self) -> Events:
        """Times in s from the recording's first frame."""
        return events_of(self.delivery).later(self.start)

    def angles(self, times: Array) -> dict[str, Array]:
        """True angles (deg) at recording times (s)."""
        return angles(self.delivery, np.asarray(times, dtype=float) - self.start)

    def speeds(self, times: Array) -> dict[str, Array]:
        """True speeds (deg/s; pelvis_speed m/s) at recording times (s)."""
        return speeds(self.delivery, np.asarray(times, dtype=float) - self.start)

    def metrics(self, landing: str = "fp") -> dict[str, float]:
        """True catalogue metrics, read at "fp" or "fc"."""
        return metrics(self.delivery, landing)


@dataclass(frozen=True)
class Recording:
    """`points` (frames, labels, 3) in `room.unit` and the file's axes, NaN where unseen; plates in m, N, file axes."""

    room: Room
    labels: tuple[str, ...]
    points: Array
    throws: tuple[Throw, ...]
    plates: tuple[Plate, ...] = ()

    @property
    def times(self) -> Array:
        """Seconds from the first frame, shape (frames,)."""
        return np.arange(len(self.points)) / self.room.rate_hz

    @property
    def throw(self) -> Throw:
        """The only throw. Raises ValueError when there is none or more than one."""
        (throw,) = self.throws
        return throw

    def marker(self, label: str) -> Array:
        """One landmark, shape (frames, 3). Raises ValueError for a label that is not there."""
        return self.points[:, self.labels.index(label)]

    def but(self, **changes: object) -> Recording:
        return replace(self, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True)
class _Running:
    """Motions on one clock: each stands still before and after, and the next one's first pose is blended into."""

    motions: Sequence[Motion]
    room: Room

    @cached_property
    def starts(self) -> list[float]:
        """The clock's time of each motion's own 0 s."""
        clock, starts = self.room.before - self.room.phase, []
        for motion in self.motions:
            starts.append(clock - motion.start)
            clock += motion.end - motion.start + self.room.between
        return starts

    @property
    def duration(self) -> float:
        return self.starts[-1] + self.motions[-1].end + self.room.after

    def pose(self, times: Array) -> Pose:
        rows = np.empty((len(times), 0))
        for index, (motion, start) in enumerate(zip(self.motions, self.starts, strict=True)):
            local = np.clip(times - start, motion.start, motion.end)
            mine = motion.pose(local).rows
            if not index:
                rows = mine
                continue
            left = self.starts[index - 1] + self.motions[index - 1].end
            share = np.clip((times - left) / (start + motion.start - left), 0.0, 1.0)
            gap = between(self.motions[index - 1].pose(np.array([self.motions[index - 1].end])),
                          motion.pose(np.array([motion.start])), share)  # fmt: skip
            rows = np.where((share <= 0)[:, None], rows, np.where((share >= 1)[:, None], mine, gap.rows))
        return Pose(rows)


def record(motions: Motion | Sequence[Motion], room: Room | None = None) -> Recording:
    """One recording of one motion or several by one body, without noise or gaps.

    Raises ValueError for an unknown unit or side.
    """
    room = room or Room()
    if room.unit not in UNITS or room.side not in {"right", "left"}:
        raise ValueError(f"No such unit or side: {room.unit}, {room.side}.")
    running = _Running(motions if isinstance(motions, Sequence) else [motions], room)
    times = np.arange(int(running.duration * room.rate_hz) + 1) / room.rate_hz
    body = running.motions[0].body
    skeleton = place_skeleton(body, running.pose(times))
    placed = place_markers(body, skeleton)
    throws = tuple(
        Throw(motion, start)
        for motion, start in zip(running.motions, running.starts, strict=True)
        if isinstance(motion, Delivery)
    )
    labels = REQUIRED + (HEAD if room.head else ())
    if room.ball:
        labels += (BALL,)
        placed[BALL] = ball_path(body, skeleton, times, [(throw.delivery, throw.start) for throw in throws])
    points = np.stack([placed[label] for label in labels], axis=1)
    plates = _plates(throws, len(times), room) if room.plates and throws else ()
    if room.side == "left":
        points, labels = points * MIRROR, tuple(other_side(label) for label in labels)
    return Recording(room, labels, to_room(points, room), throws, plates)


def other_side(label: str) -> str:
    return {"R_": "L_", "L_": "R_"}.get(label[:2], label[:2]) + label[2:]


def to_room(points: Array, room: Room) -> Array:
    """Points (…, 3) in m and lab axes to the room's axes and unit."""
    return (points @ room.axes.T + room.shift) * UNITS[room.unit]


def _plates(throws: Sequence[Throw], frames: int, room: Room) -> tuple[Plate, ...]:
    """Rear and lead plate, placed for the first throw, with the forces of all; file axes, m and N."""
    times = np.arange(frames * room.analog_per_frame) / (room.rate_hz * room.analog_per_frame)
    forces = np.zeros((2, len(times), 3))
    centres = np.zeros((2, len(times), 3))
    for throw in throws:
        local = times - throw.start
        during = (local >= throw.delivery.start) & (local <= throw.delivery.end)
        forces[:, during] = ground_forces(throw.delivery, local[during])
        centres[:, during] = centres_of_pressure(throw.delivery, local[during], level=room.level_plates)
    mirror = MIRROR if room.side == "left" else np.ones(3)
    metres = replace(room, unit="m")
    down = room.axes @ np.array([0.0, 0.0, -1.0])
    plates = []
    for corners, force, centre in zip(
        plates_under(throws[0].delivery, level=room.level_plates), forces, centres, strict=True
    ):
        placed = to_room(corners * mirror, metres)
        if np.cross(placed[0] - placed[1], placed[0] - placed[3]) @ down < 0:
            placed = placed[[0, 3, 2, 1]]  # mirrored: keep the plate's own Z pointing down
        turned = room.plate_sign * (force * mirror) @ room.axes.T
        plates.append(Plate(placed, turned, to_room(centre * mirror, metres)))
    return tuple(plates)


def signed_permutations() -> tuple[Array, ...]:
    """All 48 matrices that permute the axes and turn some of them round, mirrors included."""
    return tuple(
        np.diag(signs)[list(order)]
        for order in permutations(range(3))
        for signs in product((1.0, -1.0), repeat=3)
    )  # fmt: skip
