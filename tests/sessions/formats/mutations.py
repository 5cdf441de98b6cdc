"""Damaged copies of a C3D file, the same ones every time."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

MOST_SECONDS = 5.0
BLOCK = 512
ODD_WORDS = (0x0000, 0x0001, 0x7FFF, 0x8000, 0xFFFF, 0x7F80, 0xFF80, 0x7FC0)  # ends, infinities and no-numbers


def mutated(data: bytes, *, count: int, number: int = 20) -> Iterator[bytes]:
    """``count`` damaged copies; ``number`` repeats them. Half of the damage falls on header and parameters."""
    rng = np.random.default_rng(number)
    ways = (_bytes_changed, _words_changed, _cut, _piece_moved, _bits_turned, _piece_zeroed)
    for one in range(count):
        yield ways[one % len(ways)](data, rng)


def _place(data: bytes, rng: np.random.Generator) -> int:
    """In the header, in the parameters, or anywhere."""
    parameters = BLOCK * (1 + data[BLOCK + 2])
    return int(rng.integers((BLOCK // 12, parameters, len(data), parameters)[rng.integers(4)]))


def _bytes_changed(data: bytes, rng: np.random.Generator) -> bytes:
    changed = bytearray(data)
    for _ in range(int(rng.integers(1, 9))):
        changed[_place(data, rng)] = int(rng.integers(256))
    return bytes(changed)


def _words_changed(data: bytes, rng: np.random.Generator) -> bytes:
    changed = bytearray(data)
    for _ in range(int(rng.integers(1, 5))):
        place = _place(data, rng) // 2 * 2
        changed[place : place + 2] = int(rng.choice(ODD_WORDS)).to_bytes(2, "little")
    return bytes(changed[: len(data)])


def _bits_turned(data: bytes, rng: np.random.Generator) -> bytes:
    changed = bytearray(data)
    for _ in range(int(rng.integers(1, 4))):
        changed[_place(data, rng)] ^= 1 << int(rng.integers(8))
    return bytes(changed)


def _cut(data: bytes, rng: np.random.Generator) -> bytes:
    return data[: int(rng.integers(len(data)))]


def _piece_moved(data: bytes, rng: np.random.Generator) -> bytes:
    start, target, length = _place(data, rng), _place(data, rng), int(rng.integers(1, 600))
    piece = data[start : start + length]
    return data[:target] + piece + data[target + (len(piece) if rng.integers(2) else 0) :]


def _piece_zeroed(data: bytes, rng: np.random.Generator) -> bytes:
    start, length = _place(data, rng), int(rng.integers(1, 200))
    return data[:start] + bytes(len(data[start : start + length])) + data[start + length :]
