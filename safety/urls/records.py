"""Inspections, waste, training, incidents, the calendar."""

from django.urls import path

from safety.views import records

urlpatterns = [
    path("records/", records.records, name="records"),
    path("records/calendar/", records.calendar, name="calendar"),
    path("records/calendar/new/", records.calendar_make, name="calendar_make"),
    path("calendar-links/<int:pk>/end/", records.calendar_end, name="calendar_end"),
    path("inspections/", records.inspections, name="inspections"),
    path("inspections/new/", records.inspection_add, name="inspection_add"),
    path("inspections/<int:pk>/mended/", records.inspection_mended, name="inspection_mended"),
    path("inspections/<int:pk>/withdraw/", records.inspection_withdraw, name="inspection_withdraw"),
    path("waste/", records.waste, name="waste"),
    path("waste/new/", records.waste_add, name="waste_add"),
    path("waste/<int:pk>/", records.waste_container, name="waste_container"),
    path("waste/<int:pk>/contents/", records.waste_contents, name="waste_contents"),
    path("waste/<int:pk>/full/", records.waste_full, name="waste_full"),
    path("waste/<int:pk>/collected/", records.waste_collected, name="waste_collected"),
    path("waste/<int:pk>/take-back/", records.waste_take_back, name="waste_take_back"),
    path("waste/<int:pk>/withdraw/", records.waste_withdraw, name="waste_withdraw"),
    path("training/", records.training, name="training"),
    path("training/sign-off/", records.sign_off_add, name="sign_off_add"),
    path("rules-versions/new/", records.rules_version_add, name="rules_version_add"),
    path("rules-versions/<int:pk>/", records.rules_version, name="rules_version"),
    path("sign-offs/<int:pk>/withdraw/", records.sign_off_withdraw, name="sign_off_withdraw"),
    path("sign-offs/<int:pk>/left/", records.sign_off_left, name="sign_off_left"),
    path("incidents/", records.incidents, name="incidents"),
    path("incidents/new/", records.incident_add, name="incident_add"),
    path("incidents/<int:pk>/", records.incident, name="incident"),
    path("incidents/<int:pk>/note/", records.incident_note, name="incident_note"),
    path("incidents/<int:pk>/close/", records.incident_close, name="incident_close"),
    path("incidents/<int:pk>/reopen/", records.incident_reopen, name="incident_reopen"),
]
