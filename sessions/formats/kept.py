"""One throw of a recording as an array file: what is measured and drawn without reading the original again.

A cache: `cut` of the original gives the same arrays, and so the same numbers, at any time.
"""

from __future__ import annotations

import io
import json
import struct
import zipfile
import zlib
from collections.abc import Collection
from typing import Final

import numpy as np

from sessions.formats.recording import Array, Plate, Recording

VERSION: Final = 1
"""Rises when the arrays of the same original would differ; files of another version are made anew."""


DAMAGE: Final = (
    ValueError, KeyError, TypeError, OSError, EOFError, RuntimeError, OverflowError, MemoryError, SyntaxError,
    zipfile.BadZipFile, zlib.error, struct.error,
)  # fmt: skip
"""What a damaged archive of arrays can raise."""


class KeptFileBroken(Exception):
    """The array file is cut, damaged or of another version: make it again from the original."""


def cut(recording: Recording, first: int, last: int, columns: Collection[int] | None = None) -> Recording:
    """Frames ``first`` to ``last`` (not included) of these marker columns, with the plates' samples of that time.

    Positions and forces are rounded to 32 bits (under a thousandth of a millimetre within 10 m), as they are kept. Its
    clock begins at its own first frame.
    """
    chosen = sorted(columns) if columns is not None else list(range(len(recording.labels)))
    start, end = first / recording.rate_hz, last / recording.rate_hz
    return Recording(
        labels=tuple(recording.labels[column] for column in chosen),
        positions=_rounded(recording.positions[first:last][:, chosen]),
        rate_hz=recording.rate_hz,
        units=recording.units,
        plates=tuple(_cut_plate(plate, start, end) for plate in recording.plates),
        source=recording.source,
    )


def _cut_plate(plate: Plate, start_s: float, end_s: float) -> Plate:
    samples = slice(round(start_s * plate.rate_hz), round(end_s * plate.rate_hz))
    return Plate(
        _rounded(plate.forces[samples]), _rounded(plate.moments[samples]), _rounded(plate.corners), plate.rate_hz
    )


def _rounded(values: Array) -> Array:
    return values.astype(np.float32).astype(np.float64)


def kept_bytes(recording: Recording) -> bytes:
    """A recording made by `cut` as the bytes of its array file."""
    head = {
        "version": VERSION,
        "labels": recording.labels,
        "rate_hz": recording.rate_hz,
        "units": recording.units,
        "source": recording.source,
        "plate_rates_hz": [plate.rate_hz for plate in recording.plates],
    }
    arrays = {"positions": recording.positions}
    for number, plate in enumerate(recording.plates):
        arrays |= {
            f"forces{number}": plate.forces,
            f"moments{number}": plate.moments,
            f"corners{number}": plate.corners,
        }
    file = io.BytesIO()
    with np.errstate(over="ignore"):  # what lies beyond 32 bits was rounded by `cut` already
        small = {name: values.astype(np.float32) for name, values in arrays.items()}
    np.savez_compressed(file, head=np.frombuffer(json.dumps(head).encode(), np.uint8), **small)  # type: ignore[arg-type]
    return file.getvalue()


def read_kept(data: bytes) -> Recording:
    """The recording in an array file. Raises KeptFileBroken."""
    try:
        with np.load(io.BytesIO(data), allow_pickle=False) as stored:
            head = json.loads(stored["head"].tobytes())
            if head["version"] != VERSION:
                raise KeptFileBroken(f"version {head['version']}")
            return Recording(
                labels=tuple(head["labels"]),
                positions=stored["positions"].astype(np.float64),
                rate_hz=head["rate_hz"],
                units=head["units"],
                plates=tuple(
                    Plate(
                        forces=stored[f"forces{number}"].astype(np.float64),
                        moments=stored[f"moments{number}"].astype(np.float64),
                        corners=stored[f"corners{number}"].astype(np.float64),
                        rate_hz=rate,
                    )
                    for number, rate in enumerate(head["plate_rates_hz"])
                ),
                source=head["source"],
            )
    except DAMAGE as error:
        raise KeptFileBroken(str(error)) from error
