from django.apps import AppConfig


class GatheringsConfig(AppConfig):
    name = "heritage.gatherings"

    def ready(self) -> None:
        """Answer what people, briefings and growth ask of the gatherings above them."""
        from heritage.briefings.models import stations_asking
        from heritage.gatherings.models import Gathering, SignUp, Station, Weighing
        from heritage.growth.models import leads_any
        from heritage.people import models as people

        people.posted_places.answered_by(SignUp.objects.posted)
        people.posted_gatherings.answered_by(Gathering.objects.going_ahead)
        people.decisions_on.answered_by(Weighing.objects.on)
        people.gathering_alone.answered_by(SignUp.objects.where_alone)
        stations_asking.answered_by(Station.objects.asking)
        leads_any.answered_by(Gathering.objects.has_led)
