"""The parameter section of a C3D file, read by the c3d library and asked for values without trusting any of them."""

from __future__ import annotations

import io
from typing import Final

import c3d
import numpy as np
from numpy.typing import NDArray

from sessions.formats.problems import unreadable
from sessions.formats.recording import Array

BLOCK_BYTES: Final = 512
MAGIC: Final = 0x50
INTEL, DEC, MIPS = 84, 85, 86
"""The processor types: byte order and floating-point format of everything after the header's first two bytes."""

_HEADER_EVENTS: Final = 298
"""Byte of the header from which it has events of the old kind; nobody needs them, and some programs leave rubbish."""

_INTEGER: Final = {1: "i1", 2: "i2", 4: "i4"}
_CONTINUED: Final = 9
"""LABELS2 to LABELS9 and the like go on where 255 entries were not enough."""


class _Sections(c3d.Reader):
    """Header and parameters as the library reads them, without its own demand that both agree to the last bit."""

    def _check_metadata(self) -> None:
        """Contradictions that matter are looked for in c3d_layout, where each has its sentence."""


class Parameters:
    """Header and parameters of one file. Raises UnreadableFile (recording_damaged) when they cannot be read."""

    def __init__(self, data: bytes) -> None:
        first = (data[0] - 1) * BLOCK_BYTES if data else -1
        if len(data) < BLOCK_BYTES or not 0 < first <= len(data) - 4:
            raise unreadable("recording_damaged")
        self.processor: int = data[first + 3]
        if self.processor not in {INTEL, DEC, MIPS}:
            raise unreadable("recording_damaged")
        end = first + data[first + 2] * BLOCK_BYTES
        without_events = data[:_HEADER_EVENTS] + bytes(BLOCK_BYTES - _HEADER_EVENTS) + data[BLOCK_BYTES:end]
        try:
            self._sections = _Sections(io.BytesIO(without_events))
        except Exception:  # whatever the library stumbles over, it is the file that is damaged
            raise unreadable("recording_damaged") from None

    @property
    def header(self) -> c3d.Header:
        """The library's header: point_count, first_frame, last_frame, scale_factor, data_block, …"""
        return self._sections.header

    @property
    def byte_order(self) -> str:
        """As numpy names it: "<" or ">"."""
        return ">" if self.processor == MIPS else "<"

    def texts(self, key: str) -> list[str]:
        """Every text of a parameter such as "POINT:LABELS" and of its continuations, without padding."""
        return [text for param in self._params(key) for text in _texts(param)]

    def text(self, key: str) -> str:
        """The first text of a parameter, "" when there is none."""
        return next(iter(self.texts(key)), "")

    def numbers(self, key: str, *, unsigned: bool = False) -> Array:
        """Every number of a parameter and of its continuations (n,), in the file's order; empty when there is none.

        ``unsigned``: read whole numbers so; they are signed by default.
        """
        found = [self._numbers(param, unsigned) for param in self._params(key)]
        return np.concatenate(found) if found else np.empty(0)

    def count(self, key: str) -> int | None:
        """The first number of a parameter as a whole one without sign, None when there is none."""
        found = self.numbers(key, unsigned=True)
        return int(found[0]) if len(found) and np.isfinite(found[0]) else None

    def dimensions(self, key: str) -> tuple[int, ...]:
        """A parameter's dimensions, the fastest first; empty for a single value or none."""
        param = self._sections.get(key)
        return tuple(param.dimensions) if isinstance(param, c3d.c3d.Param) else ()

    def _params(self, key: str) -> list[c3d.c3d.Param]:
        names = [key, *(f"{key}{number}" for number in range(2, _CONTINUED + 1))]
        found = []
        for name in names:
            param = self._sections.get(name)
            if not isinstance(param, c3d.c3d.Param):
                break
            found.append(param)
        return found

    def _numbers(self, param: c3d.c3d.Param, unsigned: bool) -> Array:
        size = param.bytes_per_element
        whole = param.bytes[: len(param.bytes) // max(abs(size), 1) * abs(size)]
        if size == 4:
            return as_floats(whole, self.processor).astype(float)
        if size not in _INTEGER:
            return np.empty(0)
        kind = _INTEGER[size].replace("i", "u" if unsigned else "i")
        return np.frombuffer(whole, self.byte_order + kind).astype(float)


def as_floats(raw: bytes, processor: int) -> NDArray[np.float32]:
    """32-bit floating-point numbers of one of the three kinds; numbers that a kind cannot hold come out as NaN.

    DEC's F format: the two 16-bit halves stand the other way round, and the exponent counts from 128 with the
    fraction below 1, so that the same bits mean a quarter of IEEE's value (VAX Architecture Reference Manual, from
    memory; the test holds it against published bit patterns and a second library).
    """
    if processor != DEC:
        return np.frombuffer(raw, ">f4" if processor == MIPS else "<f4")
    halves = np.frombuffer(raw, "<u2").reshape(-1, 2).astype(np.uint32)
    bits = (halves[:, 0] << 16) | halves[:, 1]
    zero = (bits & 0x7F800000) == 0
    quarter = bits.view(np.float32) / np.float32(4)
    return np.where(zero, np.float32(0), quarter)


def _texts(param: c3d.c3d.Param) -> list[str]:
    """The texts of one parameter, cut by its first dimension; the bytes that are there bound their number."""
    if param.bytes_per_element != -1 or not param.dimensions:
        return [_decoded(param.bytes)] if param.bytes_per_element == -1 else []
    width = param.dimensions[0]
    if not width:
        return []
    return [_decoded(param.bytes[start : start + width]) for start in range(0, len(param.bytes), width)]


def _decoded(raw: bytes) -> str:
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return text.replace("\x00", " ").strip()
