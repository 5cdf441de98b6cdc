"""The calendar that a program reads: whoever has its secret address, and nobody else."""

from __future__ import annotations

import hashlib

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.debug import sensitive_variables

from plans.calendar_feed.feed import MEDIA_TYPE, feed_text
from plans.selectors.calendar import feed_of
from plans.services.calendar_addresses import owner_of_secret


@login_not_required
@csrf_exempt
@sensitive_variables("secret")
def calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """A secret that opens nothing, or nothing any more, is as any address that is not there; so is all but reading."""
    owner = owner_of_secret(secret) if request.method in ("GET", "HEAD") else None
    if owner is None:
        raise Http404
    data = feed_text(feed_of(owner, timezone.now())).encode()
    etag = quote_etag(hashlib.sha256(data).hexdigest())
    answer = HttpResponse(data, content_type=MEDIA_TYPE)
    answer["ETag"] = etag
    answer["Cache-Control"] = "private, no-cache"
    answer["Content-Disposition"] = 'inline; filename="follow-ups.ics"'
    return get_conditional_response(request, etag=etag, response=answer) or answer
