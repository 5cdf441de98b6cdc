from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path

handler500 = "desk.views.errors.server_error"

urlpatterns = [
    path("", include("desk.urls")),
    path("athletes/", include("athletes.urls")),
    path("", include("sessions.urls")),
    path("", include("metrics.urls")),
    path("api/", include("desk.api_urls")),
    path("sign-in/", auth_views.LoginView.as_view(redirect_authenticated_user=True), name="login"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="logout"),
    path("admin/", admin.site.urls),
]
