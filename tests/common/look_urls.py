"""The site without its trades, and one page that uses every word of the look."""

from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

from heritage.common.access import Role, opens_to
from tests.common.look_form import EveningForm

SPECIMEN = Path(__file__).with_name("look_specimen.html")
ROOMS = [
    "Today",
    "Season",
    "Gatherings",
    "Tally",
    "Dam",
    "Safety",
    "Pictures",
    "Sheets",
]


@opens_to(Role.VISITOR)
def specimen(request: HttpRequest) -> HttpResponse:
    form = EveningForm(request.GET if "name" in request.GET else None)
    rooms = [(name, f"#{name}", name == "Today") for name in ROOMS]
    template = engines["django"].from_string(SPECIMEN.read_text())
    return HttpResponse(template.render({"form": form, "rooms": rooms}, request))


urlpatterns = [
    path("account/", include("allauth.urls")),
    path("", include("heritage.common.urls")),
    path("specimen/", specimen),
]
