from django.apps import AppConfig


class DamConfig(AppConfig):
    name = "heritage.dam"

    def ready(self) -> None:
        """Answer what briefings and the ground ask of the dams above them."""
        from heritage.briefings.models import turns_asking
        from heritage.dam.models import Dam, RotaPlan
        from heritage.grounds.selectors import dam_names

        turns_asking.answered_by(RotaPlan.objects.asking)
        dam_names.answered_by(Dam.objects.names)
