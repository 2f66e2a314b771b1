from django.apps import AppConfig, apps


class StudioConfig(AppConfig):
    name = "studio"
    verbose_name = "Studios and people"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Where a service checks a row, it speaks the words of the forms."""
        from studio.field_words import name_model_fields  # needs the settings and the apps

        for model in apps.get_models():
            name_model_fields(model)
