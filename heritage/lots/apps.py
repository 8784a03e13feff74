from django.apps import AppConfig


class LotsConfig(AppConfig):
    name = "heritage.lots"

    def ready(self) -> None:
        """Make a lot of what the tally says was pulled, and say what still stands."""
        from heritage.gatherings.land.selectors import field_of
        from heritage.lots.selectors import field_now
        from heritage.lots.services import ensure_lot
        from heritage.tally.services import entry_written

        entry_written.answered_by(ensure_lot)
        field_of.answered_by(field_now)
