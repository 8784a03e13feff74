from django.apps import AppConfig


class DamConfig(AppConfig):
    name = "heritage.dam"
