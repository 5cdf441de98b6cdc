from django.apps import AppConfig


class MetricsConfig(AppConfig):
    name = "metrics"
    verbose_name = "Metrics and ranges"

    def ready(self) -> None:
        """Registers this room's stages of the pipeline, and its ways to undo."""
        import metrics.services.imports.accepting
        import metrics.services.imports.reading
        import metrics.services.merging
        import metrics.services.moving
        import metrics.services.scoring  # noqa: F401
