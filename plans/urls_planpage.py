"""An athlete's plan, giving, and each work of it."""

from django.urls import path

from plans.views import giving, plan, prescription

ATHLETE = "athletes/<uuid:uuid>/plan/"
WORK = f"{ATHLETE}<uuid:prescription_uuid>/"

urlpatterns_planpage = [
    path(ATHLETE, plan.plan, name="plan"),
    path(f"{ATHLETE}choose/", plan.choose, name="choose"),
    path(f"{ATHLETE}bars/", plan.bars, name="bars"),
    path(f"{ATHLETE}give/", giving.give, name="give"),
    path(f"{ATHLETE}take-back/", giving.take_back, name="take-back"),
    path(WORK, prescription.change, name="prescription"),
    path(f"{WORK}stop/", prescription.stop, name="stop"),
    path(f"{WORK}go-on/", prescription.go_on, name="go-on"),
    path(f"{WORK}show/", prescription.show, name="show"),
]
