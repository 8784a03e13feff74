from django.apps import AppConfig


class DiaryConfig(AppConfig):
    name = "heritage.diary"
