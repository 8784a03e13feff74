from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "heritage.desk"

    def ready(self) -> None:
        """Answer what people ask of the subjects above them."""
        from heritage.desk.mine.selectors import my_part
        from heritage.people import models as people

        people.my_part.answered_by(my_part)
