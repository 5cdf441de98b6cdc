"""What the read API gives of a share: the snapshot as the family reads it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from metrics.models import Share
from metrics.sharing import SharedContent
from sessions.models import Method


class SharedPointSerializer(serializers.Serializer):
    metric = serializers.CharField(help_text="Key of the catalogue.")
    headline = serializers.CharField(help_text="In the coach's words.")
    sentence = serializers.CharField(allow_blank=True)
    zone = serializers.CharField()
    side = serializers.CharField(allow_blank=True)
    sure = serializers.CharField(allow_blank=True)
    value = serializers.CharField(allow_blank=True, help_text="In words; empty where the coach left numbers out.")
    good = serializers.CharField(allow_blank=True, help_text="The target in words; empty as above.")


class ShareSerializer(serializers.Serializer):
    """A dated snapshot: a later scoring changes nothing of it. The session itself is not given to families."""

    uuid = serializers.UUIDField()
    athlete = serializers.UUIDField()
    measured_on = serializers.DateField()
    method = serializers.ChoiceField(choices=Method.choices)
    shared_at = serializers.DateTimeField()
    shared_by = serializers.CharField(allow_blank=True)
    summary = serializers.CharField(allow_blank=True)
    look_again_on = serializers.DateField(allow_null=True)
    work = SharedPointSerializer(many=True)
    better = SharedPointSerializer(many=True)

    def to_representation(self, share: Share) -> dict[str, Any]:
        content = SharedContent.from_json(share.content)
        told = {
            "uuid": share.uuid,
            "athlete": share.athlete.uuid,
            "measured_on": content.measured_on,
            "method": content.method,
            "shared_at": share.shared_at,
            "shared_by": str(share.shared_by or ""),
            "summary": share.summary,
            "look_again_on": share.look_again_on,
            "work": [_point(point) for point in content.points],
            "better": [_point(point) for point in content.better],
        }
        return super().to_representation(told)


def _point(point: Any) -> dict[str, Any]:
    names = ("metric", "headline", "sentence", "zone", "side", "sure")
    return {**{name: getattr(point, name) for name in names}, "value": point.value_words, "good": point.good_words}
