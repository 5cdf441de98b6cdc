"""Cause links: a draft version and links that the catalogue knows."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from metrics import models as metrics


class CauseGraphVersionFactory(DjangoModelFactory):
    """A draft. Add its links, then `publish(version)`: published versions take no more links."""

    class Meta:
        model = metrics.CauseGraphVersion

    number = factory.LazyFunction(lambda: metrics.CauseGraphVersion.objects.count() + 1)


class CauseLinkFactory(DjangoModelFactory):
    """A short stride keeps the arm from being up at foot plant."""

    class Meta:
        model = metrics.CauseLink

    version = factory.SubFactory(CauseGraphVersionFactory)
    effect = "shoulder_external_rotation_fp"
    effect_direction = "low"
    cause = "stride_length"
    cause_direction = "low"
    kind = "mechanics"
    strength = "moderate"
    reason = "A short stride leaves the arm less time to come up."
    source = "factory"
    status = "common_practice"
