"""What the read API gives of athletes, sessions and findings: plain values, SI and degrees, addresses by uuid.

Sizes are in cm and kg and a finding's numbers in its `unit`, as they are stored.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.facts import availability_on, body_size_on, level_on, stopped_on
from athletes.models import Athlete, Availability, Level, Throws
from desk.serializers_trace import TraceSerializer, trace_json
from metrics.models import Finding, RuleStatus, Scoring
from sessions.models import CaptureSession, Method, Throw

OWN = "Empty for readers who may not open the record (visiting coaches)."


class GroupSerializer(serializers.Serializer):
    uuid = serializers.UUIDField()
    name = serializers.CharField()


class AthleteSerializer(serializers.Serializer):
    """An athlete as known today. `context` holds `today` and `may_read_record`."""

    uuid = serializers.UUIDField()
    given_name = serializers.CharField()
    family_name = serializers.CharField()
    throws = serializers.ChoiceField(choices=Throws.choices)
    level = serializers.ChoiceField(choices=Level.choices, allow_null=True, help_text="In force today.")
    availability = serializers.ChoiceField(
        choices=Availability.State.choices,
        allow_null=True,
        help_text="In force today; open pain makes it stopped. Null when nothing was recorded.",
    )
    availability_limits = serializers.CharField(allow_null=True, help_text=OWN)
    groups = GroupSerializer(many=True, help_text="Those that the reader may know.")
    birth_date = serializers.DateField(allow_null=True, help_text=OWN)
    playing_role = serializers.CharField(allow_null=True, help_text=OWN)
    responsible_coach = serializers.CharField(allow_null=True, help_text=OWN)
    height_cm = serializers.FloatField(allow_null=True, help_text=f"Today; interpolated under 18. {OWN}")
    height_measured_on = serializers.DateField(allow_null=True, help_text=OWN)
    mass_kg = serializers.FloatField(allow_null=True, help_text=OWN)
    mass_measured_on = serializers.DateField(allow_null=True, help_text=OWN)
    arm_span_cm = serializers.FloatField(allow_null=True, help_text=OWN)
    arm_span_measured_on = serializers.DateField(allow_null=True, help_text=OWN)

    def to_representation(self, athlete: Athlete) -> dict[str, Any]:
        today = self.context["today"]
        facts = self._for_everybody(athlete, today)
        own = self._for_readers_of_the_record(athlete, today)
        if not self.context["may_read_record"]:
            own = dict.fromkeys(own)
        return super().to_representation({**facts, **own})

    def _for_everybody(self, athlete: Athlete, today: dt.date) -> dict[str, Any]:
        state = "stopped" if stopped_on(athlete, today) else availability_on(athlete, today).state
        return {
            "uuid": athlete.uuid,
            "given_name": athlete.given_name,
            "family_name": athlete.family_name,
            "throws": athlete.throws,
            "level": level_on(athlete, today),
            "availability": state or None,
            "groups": getattr(athlete, "known_groups", []),
        }

    def _for_readers_of_the_record(self, athlete: Athlete, today: dt.date) -> dict[str, Any]:
        sizes = body_size_on(athlete, today)
        coach = athlete.responsible_coach
        own: dict[str, Any] = {
            "availability_limits": availability_on(athlete, today).limits,
            "birth_date": athlete.birth_date,
            "playing_role": athlete.playing_role,
            "responsible_coach": str(coach) if coach else None,
        }
        for name, unit, size in (
            ("height", "cm", sizes.height),
            ("mass", "kg", sizes.mass),
            ("arm_span", "cm", sizes.arm_span),
        ):
            own[f"{name}_{unit}"] = size.value if size else None
            own[f"{name}_measured_on"] = size.measured_on if size else None
        return own


class ScoringSerializer(serializers.ModelSerializer):
    """How a session was scored."""

    profile = serializers.CharField(source="profile_version.profile.name", allow_null=True, default=None)
    profile_version = serializers.IntegerField(source="profile_version.number", allow_null=True, default=None)
    is_current = serializers.SerializerMethodField(
        help_text="False while a change of the session or of the athlete waits to be scored."
    )

    class Meta:
        model = Scoring
        fields = (
            "profile",
            "profile_version",
            "is_current",
            "scored_at",
            "scored_throws",
            "throws",
            "for_orientation",
            "conditions_used",
            "coverage",
            "first_look_coverage",
            "outside_by_variety",
            "outside_by_variety_of",
            "flags_by_error",
            "flags_by_error_of",
            "algorithm",
            "catalogue_version",
        )
        extra_kwargs = {
            "for_orientation": {"help_text": "No throw was as the profile asks; those that there are were used."},
            "coverage": {"help_text": "Share of the weight that could be scored, 0 to 1."},
            "first_look_coverage": {"help_text": "Share of the first look that could be scored, 0 to 1."},
        }

    def get_is_current(self, scoring: Scoring) -> bool:
        return is_current(scoring)


def is_current(scoring: Scoring) -> bool:
    """Whether the findings answer the session and the athlete as they are; both must be loaded."""
    return (
        scoring.scored_revision == scoring.session.input_revision
        and scoring.scored_facts_revision == scoring.session.athlete.facts_revision
    )


class SessionSerializer(serializers.ModelSerializer):
    athlete = serializers.UUIDField(source="athlete.uuid")
    level = serializers.ChoiceField(
        source="level_then", choices=Level.choices, allow_null=True, help_text="In force on the session's date."
    )
    throw_count = serializers.IntegerField()
    scoring = ScoringSerializer(allow_null=True, default=None)

    class Meta:
        model = CaptureSession
        fields = (
            "uuid",
            "athlete",
            "date",
            "started_at",
            "ordinal",
            "method",
            "setup",
            "level",
            "throwing_side",
            "state",
            "landing",
            "filter_knowledge",
            "filter_hz",
            "frame_rate_hz",
            "definitions",
            "throw_count",
            "scoring",
        )


class ThrowSerializer(serializers.ModelSerializer):
    is_excluded = serializers.BooleanField()

    class Meta:
        model = Throw
        fields = (
            "uuid",
            "number",
            "pitch_type",
            "intent",
            "intent_percent",
            "surface",
            "ball",
            "ball_mass_g",
            "ball_speed_m_s",
            "is_excluded",
            "excluded_reason",
        )


class SessionDetailSerializer(SessionSerializer):
    """A session and how it was scored; a single one comes with its throws."""

    throws = ThrowSerializer(many=True)
    trace = serializers.SerializerMethodField(help_text="Where to start; null for hands-on sessions.")

    class Meta:
        model = CaptureSession
        fields = (*SessionSerializer.Meta.fields, "throws", "trace")

    @extend_schema_field(TraceSerializer(allow_null=True))
    def get_trace(self, capture: CaptureSession) -> dict[str, Any] | None:
        return trace_json(capture)


class FindingSerializer(serializers.ModelSerializer):
    """One metric of one session. Session, metric and condition set name it: scoring again replaces the row."""

    session = serializers.UUIDField(source="session.uuid")
    athlete = serializers.UUIDField(source="session.athlete.uuid")
    date = serializers.DateField(source="session.date")
    method = serializers.ChoiceField(source="session.method", choices=Method.choices)
    rule_status = serializers.ChoiceField(
        choices=RuleStatus.choices, allow_blank=True, help_text="What the range rests on; empty without a range."
    )
    other_zone = serializers.ChoiceField(
        choices=[choice for choice in Finding.Zone.choices if choice[0] != Finding.Zone.NOT_SCORED],
        allow_blank=True,
        help_text="The other likely zone when it cannot be told.",
    )
    range_source = serializers.SerializerMethodField(help_text="Where the range comes from.")
    notes = serializers.SerializerMethodField()
    profile = serializers.SerializerMethodField()
    profile_version = serializers.SerializerMethodField()
    is_current = serializers.SerializerMethodField()

    class Meta:
        model = Finding
        fields = (
            *("session", "athlete", "date", "method", "metric", "condition_set", "kind", "family", "unit", "moment"),
            *("n", "mean", "sd", "u", "u_throw", "u_between", "u_constant", "nu"),
            *("target_low", "target_high", "flag_low", "flag_high"),
            *("rule_status", "range_source", "size_basis", "size_used", "size_date"),
            *("zone", "side", "sure", "other_zone", "probability", "p_in", "p_out", "p_flag", "perhaps_flag"),
            *("reason_code", "reason", "weight", "severity", "priority", "is_family_head", "confirmation"),
            *("notes", "profile", "profile_version", "is_current"),
        )
        extra_kwargs = {
            "sd": {"help_text": "Throw to throw, in `unit`."},
            "u": {"help_text": "Standard uncertainty of the mean, in `unit`; `u_throw`, `u_between` and "
                  "`u_constant` are its parts."},
            "nu": {"help_text": "Degrees of freedom of u; null when without limit."},
            "size_used": {"help_text": "The body size that the limits were moved to: cm, or kg for mass."},
        }  # fmt: skip

    def get_range_source(self, finding: Finding) -> str:
        return str(finding.decision.get("source", ""))

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_notes(self, finding: Finding) -> list[str]:
        return list(finding.decision.get("notes", []))

    def get_profile(self, finding: Finding) -> str | None:
        scoring = self._scoring(finding)
        return scoring.profile_version.profile.name if scoring and scoring.profile_version else None

    def get_profile_version(self, finding: Finding) -> int | None:
        scoring = self._scoring(finding)
        return scoring.profile_version.number if scoring and scoring.profile_version else None

    def get_is_current(self, finding: Finding) -> bool:
        scoring = self._scoring(finding)
        return scoring is not None and is_current(scoring)

    def _scoring(self, finding: Finding) -> Scoring | None:
        return getattr(finding.session, "scoring", None)
