"""The loader of training groups. They are the staff's: everybody else gets one 403, whether there is one or not."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest

from athletes.models import TrainingGroup
from athletes.policy import Action, require
from athletes.requests import account_of


def group_or_404(request: HttpRequest, uuid: UUID) -> TrainingGroup:
    require(account_of(request), Action.CHANGE)
    group = TrainingGroup.objects.filter(uuid=uuid).first()
    if group is None:
        raise Http404
    return group
