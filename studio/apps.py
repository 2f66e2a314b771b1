from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "studio"
    verbose_name = "Studios and people"
    default_auto_field = "django.db.models.BigAutoField"
