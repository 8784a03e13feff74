from django.apps import AppConfig


class DamConfig(AppConfig):
    name = "heritage.dam"

    def ready(self) -> None:
        """Answer what briefings, the ground and lots ask of the dams above them."""
        from heritage.briefings.models import turns_asking
        from heritage.dam.filling.selectors import why_not_corrected
        from heritage.dam.models import Dam, RotaPlan
        from heritage.grounds.selectors import dam_names
        from heritage.lots.services import part_of_a_filling

        turns_asking.answered_by(RotaPlan.objects.asking)
        dam_names.answered_by(Dam.objects.names)
        part_of_a_filling.answered_by(why_not_corrected)
