from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "safety"
    verbose_name = "The safety record"
    default_auto_field = "django.db.models.BigAutoField"
