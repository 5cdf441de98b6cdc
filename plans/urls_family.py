"""Ticks of today's work, and throws of a day."""

from django.urls import path

from plans.views import throwing, work

urlpatterns_family = [
    path("mine/to-do/<uuid:uuid>/tick/", work.tick, name="work-tick"),
    path("mine/to-do/<uuid:uuid>/throws/", work.throws, name="work-throws"),
    path("athletes/<uuid:uuid>/throwing/", throwing.throwing, name="throwing"),
    path("athletes/<uuid:uuid>/throwing.csv", throwing.save, name="throwing-csv"),
    path("athletes/<uuid:uuid>/throwing/<uuid:count_uuid>/", throwing.change, name="throws-change"),
    path("athletes/<uuid:uuid>/throwing/<uuid:count_uuid>/withdraw/", throwing.withdraw, name="throws-withdraw"),
    path("athletes/<uuid:uuid>/throwing/<uuid:count_uuid>/restore/", throwing.restore, name="throws-restore"),
]
