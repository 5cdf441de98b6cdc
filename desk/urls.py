from django.urls import path

from desk.views import today

app_name = "desk"
urlpatterns = [
    path("", today.today, name="today"),
]
