from django.apps import AppConfig


class FibreConfig(AppConfig):
    name = "heritage.fibre"
