from django.urls import path

from desk.views import home, own, reading, record, roster, search, today

app_name = "desk"
urlpatterns = [
    path("", home.home, name="today"),
    path("coming/", today.coming, name="coming"),
    path("roster/", roster.roster, name="roster"),
    path("roster/csv/", roster.save_roster, name="roster-csv"),
    path("reading-by-program/", reading.reading_by_program, name="reading-by-program"),
    path("search/", search.search_page, name="search"),
    path("athletes/<uuid:uuid>/", record.record, name="record"),
    path("mine/<uuid:uuid>/", own.mine, name="mine"),
]
