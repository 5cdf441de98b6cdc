from django.urls import path

from athletes.views import care, notes, people

app_name = "athletes"
urlpatterns = [
    path("new/", people.new, name="new"),
    path("<uuid:uuid>/edit/", people.edit, name="edit"),
    path("<uuid:uuid>/level/", people.level, name="level"),
    path("<uuid:uuid>/body-size/", people.body_size, name="body-size"),
    path("<uuid:uuid>/notes/add/", notes.add, name="note-add"),
    path("<uuid:uuid>/notes/<uuid:note_uuid>/withdraw/", notes.withdraw, name="note-withdraw"),
    path("<uuid:uuid>/notes/<uuid:note_uuid>/restore/", notes.restore, name="note-restore"),
    path("<uuid:uuid>/availability/", care.availability, name="availability"),
    path("<uuid:uuid>/pain/", care.pain, name="pain"),
    path("<uuid:uuid>/pain/<uuid:report_uuid>/clearance/", care.clearance, name="clearance"),
    path("<uuid:uuid>/consent/", care.consent, name="consent"),
]
