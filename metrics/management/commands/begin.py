"""`manage.py begin`: the starting ranges and cause links of an installation that has none. Safe to run again."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from metrics.models import RangeProfile
from metrics.services.causes import install_starting_cause_links
from metrics.services.profiles import install_starting_profiles


class Command(BaseCommand):
    help = "Stores the starting range profiles and cause links where there are none yet."

    def handle(self, *args: Any, **options: Any) -> None:
        """What an admin renamed, changed or emptied is never filled again."""
        profiles = [] if RangeProfile.objects.exists() else install_starting_profiles()
        links = install_starting_cause_links()
        for profile in profiles:
            self.stdout.write(f"Range profile “{profile.name}”{', in use' if profile.in_use else ''}.")
        if links:
            self.stdout.write(f"{links}: {links.links.count()} links.")
        if not profiles and not links:
            self.stdout.write("Ranges and links are there already: nothing was changed.")
