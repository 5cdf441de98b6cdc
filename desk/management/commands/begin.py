"""`manage.py begin`: the starting ranges, cause links and library of an installation without. Safe to run again."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from metrics.models import RangeProfile
from metrics.services.causes import install_starting_cause_links
from metrics.services.profiles import install_starting_profiles
from plans.services.library import install_starting_library


class Command(BaseCommand):
    help = "Stores the starting range profiles, cause links and library of interventions where there are none yet."

    def handle(self, *args: Any, **options: Any) -> None:
        """What an admin renamed, changed or emptied is never filled again."""
        profiles = [] if RangeProfile.objects.exists() else install_starting_profiles()
        links = install_starting_cause_links()
        works = install_starting_library()
        for profile in profiles:
            self.stdout.write(f"Range profile “{profile.name}”{', in use' if profile.in_use else ''}.")
        if links:
            self.stdout.write(f"{links}: {links.links.count()} links.")
        if works:
            self.stdout.write(f"Library: {works} interventions.")
        if not profiles and not links and not works:
            self.stdout.write("Ranges, links and library are there already: nothing was changed.")
