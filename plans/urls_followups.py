from django.urls import path

from plans.views import calendar, deciding, follow_ups, reminders

urlpatterns_followups = [
    path("follow-ups/", follow_ups.follow_ups, name="follow-ups"),
    path("follow-ups/csv/", follow_ups.save_follow_ups, name="follow-ups-csv"),
    path("follow-ups/month/", follow_ups.month, name="follow-ups-month"),
    path("follow-ups/<uuid:uuid>/", deciding.follow_up, name="follow-up"),
    path("follow-ups/<uuid:uuid>/close/", deciding.close, name="follow-up-close"),
    path("follow-ups/<uuid:uuid>/continue/", deciding.carry_on, name="follow-up-continue"),
    path("follow-ups/<uuid:uuid>/change/", deciding.change, name="follow-up-change"),
    path("follow-ups/<uuid:uuid>/reopen/", deciding.reopen, name="follow-up-reopen"),
    path("calendar/<str:secret>.ics", calendar.calendar, name="calendar"),
    path("account/reminders/", reminders.reminders, name="reminders"),
    path("account/reminders/make/", reminders.make, name="reminders-make"),
    path("account/reminders/revoke/", reminders.revoke, name="reminders-revoke"),
    path("account/reminders/letter/", reminders.letter, name="reminders-letter"),
]
