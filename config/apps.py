from django.apps import AppConfig


class WiringConfig(AppConfig):
    """The wiring: no rows, only checks of the installation."""

    name = "config"

    def ready(self) -> None:
        from config import checks  # noqa: F401 - importing registers them
