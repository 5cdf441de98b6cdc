"""The application's addresses, and a page that does nothing: the floor of a page's time."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

EMPTY = "/bench/empty/"
_texts = {"template": engines["django"].from_string("")}


def give_empty_page(text: str) -> None:
    """The empty view renders a template of this text from now on."""
    _texts["template"] = engines["django"].from_string(text)


def empty(request: HttpRequest) -> HttpResponse:
    return HttpResponse(_texts["template"].render({}, request))


urlpatterns = [path(EMPTY.lstrip("/"), empty), path("", include("config.urls"))]
