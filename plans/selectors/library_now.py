"""The facility's library as it stands: the newest version of what is not withdrawn."""

from __future__ import annotations

from plans.library import BadLibrary
from plans.models import InterventionVersion
from plans.selectors.change_options import latest_versions


def library_now() -> dict[str, InterventionVersion]:
    """By key, in the library's order; what an older release wrote and is not read any more is left out. One query."""
    rows = sorted(latest_versions(), key=lambda one: one.intervention_id)
    return {one.intervention.key: one for one in rows if _is_readable(one)}


def _is_readable(one: InterventionVersion) -> bool:
    try:
        return bool(one.value)
    except BadLibrary:
        return False
