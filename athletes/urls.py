from django.urls import URLPattern

app_name = "athletes"
urlpatterns: list[URLPattern] = []
