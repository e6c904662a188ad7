from django.apps import AppConfig


class CallbacksConfig(AppConfig):
    name = "callbacks"
