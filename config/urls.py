from django.contrib import admin
from django.urls import include, path
from django_otp.plugins.otp_static.models import StaticDevice
from django_otp.plugins.otp_totp.models import TOTPDevice

from athletes.views.door import SignInView
from desk.running.accounts import shown_at_the_door

# The library's own pages would show every account's secret key to admins.
admin.site.unregister([TOTPDevice, StaticDevice])

handler500 = "desk.views.errors.server_error"

sign_in = SignInView.as_view(extra_context=shown_at_the_door())

urlpatterns = [
    path("", include("desk.urls")),
    path("athletes/", include("athletes.urls")),
    path("", include("sessions.urls")),
    path("", include("metrics.urls")),
    path("", include("plans.urls")),
    path("api/", include("desk.api_urls")),
    path("sign-in/", sign_in, name="login"),
    path("", include("athletes.door_urls")),
    path("account/", include("athletes.account_urls")),
    path("admin/", admin.site.urls),
]
