from django.urls import path

from athletes.views import account, codes

app_name = "account"
urlpatterns = [
    path("", account.home, name="home"),
    path("details/", account.details, name="details"),
    path("password/", account.password, name="password"),
    path("codes/", codes.codes, name="codes"),
    path("codes/recovery/", codes.renew, name="codes-renew"),
    path("codes/off/", codes.turn_off, name="codes-off"),
    path("sign-ins/<uuid:uuid>/end/", account.end_one, name="end-sign-in"),
    path("sign-ins/end-others/", account.end_others, name="end-others"),
]
