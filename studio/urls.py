"""The only place that knows every app."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path, re_path

from inventory.api.urls import reference
from safety.api.urls import reference as hazards
from safety.views.records import calendar_feed
from studio import home, people
from studio.api.views import NotThere

urlpatterns = [
    path("", home.front, name="front"),
    path("sign-in/", auth_views.LoginView.as_view(template_name="studio/sign_in.html"), name="sign_in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign_out"),
    path(
        "password/",
        auth_views.PasswordChangeView.as_view(template_name="studio/password.html", success_url="/"),
        name="password",
    ),
    path("calendar/<str:token>.ics", calendar_feed, name="calendar_feed"),
    path("s/<slug:studio>/", home.today, name="today"),
    path("s/<slug:studio>/people/", people.people, name="people"),
    path("s/<slug:studio>/people/<int:pk>/role/", people.role, name="person_role"),
    path("s/<slug:studio>/people/<int:pk>/remove/", people.remove, name="person_remove"),
    path("s/<slug:studio>/facts/", people.facts, name="studio_facts"),
    path("s/<slug:studio>/", include("inventory.urls")),
    path("s/<slug:studio>/", include("safety.urls")),
    path("api/", include("studio.api.urls")),
    path("api/", include(reference)),
    path("api/", include(hazards)),
    path("api/s/<slug:studio>/", include("inventory.api.urls")),
    path("api/s/<slug:studio>/", include("safety.api.urls")),
    # Further apps add their own include below api/s/<slug:studio>/ here, above the last line of the API.
    re_path(r"^api/", NotThere.as_view(), name="api_not_there"),
    path("admin/", admin.site.urls),
]
