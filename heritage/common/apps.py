from django.apps import AppConfig


class CommonConfig(AppConfig):
    name = "heritage.common"
    verbose_name = "Common ground"
