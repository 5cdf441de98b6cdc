from django.apps import AppConfig


class PlansConfig(AppConfig):
    name = "plans"
    verbose_name = "Plans and follow-ups"

    def ready(self) -> None:
        """Registers what follows an athlete's standing and the merging of two athletes."""
        import plans.services.merging
        import plans.services.responses  # noqa: F401
