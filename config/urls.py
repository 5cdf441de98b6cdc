from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path

from desk.running.accounts import shown_at_the_door

handler500 = "desk.views.errors.server_error"

sign_in = auth_views.LoginView.as_view(redirect_authenticated_user=True, extra_context=shown_at_the_door())

urlpatterns = [
    path("", include("desk.urls")),
    path("athletes/", include("athletes.urls")),
    path("", include("sessions.urls")),
    path("", include("metrics.urls")),
    path("api/", include("desk.api_urls")),
    path("sign-in/", sign_in, name="login"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="logout"),
    path("admin/", admin.site.urls),
]
