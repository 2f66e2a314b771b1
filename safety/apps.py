from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "safety"
    verbose_name = "The safety record"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from inventory import handling, restrictions
        from safety.queries.allowed import HouseRules
        from safety.queries.levels import HandlingLevels

        restrictions.register(HouseRules())
        handling.register(HandlingLevels())
