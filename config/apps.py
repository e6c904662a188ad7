from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"

    def ready(self) -> None:
        # Tasks belong to whichever Celery app was made last; this one has to be there before the first is sent.
        import config.celery  # noqa: F401
