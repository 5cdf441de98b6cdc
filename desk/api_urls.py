from django.urls import path
from drf_spectacular.views import SpectacularAPIView
from rest_framework.routers import DefaultRouter

app_name = "api"
router = DefaultRouter()

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    *router.urls,
]
