from django.apps import AppConfig


class GroundsConfig(AppConfig):
    name = "heritage.grounds"
