from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "heritage.fieldlog"
