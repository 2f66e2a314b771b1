"""The only place that knows every app."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path

from studio import home

urlpatterns = [
    path("", home.front, name="front"),
    path("sign-in/", auth_views.LoginView.as_view(template_name="studio/sign_in.html"), name="sign_in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign_out"),
    path(
        "password/",
        auth_views.PasswordChangeView.as_view(template_name="studio/password.html", success_url="/"),
        name="password",
    ),
    path("s/<slug:studio>/", home.today, name="today"),
    path("s/<slug:studio>/", include("inventory.urls")),
    path("s/<slug:studio>/", include("safety.urls")),
    path("admin/", admin.site.urls),
]
