"""Pages for what no view answers: the unexpected, with a reference number, and a form that is too old to be taken."""

from django.http import HttpRequest, HttpResponse
from django.template import loader

from athletes.reference import request_reference


def server_error(request: HttpRequest) -> HttpResponse:
    body = loader.get_template("500.html").render({"reference": request_reference.get()})
    return HttpResponse(body, status=500)


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form without the token of this sign-in. `reason` is for developers and stays unsaid.

    Asked for by a part of a page, it is a notice on that page, where what was typed stays.
    """
    if request.headers.get("HX-Request"):
        notice = loader.get_template("_form_too_old.html").render()
        return HttpResponse(notice, status=403, headers={"HX-Retarget": "#notices", "HX-Reswap": "innerHTML"})
    return HttpResponse(loader.get_template("403_csrf.html").render(), status=403)
