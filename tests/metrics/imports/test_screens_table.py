"""A table of hands-on screens, from bytes to findings: what is computed, what is given, what is never taken."""

from __future__ import annotations

import pytest
from django.urls import reverse

from metrics.models import Finding, Reading

HEAD = (
    "Athlete,ID,Date,Trial,Shoulder IR 90 throwing,Shoulder IR 90 other,Shoulder IR deficit,Hip total arc front,"
    "Body mass index\n"
)
ROWS = "Tove Marrin,TM-1,2026-03-02,1,20,60,12,70,23.9\nTove Marrin,TM-1,2026-03-02,2,22,62,40,72,23.9\n"


@pytest.fixture
def upload(room, pair):
    return room.match(room.upload(HEAD + ROWS), method="hands_on")


@pytest.fixture
def accepted(room, upload):
    return room.accept(upload)


def finding(metric):
    return Finding.objects.filter(metric=metric).first()


def test_the_preview_says_what_was_left_out_and_what_does_not_add_up(upload, client_of, coach):
    page = client_of(coach).get(reverse("metrics:import", args=[upload.uuid]), follow=True).content.decode()
    assert "Body mass index is worked out from the athlete’s record and never taken from a file" in page
    assert "is 12 here, and its parts come to 40" in page


def test_nothing_of_the_person_is_stored(accepted):
    stored = {key for values in Reading.objects.values_list("values", flat=True) for key in values}
    assert "shoulder_ir_90_throwing@screen" in stored
    assert "bmi@screen" not in stored
    assert finding("bmi") is None


def test_the_side_difference_is_that_of_its_sides(accepted):
    found = finding("shoulder_ir_deficit")
    assert (found.n, found.mean, found.zone, found.side) == (2, 40.0, "flag", "high")
    assert "12" in " ".join(found.decision["notes"])


def test_a_total_without_its_parts_is_the_given_one(accepted):
    found = finding("hip_total_arc_front")
    assert found.mean == 71.0
    assert found.decision["notes"][0].startswith("A given value")
