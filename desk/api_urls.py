from django.urls import path
from drf_spectacular.views import SpectacularAPIView
from rest_framework.routers import DefaultRouter

from desk.viewsets import AthleteViewSet, FindingViewSet, SessionViewSet, ShareViewSet

app_name = "api"
router = DefaultRouter()
router.include_format_suffixes = False
router.register("athletes", AthleteViewSet, basename="athlete")
router.register("sessions", SessionViewSet, basename="session")
router.register("shares", ShareViewSet, basename="share")
router.register("findings", FindingViewSet, basename="finding")

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    *router.urls,
]
