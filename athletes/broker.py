"""Whether the broker is there, before a page waits for it."""

from __future__ import annotations

import socket
from urllib.parse import urlsplit

from django.conf import settings

BROKER_PATIENCE_S = 0.5


def broker_answers() -> bool:
    """Whether somebody listens at the broker's address: the client would ask again for seconds on end."""
    address = urlsplit(settings.CELERY_BROKER_URL)
    by_path = address.scheme.endswith("socket")
    family, target = (
        (socket.AF_UNIX, address.path) if by_path else (socket.AF_INET, (address.hostname or "", address.port or 6379))
    )
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.settimeout(BROKER_PATIENCE_S)
        return probe.connect_ex(target) == 0
