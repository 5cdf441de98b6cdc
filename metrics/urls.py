from django.urls import URLPattern

app_name = "metrics"
urlpatterns: list[URLPattern] = []
