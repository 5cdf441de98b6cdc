"""The page for the unexpected: a reference number; the log has the rest."""

from django.http import HttpRequest, HttpResponse
from django.template import loader

from athletes.reference import request_reference


def server_error(request: HttpRequest) -> HttpResponse:
    body = loader.get_template("500.html").render({"reference": request_reference.get()})
    return HttpResponse(body, status=500)
