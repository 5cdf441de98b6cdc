from django.urls import path

from desk.views import groups, here, home, own, reading, record, roster, search, today, turning

app_name = "desk"
urlpatterns = [
    path("", home.home, name="today"),
    path("coming/", today.coming, name="coming"),
    path("here/", here.here, name="here"),
    path("here/to-check-in/", here.to_check_in, name="to-check-in"),
    path("groups/", groups.all_groups, name="training-groups"),
    path("groups/<uuid:uuid>/", groups.one_group, name="group"),
    path("roster/", roster.roster, name="roster"),
    path("roster/csv/", roster.save_roster, name="roster-csv"),
    path("reading-by-program/", reading.reading_by_program, name="reading-by-program"),
    path("search/", search.search_page, name="search"),
    path("athletes/<uuid:uuid>/", record.record, name="record"),
    path("turn/", turning.turn, name="turn"),
    path("turn/pin/", turning.pin, name="turn-pin"),
    path("turn/back/", turning.back, name="turn-back"),
    path("turn/forgotten/", turning.forgotten, name="turn-forgotten"),
    path("mine/<uuid:uuid>/", own.mine, name="mine"),
    path("mine/<uuid:uuid>/looks/", own.looks, name="looks"),
    path("mine/<uuid:uuid>/looks/csv/", own.save_looks, name="looks-csv"),
    path("shared/<uuid:uuid>/", own.shared, name="shared"),
]
