"""The site without its trades, and one page that uses every word of the look."""

from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

from heritage.common.access import Role, opens_to
from heritage.desk.request import Door
from tests.common.look_form import EveningForm

SPECIMEN = Path(__file__).with_name("look_specimen.html")
PLACES = ["Today", "Gatherings", "Crop", "People", "More"]
ROOMS = ["Lots", "Growing", "Tally", "Dam", "After the dam", "Season"]


@opens_to(Role.VISITOR)
def specimen(request: HttpRequest) -> HttpResponse:
    form = EveningForm(request.GET if "name" in request.GET else None)
    places = [Door(name, f"#{name}", name == "Crop", name.lower()) for name in PLACES]
    rooms = [Door(name, f"#{name}", name == "Tally") for name in ROOMS]
    template = engines["django"].from_string(SPECIMEN.read_text())
    context = {"form": form, "doors": places, "rooms": rooms}
    return HttpResponse(template.render(context, request))


urlpatterns = [
    path("account/", include("allauth.urls")),
    path("", include("heritage.common.urls")),
    path("specimen/", specimen),
]
