from django.urls import path

from sessions.views import opening, sending, uploads

app_name = "sessions"
urlpatterns = [
    path("athletes/<uuid:uuid>/open-session/", opening.open_new, name="session-open"),
    path("sessions/<uuid:uuid>/arrivals/", opening.arrivals, name="session-arrivals"),
    path("sessions/<uuid:uuid>/close/", opening.close, name="session-close"),
    path("sessions/<uuid:uuid>/reopen/", opening.reopen, name="session-reopen"),
    path("uploads/", uploads.uploads, name="uploads"),
    path("uploads/receive/", uploads.receive, name="upload-receive"),
    path("uploads/<uuid:uuid>/row/", uploads.row, name="upload-row"),
    path("uploads/<uuid:uuid>/original/", sending.original, name="original"),
    path("uploads/<uuid:uuid>/read-again/", uploads.again, name="upload-again"),
    path("uploads/<uuid:uuid>/withdraw/", uploads.withdraw, name="upload-withdraw"),
    path("uploads/<uuid:uuid>/restore/", uploads.restore, name="upload-restore"),
]
