from django.apps import AppConfig


class PicturesConfig(AppConfig):
    name = "heritage.pictures"

    def ready(self) -> None:
        """Answer what the subjects below ask of pictures."""
        from heritage.growth import selectors as growth
        from heritage.lots.selectors import pictures_of
        from heritage.pictures.models import Picture

        pictures_of.answered_by(Picture.objects.of_lot)
        growth.pictures_of.answered_by(Picture.objects.of_observations)
