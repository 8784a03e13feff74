from django.apps import AppConfig


class MachinesConfig(AppConfig):
    name = "heritage.machines"
