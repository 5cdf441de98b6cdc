"""The door beside the sign-in page itself, which config/urls.py tells of the demonstration."""

from django.urls import path
from django.views.generic import RedirectView

from athletes.views import codes, door

urlpatterns = [
    path("sign-in/code/", codes.at_the_door, name="sign-in-code"),
    path("forgotten-password/", door.forgotten, name="forgotten-password"),
    path("new-password/done/", door.new_password_done, name="new-password-done"),
    path("new-password/<uidb64>/<token>/", door.NewPasswordView.as_view(), name="new-password"),
    path("sign-out/", door.SignOutView.as_view(), name="logout"),
    # The administration has doors of its own, which know no codes: they lead to ours.
    path("admin/login/", door.admin_door),
    path("admin/logout/", door.SignOutView.as_view()),
    path("admin/password_change/", RedirectView.as_view(pattern_name="account:password")),
]
