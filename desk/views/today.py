from django.http import HttpRequest, HttpResponse


def today(request: HttpRequest) -> HttpResponse:
    return HttpResponse("Today")
