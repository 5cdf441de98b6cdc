"""The pages of plans, one list a subject."""

from plans.urls_family import urlpatterns_family
from plans.urls_followups import urlpatterns_followups
from plans.urls_library import urlpatterns_library
from plans.urls_planpage import urlpatterns_planpage
from plans.urls_sheets import urlpatterns_sheets

app_name = "plans"
urlpatterns = [
    *urlpatterns_family,
    *urlpatterns_followups,
    *urlpatterns_library,
    *urlpatterns_planpage,
    *urlpatterns_sheets,
]
