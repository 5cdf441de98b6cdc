"""How the markers of one throw were read: computed, and made again with its readings."""

from __future__ import annotations

from django.db import models

from sessions.models import Throw
from sessions.quick_json import QuickJSONField


class MotionReport(models.Model):
    """Beside the throw's readings: its events as found and as used, what was odd, and for whom it was measured."""

    throw = models.OneToOneField(Throw, on_delete=models.CASCADE, related_name="motion")
    algorithm = models.CharField(max_length=60)
    measured_for = models.JSONField(help_text="metrics.measuring.room.Thrower: body size and side that were used")
    events = models.JSONField(help_text="event → s from the first kept frame, as used")
    automatic = models.JSONField(help_text="event → s, as found")
    facts = QuickJSONField(default=dict, help_text="side, axes, rules, gaps, noise, notices, questions")

    def __str__(self) -> str:
        return f"motion of {self.throw}"
