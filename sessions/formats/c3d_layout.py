"""How the frames of a C3D file lie in its bytes, decided and checked before anything is allocated for them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from sessions.formats import limits
from sessions.formats.c3d_parameters import BLOCK_BYTES, DEC, MIPS, Parameters, as_floats
from sessions.formats.problems import unreadable

WORDS: Final = 4
"""Of one marker in one frame: x, y, z, and residual with cameras."""

_OVERFLOWN: Final = 0xFFFF
"""The header's last frame where the true one does not fit into 16 bits."""


@dataclass(frozen=True, slots=True)
class FrameLayout:
    """``start``: byte of the first frame. ``analogs``: channels, each with ``per_frame`` samples in a frame.

    ``is_float``: 32-bit floating point, else 16-bit whole numbers of which one of a position is ``scale`` long.
    ``first_frame``: its number in the trial that the file was cut from, counted from 1.
    """

    start: int
    frames: int
    first_frame: int
    markers: int
    analogs: int
    per_frame: int
    is_float: bool
    scale: float
    rate_hz: float
    processor: int

    @property
    def word_bytes(self) -> int:
        return 4 if self.is_float else 2

    @property
    def frame_bytes(self) -> int:
        return self.word_bytes * (WORDS * self.markers + self.analogs * self.per_frame)

    def dtype(self, *, unsigned_analogs: bool) -> np.dtype[np.void]:
        """One frame: ``points`` (markers, 4) and ``analogs`` (samples, channels), as they stand in the file.

        DEC's floating point is no type of numpy, and comes as its 4 bytes.
        """
        order = ">" if self.processor == MIPS else "<"
        point = f"{order}{'u4' if self.is_float else 'i2'}"
        analog = point if self.is_float or not unsigned_analogs else f"{order}u2"
        return np.dtype([("points", point, (self.markers, WORDS)), ("analogs", analog, (self.per_frame, self.analogs))])

    def numbers(self, words: NDArray[np.generic]) -> NDArray[Any]:
        """Words as they stand in the file → the numbers that they mean, of the same shape."""
        if not self.is_float:
            return words
        if self.processor == DEC:
            return as_floats(words.tobytes(), DEC).reshape(words.shape)
        return words.view(">f4" if self.processor == MIPS else "<f4")


def find_layout(parameters: Parameters, size_bytes: int) -> FrameLayout:
    """The layout of a file of that many bytes. Raises UnreadableFile with the sentence of what is wrong."""
    header = parameters.header
    scale = _scale(parameters)
    analogs, per_frame = _analogs(parameters)
    first, frames = _frames(parameters)
    layout = FrameLayout(
        start=(int(header.data_block) - 1) * BLOCK_BYTES,
        frames=frames,
        first_frame=first,
        markers=_same("the number of markers", int(header.point_count), parameters.count("POINT:USED")),
        analogs=analogs,
        per_frame=per_frame,
        is_float=scale < 0,
        scale=abs(scale),
        rate_hz=_rate(parameters),
        processor=parameters.processor,
    )
    _refuse_beyond_limits(layout)
    _refuse_cut(layout, size_bytes)
    return layout


def _same(what: str, header: int, parameter: int | None) -> int:
    """A count that stands in two places. Raises UnreadableFile when they differ."""
    if parameter is not None and parameter != header:
        raise unreadable("recording_contradicts", what=what, header=header, parameters=parameter)
    return header


def _scale(parameters: Parameters) -> float:
    """Negative for floating point. The parameter is the truer one, but both must agree on the kind of numbers."""
    header = float(parameters.header.scale_factor)
    stored = parameters.numbers("POINT:SCALE")
    scale = float(stored[0]) if len(stored) else header
    if not math.isfinite(scale) or scale == 0:
        raise unreadable("recording_scale", scale=f"{scale:g}")
    if math.isfinite(header) and header != 0 and (header < 0) != (scale < 0):
        raise unreadable(
            "recording_contradicts", what="the kind of numbers", header=f"{header:g}", parameters=f"{scale:g}"
        )
    return scale


def _analogs(parameters: Parameters) -> tuple[int, int]:
    """Analogue channels, and samples of each in a frame. The header counts all of a frame's samples together."""
    together, per_frame = int(parameters.header.analog_count), max(1, int(parameters.header.analog_per_frame))
    if not together:
        return 0, 1
    if together % per_frame:
        raise unreadable("recording_damaged")
    return _same("the number of analogue channels", together // per_frame, parameters.count("ANALOG:USED")), per_frame


def _frames(parameters: Parameters) -> tuple[int, int]:
    """Number of the first frame, and how many there are. Longer recordings say it in parameters, each in its way.

    The header's last frame is then 65535, or what is left of the true one in 16 bits.
    """
    first, last = int(parameters.header.first_frame), int(parameters.header.last_frame)
    counted = last - first + 1
    start, told = _long_count(parameters)
    if told > _OVERFLOWN or (last == _OVERFLOWN and told):
        return first if start is None else start, told
    if counted < 1:
        raise unreadable("recording_no_frames")
    return first, counted


def _long_count(parameters: Parameters) -> tuple[int | None, int]:
    """The first frame where parameters name it, and the most frames that they name; 0 when they do not."""
    start, end = (_trial_frame(parameters, name) for name in ("START", "END"))
    if start is not None and end is not None and end >= start:
        return start, end - start + 1
    told = [parameters.numbers(key, unsigned=True) for key in ("POINT:LONG_FRAMES", "POINT:FRAMES")]
    return None, max((int(numbers[0]) for numbers in told if len(numbers) and 0 < numbers[0] < 2**32), default=0)


def _trial_frame(parameters: Parameters, name: str) -> int | None:
    """TRIAL:ACTUAL_START_FIELD or _END_FIELD: two 16-bit words, the lower first."""
    words = parameters.numbers(f"TRIAL:ACTUAL_{name}_FIELD", unsigned=True)
    return int(words[0] + 65536 * words[1]) if len(words) >= 2 and np.isfinite(words[:2]).all() else None


def _rate(parameters: Parameters) -> float:
    stored = parameters.numbers("POINT:RATE")
    rate = float(stored[0]) if len(stored) else float(parameters.header.frame_rate)
    if not 0 < rate <= limits.RATE_HZ:
        raise unreadable("recording_rate", rate=f"{rate:g}")
    return rate


def _refuse_beyond_limits(layout: FrameLayout) -> None:
    if not layout.markers:
        raise unreadable("recording_no_markers")
    seconds = layout.frames / layout.rate_hz
    if seconds > 60 * limits.RECORDING_MINUTES:
        duration = f"{math.ceil(seconds / 6) / 10:g} minutes" if seconds < 36_000 else f"{seconds / 3600:.0f} hours"
        raise unreadable("recording_too_long", duration=duration, most=limits.RECORDING_MINUTES)
    if layout.frames * layout.markers > limits.RECORDING_POSITIONS:
        raise unreadable("recording_too_large", markers=layout.markers, frames=layout.frames)


def _refuse_cut(layout: FrameLayout, size_bytes: int) -> None:
    if layout.start < BLOCK_BYTES:
        raise unreadable("recording_damaged")
    found = max(0, size_bytes - layout.start) // layout.frame_bytes
    if found < layout.frames:
        raise unreadable("recording_cut", promised=layout.frames, found=found)
