"""An installation begins with ranges, links and a library; what an admin made of them stays."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command

from metrics.models import CauseGraphVersion, RangeProfile
from plans.library import load_library
from plans.models import InterventionVersion

pytestmark = pytest.mark.django_db


def begin() -> str:
    said = StringIO()
    call_command("begin", stdout=said)
    return said.getvalue()


def test_an_empty_installation_gets_ranges_in_use_and_published_links():
    said = begin()
    assert RangeProfile.objects.filter(in_use=True).count() == 1
    assert CauseGraphVersion.objects.get().is_published
    assert "159 links" in said
    assert "in use" in said
    assert [version.value for version in InterventionVersion.objects.order_by("pk")] == list(load_library())


def test_a_second_time_changes_nothing():
    begin()
    assert begin() == "Ranges, links and library are there already: nothing was changed.\n"
    assert CauseGraphVersion.objects.count() == 1


def test_a_profile_that_was_renamed_does_not_come_back():
    begin()
    RangeProfile.objects.filter(in_use=True).update(name="Ours")
    begin()
    assert RangeProfile.objects.count() == 2
