"""Capture sessions and their throws: what a person sets about them lives here, what is computed does not."""

from __future__ import annotations

from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from athletes.models import (
    Addressed,
    Athlete,
    PresentManager,
    Role,
    Side,
    User,
    Withdrawable,
    WithdrawableQuerySet,
    of_readable,
)
from sessions.models.uploads import Upload
from sessions.quick_json import QuickJSONField


class Method(models.TextChoices):
    MOTION_CAPTURE = "motion_capture", "motion capture"
    VIDEO = "video", "video"
    HANDS_ON = "hands_on", "hands-on"


class Landing(models.TextChoices):
    """Which moment of the landing the session's numbers at foot plant were read at."""

    FIRST_TOUCH = "fc", "first touch"
    WEIGHT_ON_IT = "fp", "weight on it"
    UNKNOWN = "unknown", "not known"


class FilterKnowledge(models.TextChoices):
    KNOWN = "known", "known"
    NONE = "none", "not filtered"
    UNKNOWN = "unknown", "not known"


class PitchType(models.TextChoices):
    FASTBALL = "fastball", "fastball"
    CURVEBALL = "curveball", "curveball"
    SLIDER = "slider", "slider"
    CHANGEUP = "changeup", "changeup"
    OTHER = "other", "other pitch"


class Intent(models.TextChoices):
    FULL_EFFORT = "full_effort", "full effort"
    CONTROLLED = "controlled", "controlled"
    WARM_UP = "warm_up", "warm-up"


class Surface(models.TextChoices):
    MOUND = "mound", "mound"
    FLAT_GROUND = "flat_ground", "flat ground"
    OTHER = "other", "other surface"


class Ball(models.TextChoices):
    REGULATION = "regulation", "regulation ball"
    WEIGHTED = "weighted", "weighted ball"
    OTHER = "other", "other ball"


class CaptureSessionQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """Coaches, admins and the clinician in charge read assessments; while consent is withdrawn, admins alone.

        Athletes, guardians and visiting coaches read what was shared: a snapshot, never the session.
        """
        if not user.is_authenticated or user.role not in {Role.ADMIN, Role.COACH, Role.CLINICIAN}:
            return self.none()
        return self.filter(of_readable(user))


class CaptureSession(Addressed, Withdrawable):
    """One occasion on which one athlete was measured by one capture method."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"

    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="capture_sessions")
    date = models.DateField()
    started_at = models.DateTimeField(null=True, blank=True)
    ordinal = models.PositiveSmallIntegerField(default=1, help_text="Which session of this method that day.")
    method = models.CharField(max_length=16, choices=Method.choices)
    setup = models.CharField(max_length=80, blank=True, help_text="The room or camera, as recipe or setup name it.")
    capture_setup = models.ForeignKey(
        "capture_sessions.CaptureSetup", null=True, blank=True, on_delete=models.SET_NULL, related_name="sessions"
    )
    throwing_side = models.CharField(max_length=8, choices=Side.choices)
    state = models.CharField(max_length=8, choices=State.choices, default=State.CLOSED)
    # What the numbers were written for: rules written for something else do not judge them.
    landing = models.CharField(max_length=8, choices=Landing.choices, default=Landing.UNKNOWN)
    filter_knowledge = models.CharField(max_length=8, choices=FilterKnowledge.choices, default=FilterKnowledge.UNKNOWN)
    filter_hz = models.FloatField(null=True, blank=True)
    frame_rate_hz = models.FloatField(null=True, blank=True)
    definitions = models.JSONField(default=dict, blank=True, help_text="metric → definition, where it has several")
    # Rises in the transaction of every service that changes an input of the findings.
    input_revision = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PresentManager.from_queryset(CaptureSessionQuerySet)()
    everything = models.Manager.from_queryset(CaptureSessionQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-date", "-ordinal", "-id"]
        indexes = [models.Index(fields=["athlete", "method", "-date"]), models.Index(fields=["athlete", "state"])]
        constraints = [
            models.UniqueConstraint(
                fields=["athlete", "date", "method", "setup", "ordinal"],
                condition=Q(withdrawn_at__isnull=True),
                name="one_session_a_day_method_setup_ordinal",
            ),
            models.CheckConstraint(
                condition=Q(filter_knowledge="known", filter_hz__gt=0)
                | (~Q(filter_knowledge="known") & Q(filter_hz=None)),
                name="known_filter_has_its_frequency",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}, {self.get_method_display()}, {self.date}"


class Throw(Addressed, Withdrawable):
    """One pitch with its conditions."""

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="throws")
    number = models.PositiveIntegerField(help_text="Number in the outing.")
    pitch_type = models.CharField(max_length=16, choices=PitchType.choices, default=PitchType.FASTBALL)
    intent = models.CharField(max_length=16, choices=Intent.choices, default=Intent.FULL_EFFORT)
    intent_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(100)]
    )
    surface = models.CharField(max_length=16, choices=Surface.choices, default=Surface.MOUND)
    ball = models.CharField(max_length=16, choices=Ball.choices, default=Ball.REGULATION)
    ball_mass_g = models.FloatField(null=True, blank=True)
    ball_speed_m_s = models.FloatField(null=True, blank=True)
    # Exclusion is a person's input; it is undone by clearing it.
    excluded_at = models.DateTimeField(null=True, blank=True)
    excluded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    excluded_reason = models.CharField(max_length=200, blank=True)
    source_upload = models.ForeignKey(Upload, null=True, blank=True, on_delete=models.SET_NULL, related_name="throws")

    objects = PresentManager.from_queryset(WithdrawableQuerySet)()
    everything = models.Manager.from_queryset(WithdrawableQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["session", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["session", "number"],
                condition=Q(withdrawn_at__isnull=True),
                name="throw_number_once_a_session",
            ),
            models.CheckConstraint(
                condition=Q(ball_speed_m_s__isnull=True) | Q(ball_speed_m_s__gt=0, ball_speed_m_s__lt=60),
                name="ball_speed_is_in_metres_per_second",
            ),
        ]

    def __str__(self) -> str:
        return f"throw {self.number}"

    @property
    def is_excluded(self) -> bool:
        return self.excluded_at is not None


class SessionExtract(models.Model):
    """A session's own part of an original that named several athletes: what was read, row by row."""

    session = models.ForeignKey(CaptureSession, on_delete=models.CASCADE, related_name="extracts")
    upload = models.ForeignKey(Upload, null=True, on_delete=models.SET_NULL, related_name="extracts")
    sheet = models.CharField(max_length=120, blank=True)
    rows = QuickJSONField(default=list, help_text="row numbers of the original")
    content = QuickJSONField(default=dict, help_text="the throws as they were read")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["session", "upload", "sheet"], name="one_extract_a_session_and_upload")
        ]

    def __str__(self) -> str:
        return f"{self.session} from {self.upload}"
