from django.apps import AppConfig


class ArchiveConfig(AppConfig):
    name = "heritage.archive"

    def ready(self) -> None:
        """Let no archive keep somebody who was erased."""
        from heritage.archive.services import drop_all
        from heritage.privacy.erasing.services import somebody_erased

        somebody_erased.answered_by(drop_all)
