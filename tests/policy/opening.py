"""Opens the door: the world, built inside a transaction that is rolled back."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from django.db import transaction
from django.test import override_settings
from django.utils import timezone

from tests.factories import NOON
from tests.policy.knocking import Knocker
from tests.policy.world import build_world


@contextmanager
def open_door(folder: Path) -> Iterator[Knocker]:
    """Time stands still, files go to a folder of their own, and nothing that a request does outlives it."""
    refusals = logging.getLogger("django.request")
    refusals.setLevel(logging.CRITICAL)  # thousands of refusals are meant here
    kept = override_settings(ORIGINALS_DIR=folder / "originals", RECORDINGS_DIR=folder / "recordings")
    with kept, patch.object(timezone, "now", lambda: NOON), transaction.atomic():
        yield Knocker(build_world())
        transaction.set_rollback(True)
    refusals.setLevel(logging.NOTSET)
