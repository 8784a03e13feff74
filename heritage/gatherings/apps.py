from django.apps import AppConfig


class GatheringsConfig(AppConfig):
    name = "heritage.gatherings"
