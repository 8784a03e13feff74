from django.apps import AppConfig


class LotsConfig(AppConfig):
    name = "heritage.lots"

    def ready(self) -> None:
        """Make a lot of what the tally says was pulled."""
        from heritage.lots.services import ensure_lot
        from heritage.tally.services import entry_written

        entry_written.answered_by(ensure_lot)
