from django.apps import AppConfig


class SessionsConfig(AppConfig):
    """Django's own sessions app owns the label "sessions", hence ours."""

    name = "sessions"
    label = "capture_sessions"
    verbose_name = "Captures"

    def ready(self) -> None:
        """Registers what merging two athletes asks of this room."""
        import sessions.services.merging  # noqa: F401
