from django.urls import path

from sessions.views import sending, uploads

app_name = "sessions"
urlpatterns = [
    path("uploads/", uploads.uploads, name="uploads"),
    path("uploads/receive/", uploads.receive, name="upload-receive"),
    path("uploads/<uuid:uuid>/row/", uploads.row, name="upload-row"),
    path("uploads/<uuid:uuid>/original/", sending.original, name="original"),
    path("uploads/<uuid:uuid>/read-again/", uploads.again, name="upload-again"),
    path("uploads/<uuid:uuid>/withdraw/", uploads.withdraw, name="upload-withdraw"),
    path("uploads/<uuid:uuid>/restore/", uploads.restore, name="upload-restore"),
]
