from django.apps import AppConfig


class TallyConfig(AppConfig):
    name = "heritage.tally"

    def ready(self) -> None:
        """Answer what growth asks of the tally above it."""
        from heritage.growth.models import pulled_of
        from heritage.tally.selectors import pulled_by_plot

        pulled_of.answered_by(pulled_by_plot)
