"""Motion capture: the rooms it comes from, the recording behind a throw, and event times that a person set."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from athletes.models import Addressed
from sessions.models.captures import Surface, Throw
from sessions.models.uploads import OriginalFile

AXES = [(axis, axis) for axis in ("+X", "-X", "+Y", "-Y", "+Z", "-Z")]
LENGTHS = [(unit, unit) for unit in ("mm", "cm", "m", "in", "ft")]
EVENTS = [
    ("pkh", "peak knee lift"),
    ("fc", "foot contact"),
    ("fp", "foot plant"),
    ("mer", "maximum external rotation"),
    ("br", "ball release"),
    ("mir", "maximum internal rotation"),
]
USUAL_FILTER_HZ = 13.4


class CaptureSetup(Addressed):
    """A capture room as its files need to be read; what is left open is found from each file."""

    name = models.CharField(max_length=80)
    names = models.JSONField(default=dict, blank=True, help_text="the room’s own marker name → ours")
    label_sets = models.JSONField(default=list, blank=True, help_text="fingerprints of the sets of names that it reads")
    home = models.CharField(
        "axis toward home plate", max_length=2, blank=True, choices=AXES, help_text="Left open: found from the throw."
    )
    up = models.CharField(
        "axis upward", max_length=2, blank=True, choices=AXES, help_text="Left open: found from the throw."
    )
    unit = models.CharField(
        "unit of length", max_length=2, blank=True, choices=LENGTHS, help_text="Left open: as the file says."
    )
    is_filtered = models.BooleanField("filter the positions", default=True)
    filter_hz = models.FloatField(
        "filter, Hz",
        default=USUAL_FILTER_HZ,
        help_text="Design cut-off of the low-pass filter. Ranges for arm speeds and loads hold for one filter only.",
    )
    uses_plates = models.BooleanField("use the force plates", default=True)
    surface = models.CharField(
        max_length=16, choices=Surface.choices, default=Surface.MOUND, help_text="What is thrown from in this room."
    )
    foot_marker_height_mm = models.FloatField(
        "heel and toe markers above the ground, mm", null=True, blank=True, help_text="Left open: 20 mm is taken."
    )
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True, help_text="No longer offered; its sessions keep it.")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=Q(retired_at__isnull=True), name="one_setup_in_use_a_name"
            ),
            models.CheckConstraint(condition=Q(filter_hz__gt=0), name="setup_filter_above_zero"),
            models.CheckConstraint(
                condition=Q(home="", up="") | (~Q(home="") & ~Q(up="")), name="setup_has_both_axes_or_none"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ThrowRecording(models.Model):
    """Where the positions of one throw are: frames of an original, read as the room was set up then."""

    throw = models.OneToOneField(Throw, on_delete=models.CASCADE, related_name="recording")
    original = models.ForeignKey(OriginalFile, on_delete=models.PROTECT, related_name="recordings")
    filename = models.CharField(max_length=255)
    setup = models.ForeignKey(CaptureSetup, null=True, on_delete=models.SET_NULL, related_name="recordings")
    room = models.JSONField(help_text="metrics.measuring.room.Room: the setup as it was")
    found = models.JSONField(help_text="metrics.kinematics.FoundThrow, on the clock of the kept arrays")
    first_frame = models.PositiveIntegerField(help_text="of the original, at which the kept arrays begin")
    rate_hz = models.FloatField()

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(rate_hz__gt=0), name="recording_rate_above_zero")]

    def __str__(self) -> str:
        return f"{self.throw} in {self.filename}"


class EventTime(models.Model):
    """An event's time that a person set, in place of the one that was found."""

    throw = models.ForeignKey(Throw, on_delete=models.CASCADE, related_name="event_times")
    event = models.CharField(max_length=4, choices=EVENTS)
    time_s = models.FloatField(help_text="from the first kept frame")
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    set_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["throw", "event"], name="one_set_time_an_event"),
            models.CheckConstraint(condition=Q(time_s__gte=0), name="event_time_from_first_frame"),
        ]

    def __str__(self) -> str:
        return f"{self.get_event_display()} of {self.throw}"
