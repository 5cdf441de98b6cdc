"""A recording as a C3D file, written by the pure-Python c3d library.

Floating-point points and analogue channels; a point that was not seen has residual -1 and
coordinates 0, as the format asks.
Force plates are of type 2: forces and moments of the ground on the pitcher about the plate's origin, in the plate's
own axes as its corners define them (first axis from corner 2 to 1, second from 4 to 1, Z down).
"""

from __future__ import annotations

import io
from pathlib import Path

import c3d
import numpy as np

from .capture import UNITS, Recording
from .curves import Array
from .plates import Plate

CHANNELS = ("Fx", "Fy", "Fz", "Mx", "My", "Mz")
LABELS_IN_ONE_PARAMETER = 255  # a dimension is one byte


def c3d_bytes(recording: Recording, *, events: bool = False) -> bytes:
    """The file's bytes. `events` adds an EVENT group with the true events of every throw."""
    room = recording.room
    writer = c3d.Writer(point_rate=room.rate_hz, analog_rate=room.rate_hz * _per_frame(recording),
                        point_scale=-1.0, point_units=room.unit, gen_scale=1.0)  # fmt: skip
    writer.set_point_labels(recording.labels)
    analog = _channels(recording)
    if recording.plates:
        _write_plates(writer, recording)
    else:
        writer.set_analog_labels(["NONE"])
    if events and recording.throws:
        _write_events(writer, recording)
    writer.add_frames(list(_frames(recording, analog)))
    target = io.BytesIO()
    writer.write(target)
    return target.getvalue()


def write_c3d(recording: Recording, path: Path | str, *, events: bool = False) -> Path:
    """Writes the file and gives its path."""
    path = Path(path)
    path.write_bytes(c3d_bytes(recording, events=events))
    return path


def _per_frame(recording: Recording) -> int:
    return recording.room.analog_per_frame if recording.plates else 1


def _frames(recording: Recording, analog: Array):
    rows = np.zeros((*recording.points.shape[:2], 5), dtype=np.float32)
    seen = np.isfinite(recording.points).all(axis=-1)
    rows[..., :3] = np.where(seen[..., None], recording.points, 0.0)
    rows[..., 3] = np.where(seen, 0.0, -1.0)
    rows[..., 4] = np.where(seen, 0.0, -1.0)
    share = _per_frame(recording)
    for frame, points in enumerate(rows):
        yield points, analog[:, frame * share : (frame + 1) * share]


def _channels(recording: Recording) -> Array:
    """All analogue channels (channels, samples); none without plates."""
    if not recording.plates:
        return np.zeros((0, len(recording.points)), dtype=np.float32)
    scale = UNITS[recording.room.unit]
    return np.concatenate([_signals(plate, scale) for plate in recording.plates]).astype(np.float32)


def _signals(plate: Plate, scale: float) -> Array:
    """Forces (N) and moments (N times the file's unit) about the middle of the plate's top, in its own axes (6, k)."""
    own = plate_axes(plate.corners)
    arm = (plate.centre - plate.corners.mean(axis=0)) @ own * scale
    force = plate.force @ own
    return np.concatenate([force, np.cross(arm, force)], axis=1).T


def plate_axes(corners: Array) -> Array:
    """The plate's X, Y and Z as columns (3, 3), in file axes."""
    x = corners[0] - corners[1]
    z = np.cross(x, corners[0] - corners[3])
    y = np.cross(z, x)
    return np.stack([axis / np.linalg.norm(axis) for axis in (x, y, z)], axis=1)


def _write_plates(writer: c3d.Writer, recording: Recording) -> None:
    room, plates = recording.room, recording.plates
    count = len(plates) * len(CHANNELS)
    writer.set_analog_labels([f"{name}{number}" for number in range(1, len(plates) + 1) for name in CHANNELS])
    writer.set_analog_scales(np.ones(count))
    writer.set_analog_offsets(np.zeros(count))
    moment = f"N{room.unit}"
    texts = [unit.ljust(len(moment)) for _ in plates for unit in ("N",) * 3 + (moment,) * 3]
    writer.analog_group.add_str("UNITS", "Analogue units", "".join(texts), len(moment), count)
    group = writer.add_group(writer.numeric_key_next, "FORCE_PLATFORM", "Force plates")
    group.add("USED", "Plates", 2, "<h", len(plates))
    group.add_array("TYPE", "Types", np.full(len(plates), 2, dtype=np.int16))
    group.add_array("ZERO", "Frames without load", np.zeros(2, dtype=np.int16))
    corners = np.stack([plate.corners for plate in plates]) * UNITS[room.unit]
    _add_table(group, "CORNERS", "Corners", corners.astype(np.float32))
    _add_table(group, "ORIGIN", "From the top's middle to the sensor", np.zeros((len(plates), 3), dtype=np.float32))
    channels = np.arange(1, count + 1, dtype=np.int16).reshape(len(plates), len(CHANNELS))
    _add_table(group, "CHANNEL", "Analogue channels", channels)


def _add_table(group: c3d.c3d.GroupEditable, name: str, text: str, values: Array) -> None:
    """The format's first dimension runs fastest, so a C-ordered array has its dimensions turned round."""
    dimensions = list(values.shape[::-1])
    group.add_param(
        name, desc=text, bytes_per_element=values.dtype.itemsize * 1, bytes=values.tobytes(), dimensions=dimensions
    )


def _write_events(writer: c3d.Writer, recording: Recording) -> None:
    happened = [(name, time) for throw in recording.throws for name, time in throw.events.as_dict().items()]
    group = writer.add_group(writer.numeric_key_next, "EVENT", "Events")
    group.add("USED", "Events", 2, "<h", len(happened))
    width = max(len(name) for name, _ in happened)
    group.add_str("LABELS", "Names", "".join(name.ljust(width) for name, _ in happened), width, len(happened))
    group.add_str("CONTEXTS", "Side", "General" * len(happened), len("General"), len(happened))
    times = np.array([[time // 60, time % 60] for _, time in happened], dtype=np.float32)
    _add_table(group, "TIMES", "Minutes and seconds", times)
