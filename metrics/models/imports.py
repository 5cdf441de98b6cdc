"""How a table is read: recipes kept for a header, and the draft of what an upload would make."""

from __future__ import annotations

from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Q

from athletes.models import Addressed, Athlete
from sessions.models import CaptureSession, Upload
from sessions.quick_json import QuickJSONField


class ImportRecipe(Addressed):
    """The match of one header's columns to metrics, and what the numbers were written for."""

    name = models.CharField(max_length=120)
    fingerprint = models.CharField(max_length=64, help_text="of shape, header and units")
    recipe = models.JSONField(help_text="metrics.importing.recipes.Recipe")
    setup = models.CharField(max_length=80, blank=True, help_text="the room or camera that makes these files")
    frame_rate_hz = models.FloatField(null=True, blank=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    created_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["fingerprint"],
                condition=Q(retired_at__isnull=True),
                name="one_recipe_in_use_a_header",
            )
        ]

    def __str__(self) -> str:
        return self.name


class ImportDraft(models.Model):
    """What was found in an upload, before anything is a session. Disposable: reading again rebuilds it."""

    MOTION: ClassVar = "c3d"

    upload = models.OneToOneField(Upload, on_delete=models.CASCADE, related_name="draft")
    file_facts = models.JSONField(default=dict, help_text="kind, encoding, delimiter, decimal mark")
    layouts = QuickJSONField(default=list, help_text="a sheet each: shape, columns with samples, suggestions, recipe")
    problems = QuickJSONField(default=list)
    answers = models.JSONField(default=dict, help_text="conditions and other choices for the whole file")
    revision = models.PositiveIntegerField(default=1, help_text="rises with every answer; forms carry it")

    def __str__(self) -> str:
        return f"draft of {self.upload}"

    @property
    def is_motion(self) -> bool:
        """Whether it is of a recording."""
        return self.file_facts.get("kind") == self.MOTION


class ImportUnitQuerySet(models.QuerySet):
    def with_people(self) -> Self:
        """With what its questions need; readings are not among it."""
        return self.select_related("athlete").prefetch_related("athlete__consents")


class ImportUnit(Addressed):
    """One capture session that the upload would make: the unit of accepting."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        ACCEPTED = "accepted", "accepted"
        SKIPPED = "skipped", "left out"

    class Target(models.TextChoices):
        ADD = "add", "add to that session"
        NEW = "new", "new session"
        REPLACE = "replace", "what the file made before, read again"

    draft = models.ForeignKey(ImportDraft, on_delete=models.CASCADE, related_name="units")
    ordinal = models.PositiveIntegerField(help_text="order in the file")
    sheet = models.CharField(max_length=120, blank=True)
    athlete_reference = models.JSONField(default=dict, help_text="id, name, birth date as the file has them")
    athlete = models.ForeignKey(Athlete, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    date = models.DateField(null=True, blank=True)
    method = models.CharField(max_length=16)
    has_throws = models.BooleanField(default=True, help_text="whether it holds any")
    problems = QuickJSONField(default=list)
    target = models.CharField(max_length=8, choices=Target.choices, default=Target.NEW)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    session = models.ForeignKey(CaptureSession, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    objects = ImportUnitQuerySet.as_manager()

    class Meta:
        ordering = ["draft", "ordinal"]
        constraints = [models.UniqueConstraint(fields=["draft", "ordinal"], name="unit_ordinal_once_a_draft")]

    def __str__(self) -> str:
        return f"unit {self.ordinal} of {self.draft}"

    @property
    def payload(self) -> dict[str, Any]:
        """The throws as they would be stored."""
        return self.held.content

    @payload.setter
    def payload(self, content: dict[str, Any]) -> None:
        """Of a unit that is still to be stored; its row is written after the unit's."""
        self.held = UnitPayload(unit=self, content=content)


class UnitPayload(models.Model):
    """What a unit holds. It stands beside its unit, since a row that changes is written anew with all that it has:
    a unit turns when it is accepted, and its readings, a hundred times as long, do not."""

    unit = models.OneToOneField(ImportUnit, on_delete=models.CASCADE, related_name="held")
    content = QuickJSONField(default=dict, help_text="the throws as they would be stored")

    def __str__(self) -> str:
        return f"what {self.unit} holds"


class Reading(models.Model):
    """Every metric of one throw from one source."""

    class Source(models.TextChoices):
        TABLE = "table", "metric table"
        MARKERS = "markers", "marker positions"
        SCREEN = "screen", "hands-on screen"

    throw = models.ForeignKey("capture_sessions.Throw", on_delete=models.CASCADE, related_name="readings")
    source = models.CharField(max_length=10, choices=Source.choices)
    checksum = models.CharField(max_length=64, help_text="of the values")
    algorithm = models.CharField(max_length=60)
    values = QuickJSONField(help_text="metric@moment → value, or the reason why there is none")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["throw", "source"], name="one_reading_a_throw_and_source")]

    def __str__(self) -> str:
        return f"{self.throw}, {self.get_source_display()}"
