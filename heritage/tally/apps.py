from django.apps import AppConfig


class TallyConfig(AppConfig):
    name = "heritage.tally"

    def ready(self) -> None:
        """Answer what growth and gatherings ask of the tally above them."""
        from heritage.gatherings.models import beets_of
        from heritage.growth.models import pulled_of
        from heritage.tally.models import Entry
        from heritage.tally.selectors import pulled_by_plot

        pulled_of.answered_by(pulled_by_plot)
        beets_of.answered_by(Entry.objects.by_person_at)
