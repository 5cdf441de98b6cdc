from django.urls import path

from metrics.views import (
    compare,
    csv,
    imports,
    match,
    motion,
    moving_throws,
    recordings,
    screen_station,
    screens,
    session,
    sharing,
    starting_point,
    throws,
    trends,
)

SESSION_PAGES = [
    path("sessions/<uuid:uuid>/", session.session, name="session"),
    path("sessions/<uuid:uuid>/withdraw/", session.withdraw, name="session-withdraw"),
    path("sessions/<uuid:uuid>/move/", session.move, name="session-move"),
    path("sessions/<uuid:uuid>/throws/move/", moving_throws.move_throws_page, name="throws-move"),
    path("sessions/<uuid:uuid>/throws/move-back/", moving_throws.move_back, name="throws-move-back"),
    path("sessions/<uuid:uuid>/restore/", session.restore, name="session-restore"),
    path("sessions/<uuid:uuid>/starting-point/", starting_point.answer, name="starting-point"),
    path(
        "sessions/<uuid:uuid>/starting-point/<uuid:answer_uuid>/take-back/",
        starting_point.take_back,
        name="starting-point-take-back",
    ),
    path("sessions/<uuid:uuid>/findings/<slug:metric>/", session.finding, name="finding"),
    path("sessions/<uuid:uuid>/findings.csv", csv.session_findings, name="session-csv"),
    path("sessions/<uuid:uuid>/readings.csv", csv.session_throws, name="session-throws-csv"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/exclude/", throws.exclude, name="throw-exclude"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/include/", throws.include, name="throw-include"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/conditions/", throws.conditions, name="throw-conditions"),
]

MOTION_PAGES = [
    path("sessions/<uuid:uuid>/motion/", motion.motion, name="session-motion"),
    path("sessions/<uuid:uuid>/curves/", motion.curves, name="session-curves"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/figure/", motion.figure, name="throw-figure"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/events/", motion.events, name="throw-events"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/events/move/", motion.move, name="throw-event-move"),
    path("sessions/<uuid:uuid>/throws/<uuid:throw_uuid>/events/restore/", motion.restore, name="throw-event-restore"),
]

IMPORT_PAGES = [
    path("uploads/lines/", imports.lines, name="import-lines"),
    path("uploads/accept-ready/", imports.accept_ready, name="import-accept-ready"),
    path("uploads/<uuid:uuid>/", imports.page, name="import"),
    path("uploads/<uuid:uuid>/match/", match.match, name="match"),
    path("uploads/<uuid:uuid>/match/row/", match.row, name="match-row"),
    path("uploads/<uuid:uuid>/match/leave-out/", match.sheet_out, name="match-leave-out"),
    path("uploads/<uuid:uuid>/labels/", recordings.labels, name="labels"),
    path("uploads/<uuid:uuid>/setup/", recordings.choose_setup, name="import-setup"),
    path("uploads/<uuid:uuid>/conditions/", imports.conditions, name="import-conditions"),
    path("uploads/<uuid:uuid>/keep-values/", imports.keep_values, name="import-keep-values"),
    path("uploads/<uuid:uuid>/accept/", imports.accept, name="import-accept"),
    path("uploads/<uuid:uuid>/undo/", imports.undo, name="import-undo"),
    path("uploads/<uuid:uuid>/bring-back/", imports.bring_back, name="import-bring-back"),
    path("uploads/<uuid:uuid>/problems.csv", imports.problems, name="import-problems"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/", imports.unit, name="unit"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/athlete/", imports.choose_athlete, name="unit-athlete"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/date/", imports.set_date, name="unit-date"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/target/", imports.set_target, name="unit-target"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/leave-out/", imports.leave_out, name="unit-leave-out"),
    path("uploads/<uuid:uuid>/parts/<uuid:unit_uuid>/take-back/", imports.take_back, name="unit-take-back"),
]

SCREEN_PAGES = [
    path("athletes/<uuid:uuid>/screens/", screens.screens, name="screens"),
    path("athletes/<uuid:uuid>/screens/draft/", screens.draft, name="screens-draft"),
    path("athletes/<uuid:uuid>/screens/draft/throw-away/", screens.throw_away, name="screens-throw-away"),
    path("screens/saved/<uuid:uuid>/", screens.saved, name="screens-saved"),
    path("screens/saved/<uuid:uuid>/undo/", screens.undo, name="screens-undo"),
    path("screens/station/", screen_station.station, name="screens-station"),
    path("screens/blank/", screen_station.blank, name="screens-blank"),
]

SHARE_PAGES = [
    path("sessions/<uuid:uuid>/share/", sharing.share, name="share"),
    path("sessions/<uuid:uuid>/share/<uuid:share_uuid>/take-back/", sharing.take_back, name="share-take-back"),
    path("sessions/<uuid:uuid>/share/<uuid:share_uuid>/restore/", sharing.bring_back, name="share-restore"),
    path("sessions/<uuid:uuid>/share/<uuid:share_uuid>/leave/", sharing.leave, name="share-leave"),
]

COMPARE_PAGES = [
    path("athletes/<uuid:uuid>/compare/", compare.compare, name="compare"),
    path("athletes/<uuid:uuid>/compare/curves/", compare.curves, name="compare-curves"),
    path("athletes/<uuid:uuid>/compare.csv", compare.table, name="compare-csv"),
]
TREND_PAGES = [
    path("athletes/<uuid:uuid>/trends/", trends.trends, name="trends"),
    path("athletes/<uuid:uuid>/trends.csv", trends.trends_csv, name="trends-csv"),
]

app_name = "metrics"
urlpatterns = [*SESSION_PAGES, *MOTION_PAGES, *IMPORT_PAGES, *SCREEN_PAGES, *SHARE_PAGES, *TREND_PAGES, *COMPARE_PAGES]
