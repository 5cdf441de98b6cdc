"""C3D files byte by byte, as the format's document has them: all three processor types, whole and floating numbers.

Written from the published layout (header words, parameter records, frames), sharing nothing with the reader; the
tests hold its files against two libraries before they hold the reader against them. Everything in a header can be
overridden, so that it can also lie.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

INTEL, DEC, MIPS = 84, 85, 86
PROCESSORS = {"Intel": INTEL, "DEC": DEC, "MIPS": MIPS}
BLOCK = 512


@dataclass(frozen=True)
class Written:
    """``points`` (frames, markers, 3) in file units, NaN where unseen; ``analogs`` (frames, samples, channels).

    ``scale`` -1 writes floating point; above 0, whole numbers of which one is that long. ``groups``: name → parameter
    → texts, floats or whole numbers, added to (and replacing) what every file has. ``header``: fields that lie.
    """

    points: np.ndarray
    labels: Sequence[str] = ()
    rate_hz: float = 300.0
    unit: str = "mm"
    processor: int = INTEL
    scale: float = -1.0
    analogs: np.ndarray | None = None
    groups: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    header: Mapping[str, float] = field(default_factory=dict)
    first_frame: int = 1

    @property
    def order(self) -> str:
        return ">" if self.processor == MIPS else "<"

    def floats(self, values: np.ndarray) -> bytes:
        """32-bit floating point of the processor; DEC's halves stand the other way round and mean a quarter."""
        values = np.ascontiguousarray(values, dtype=np.float32)
        if self.processor != DEC:
            return values.astype(f"{self.order}f4").tobytes()
        bits = (values * np.float32(4)).view(np.uint32)
        return ((bits << 16) | (bits >> 16)).astype("<u4").tobytes()

    def whole(self, values: np.ndarray) -> bytes:
        return np.asarray(values).astype(f"{self.order}i2").tobytes()


def c3d_file(written: Written) -> bytes:
    """The file's bytes."""
    parameters = _parameters(written)
    blocks = len(parameters) // BLOCK
    return _header(written, data_block=2 + blocks) + parameters + _frames(written)


def _samples(written: Written) -> tuple[int, int]:
    """Samples a frame, and channels."""
    return (1, 0) if written.analogs is None else written.analogs.shape[1:]


def _header(written: Written, data_block: int) -> bytes:
    samples, channels = _samples(written)
    fields: dict[str, float] = {
        "parameter_block": 2, "magic": 0x50, "markers": written.points.shape[1], "analogs": samples * channels,
        "first": written.first_frame, "last": min(written.first_frame + len(written.points) - 1, 65535), "gap": 0,
        "scale": written.scale, "data_block": data_block, "samples": samples,
        "rate": written.rate_hz,
    } | dict(written.header)  # fmt: skip
    order = written.order
    raw = struct.pack("BB", int(fields["parameter_block"]), int(fields["magic"]))
    raw += struct.pack(f"{order}5H", *(int(fields[name]) for name in ("markers", "analogs", "first", "last", "gap")))
    raw += written.floats(np.array([fields["scale"]]))
    raw += struct.pack(f"{order}2H", int(fields["data_block"]), int(fields["samples"]))
    return (raw + written.floats(np.array([fields["rate"]]))).ljust(BLOCK, b"\0")


def _parameters(written: Written) -> bytes:
    samples, channels = _samples(written)
    groups: dict[str, dict[str, Any]] = {
        "POINT": {
            "USED": np.array(written.points.shape[1], np.int16), "SCALE": np.array(written.scale, np.float32),
            "RATE": np.array(written.rate_hz, np.float32), "DATA_START": np.array(0, np.int16),
            "FRAMES": np.array(min(len(written.points), 32767), np.int16), "LABELS": list(written.labels),
            "DESCRIPTIONS": [""] * len(written.labels), "UNITS": [written.unit],
        },
        "ANALOG": {
            "USED": np.array(channels, np.int16), "RATE": np.array(samples * written.rate_hz, np.float32),
            "GEN_SCALE": np.array(1.0, np.float32), "SCALE": np.ones(channels, np.float32),
            "OFFSET": np.zeros(channels, np.int16), "LABELS": [f"A{n}" for n in range(channels)],
            "DESCRIPTIONS": [""] * channels, "UNITS": [""] * channels,
        },
        "FORCE_PLATFORM": {
            "USED": np.array(0, np.int16), "TYPE": np.zeros(0, np.int16), "ZERO": np.zeros(2, np.int16),
            "CORNERS": np.zeros((0, 4, 3), np.float32), "ORIGIN": np.zeros((0, 3), np.float32),
            "CHANNEL": np.zeros((0, 6), np.int16),
        },
    }  # fmt: skip
    for name, values in written.groups.items():
        groups[name] = groups.get(name, {}) | dict(values)
    body = b"".join(_group(written, number, name, values) for number, (name, values) in enumerate(groups.items(), 1))
    body += b"\0\0"
    blocks = -(-(4 + len(body)) // BLOCK)
    return (struct.pack("4B", 1, 0x50, blocks, written.processor) + body).ljust(blocks * BLOCK, b"\0")


def _group(written: Written, number: int, name: str, values: Mapping[str, Any]) -> bytes:
    head = struct.pack("bb", len(name), -number) + name.encode() + struct.pack(f"{written.order}hB", 3, 0)
    return head + b"".join(_parameter(written, number, key, value) for key, value in values.items())


def _parameter(written: Written, number: int, name: str, value: Any) -> bytes:
    if isinstance(value, list):
        width = max((len(text.encode()) for text in value), default=0)
        raw, kind, dimensions = b"".join(text.encode().ljust(width) for text in value), -1, (width, len(value))
    elif value.dtype == np.float32:
        raw, kind, dimensions = written.floats(value), 4, value.shape[::-1]
    else:
        raw, kind, dimensions = written.whole(value), 2, value.shape[::-1]
    rest = struct.pack("bB", kind, len(dimensions)) + bytes(dimensions) + raw + b"\0"
    return struct.pack("bb", len(name), number) + name.encode() + struct.pack(f"{written.order}h", 2 + len(rest)) + rest


def _frames(written: Written) -> bytes:
    seen = np.isfinite(written.points).all(axis=-1)
    residual = np.where(seen, 0.0, -1.0)[..., None]
    points = np.concatenate([np.where(seen[..., None], written.points, 0.0), residual], axis=-1)
    if written.scale > 0:
        points[..., :3] = np.round(points[..., :3] / written.scale)
    rows = [points.reshape(len(points), -1)]
    if written.analogs is not None:
        rows.append(written.analogs.reshape(len(points), -1))
    words = np.concatenate(rows, axis=1)
    raw = written.floats(words) if written.scale < 0 else written.whole(words)
    return raw + b"\0" * (-len(raw) % BLOCK)
