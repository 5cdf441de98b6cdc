"""An athlete whose flags come back, and what of the library answers them: what tests of the plan page begin with."""

from __future__ import annotations

from django.urls import reverse

from metrics.services.standing import rebuild_standings
from plans.services.library import install_starting_library
from tests.factories import GuardianshipFactory, ReferralFactory, TrainingGroupFactory
from tests.metrics.upstream.scenes import found, publish_links

STRIDE, ARM, LAT = "stride_length", "shoulder_external_rotation_fp", "latissimus_length_throwing"
ROCK, STEP, LUNGE = "inner_thigh_rock", "step_behind_throws", "side_lunge_push_off"


def recurring_stride(athlete, *, times: int = 2, among: int = 3, days_ago: int = 7):
    """A short stride and a late arm that follows from it; the stride recurs, so that it is no longer provisional."""
    publish_links((f"{STRIDE} low", f"{ARM} low", "moderate"))
    install_starting_library()
    found(athlete, {STRIDE: "low", ARM: "low"}, days_ago=days_ago + 7)
    session = found(athlete, {STRIDE: "low", ARM: "low"}, days_ago=days_ago)
    counts = {"flags_among_last": times, "among_last": among}
    session.findings.filter(metric__in=[STRIDE, ARM]).update(confirmation="recurring", decision=counts)
    rebuild_standings([athlete.pk])
    return session


TIED = {"clinician", "visiting_coach", "athlete_user", "guardian"}
"""Who is tied to the athlete of `tie` and changes nothing of the plan."""


def tie(cast) -> None:
    """Everybody of the cast who can be tied to the athlete is."""
    cast.athlete.account = cast["athlete_user"]
    cast.athlete.save()
    TrainingGroupFactory(name="Varsity", athletes=[cast.athlete], visiting_coaches=[cast["visiting_coach"]])
    ReferralFactory(clinician=cast["clinician"], athlete=cast.athlete)
    GuardianshipFactory(guardian=cast["guardian"], athlete=cast.athlete)


def page_url(athlete) -> str:
    return reverse("plans:plan", args=[athlete.uuid])


def give_url(athlete, *keys: str) -> str:
    return f"{reverse('plans:give', args=[athlete.uuid])}?" + "&".join(f"use={key}" for key in keys)


def work_url(name: str, row) -> str:
    return reverse(f"plans:{name}", args=[row.athlete.uuid, row.uuid])


def posted(form_context, **changed) -> dict[str, object]:
    """What a browser sends of the form as it was filled in: `posted(answer.context, **{"w0-sets": "2"})`."""
    data: dict[str, object] = {}
    for form in [form_context["plan"], *(form for _, form in form_context["works"])]:
        for field in form:
            value = field.value()
            if field.widget_type == "checkbox":
                data |= {field.html_name: "on"} if value else {}
            elif isinstance(value, list):
                data[field.html_name] = [str(one) for one in value]
            else:
                data[field.html_name] = "" if value is None else str(field.field.prepare_value(value))
    return data | changed
