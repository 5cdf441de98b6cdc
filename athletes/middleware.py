"""A reference number a request, the facility's time zone, and the log of who looked at whom."""

import zoneinfo
from collections.abc import Callable
from secrets import token_hex

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.models import Facility
from athletes.reference import request_reference
from athletes.view_notes import write_views

View = Callable[[HttpRequest], HttpResponse]


class RequestReferenceMiddleware:
    """Gives each request a number that stands in the log, in the change log and on the error page."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        token = request_reference.set(token_hex(4))
        try:
            return self.get_response(request)
        finally:
            request_reference.reset(token)


class FacilityTimeZoneMiddleware:
    """Dates on pages are those of the facility's wall clock."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        facility = Facility.current()
        request.facility = facility  # type: ignore[attr-defined]
        with timezone.override(zoneinfo.ZoneInfo(facility.time_zone)):
            return self.get_response(request)


class ViewLogMiddleware:
    """Writes the looks that the loaders noted, in one batch, before the answer leaves."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        write_views(request, response)
        return response
