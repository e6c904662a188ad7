from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self) -> None:
        from shop.sessions import note_log_in

        user_logged_in.connect(note_log_in, dispatch_uid="shop.note_log_in")
