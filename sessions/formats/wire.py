"""How the web or worker process and its reading process speak: JSON with its length before it, over pipes.

JSON and not pickle: what a hostile file makes of the reading process must not be able to run anything here.
"""

from __future__ import annotations

import json
import os
import select
import struct
import time
from typing import Any, Final

import orjson

_LENGTH: Final = struct.Struct(">Q")
LARGEST_MESSAGE: Final = 512_000_000
"""Bytes. The largest table that the limits allow makes about a third of it."""

_CHUNK: Final = 1 << 20


class Closed(Exception):
    """The other end is gone."""


class TooSlow(Exception):
    """The deadline passed before the whole message was there."""


def send(descriptor: int, message: dict[str, Any]) -> None:
    """Writes one message. Raises Closed."""
    body = _as_bytes(message)
    view = memoryview(_LENGTH.pack(len(body)) + body)
    try:
        while view:
            view = view[os.write(descriptor, view) :]
    except OSError as error:
        raise Closed from error


def receive(descriptor: int, deadline: float | None = None) -> dict[str, Any]:
    """Reads one message. `deadline` is on time.monotonic's clock, in seconds. Raises Closed, TooSlow."""
    (length,) = _LENGTH.unpack(_read(descriptor, _LENGTH.size, deadline))
    if length > LARGEST_MESSAGE:
        raise Closed
    try:
        message = _from_bytes(_read(descriptor, length, deadline))
    except ValueError as error:
        raise Closed from error
    if not isinstance(message, dict):
        raise Closed
    return message


def _as_bytes(message: dict[str, Any]) -> bytes:
    """The quick writer takes no half of a surrogate pair, which a workbook's cell may hold; the slow one does."""
    try:
        return orjson.dumps(message)
    except TypeError:
        return json.dumps(message, allow_nan=False, separators=(",", ":")).encode()


def _from_bytes(body: bytes) -> Any:
    try:
        return orjson.loads(body)
    except ValueError:
        return json.loads(body)


def _read(descriptor: int, wanted: int, deadline: float | None) -> bytes:
    received = bytearray()
    while len(received) < wanted:
        if deadline is not None:
            left = deadline - time.monotonic()
            if left <= 0 or not select.select([descriptor], [], [], left)[0]:
                raise TooSlow
        piece = os.read(descriptor, min(_CHUNK, wanted - len(received)))
        if not piece:
            raise Closed
        received += piece
    return bytes(received)
