from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "heritage.fieldlog"

    def ready(self) -> None:
        """Answer what gatherings ask of the log above them."""
        from heritage.fieldlog.models import Thunder
        from heritage.gatherings.models import thunder_heard

        thunder_heard.answered_by(Thunder.objects.moments)
