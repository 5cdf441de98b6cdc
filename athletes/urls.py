from django.urls import path

from athletes.views import care, check_ins, family, groups, invitations, merging, notes, people

app_name = "athletes"
urlpatterns = [
    path("new/", people.new, name="new"),
    path("<uuid:uuid>/edit/", people.edit, name="edit"),
    path("<uuid:uuid>/same-person/", merging.same_person, name="same-person"),
    path("<uuid:uuid>/apart-again/", merging.apart_again, name="apart-again"),
    path("<uuid:uuid>/level/", people.level, name="level"),
    path("<uuid:uuid>/body-size/", people.body_size, name="body-size"),
    path("<uuid:uuid>/notes/add/", notes.add, name="note-add"),
    path("<uuid:uuid>/notes/<uuid:note_uuid>/withdraw/", notes.withdraw, name="note-withdraw"),
    path("<uuid:uuid>/notes/<uuid:note_uuid>/restore/", notes.restore, name="note-restore"),
    path("<uuid:uuid>/availability/", care.availability, name="availability"),
    path("<uuid:uuid>/pain/", care.pain, name="pain"),
    path("<uuid:uuid>/pain/<uuid:report_uuid>/clearance/", care.clearance, name="clearance"),
    path(
        "<uuid:uuid>/pain/<uuid:report_uuid>/clearance/take-back/",
        care.clearance_take_back,
        name="clearance-take-back",
    ),
    path("<uuid:uuid>/check-in/", check_ins.check_in, name="check-in"),
    path("<uuid:uuid>/check-in/height/", check_ins.height, name="check-in-height"),
    path("<uuid:uuid>/check-in/<uuid:check_in_uuid>/take-back/", check_ins.take_back, name="check-in-take-back"),
    path("<uuid:uuid>/consent/", care.consent, name="consent"),
    path("<uuid:uuid>/agree/", family.agree_online, name="agree"),
    path("<uuid:uuid>/consent/take-back/", family.take_back, name="consent-withdraw"),
    path("<uuid:uuid>/people/", family.my_people, name="my-people"),
    path("<uuid:uuid>/people/<uuid:guardian_uuid>/", family.let_read, name="let-read"),
    path("<uuid:uuid>/invite/", invitations.invite_family, name="invite"),
    path("<uuid:uuid>/invitations/<uuid:invitation_uuid>/take-back/", invitations.take_back, name="invitation-revoke"),
    path("invite/", invitations.invite_person, name="invite-person"),
    path("invite/<uuid:uuid>/take-back/", invitations.take_back_person, name="person-invitation-revoke"),
    path("invitation/<str:secret>/", invitations.open_link, name="invitation"),
    path("groups/assign/", groups.assign, name="group-assign"),
    path("groups/<uuid:uuid>/availability/", groups.availability, name="group-availability"),
    path("groups/<uuid:uuid>/season/", groups.season, name="group-season"),
    path("groups/<uuid:uuid>/acts/<uuid:act>/undo/", groups.undo, name="group-undo"),
]
