"""Original files on disk: complete or absent, named by their hash, never changed."""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path


class FileTooLarge(Exception):
    """More bytes than the installation accepts."""


class FileEmpty(Exception):
    """No byte at all."""


@dataclass(frozen=True, slots=True)
class StoredBytes:
    sha256: str
    size: int
    path: Path


def store_bytes(chunks: Iterable[bytes], folder: Path, *, max_bytes: int) -> StoredBytes:
    """Writes the bytes under a temporary name, then renames: a power cut leaves the whole file or none.

    Raises FileTooLarge beyond `max_bytes`, FileEmpty, OSError when the disk is full; nothing stays behind in any case.
    """
    folder.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=".incoming-", dir=folder)
    path = Path(temporary)
    try:
        digest, size = hashlib.sha256(), 0
        with os.fdopen(handle, "wb") as file:
            for chunk in chunks:
                size += len(chunk)
                if size > max_bytes:
                    raise FileTooLarge
                digest.update(chunk)
                file.write(chunk)
            if not size:
                raise FileEmpty
            file.flush()
            os.fsync(file.fileno())
        final = folder / digest.hexdigest()
        path.replace(final)
        _sync_folder(folder)
        return StoredBytes(final.name, size, final)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def write_whole(path: Path, data: bytes) -> None:
    """Leaves the file whole or as it was. Raises OSError when the disk is full."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=".incoming-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _sync_folder(folder: Path) -> None:
    """Without this the new name itself can be lost in a power cut."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
