"""What each regime says, and handling levels."""

from django.urls import path

from safety.views import regimes

urlpatterns = [
    path("regimes/", regimes.regimes, name="regimes"),
    path("regimes/<str:code>/", regimes.regime, name="regime"),
    path("limits/", regimes.limits, name="limits"),
    path("label-check/", regimes.label_check, name="label_check"),
    path("handling-levels/", regimes.levels, name="handling_levels"),
    path("handling-levels/set/", regimes.level_rule, name="level_rule"),
    path("house-rules/<int:pk>/end-level/", regimes.level_end, name="level_end"),
]
