from django.urls import path

from heritage.briefings import views as briefings
from heritage.briefings.emergency import views as emergency
from heritage.briefings.hazards import views as hazards

app_name = "briefings"

urlpatterns = [
    path("cautions/", hazards.cautions, name="cautions"),
    path("hazards/", hazards.hazards, name="hazards"),
    path("hazards/add/", hazards.take_hazard, name="add_hazard"),
    path("hazards/starting-library/", hazards.load_library, name="load_library"),
    path("hazards/sheet/", hazards.risk_sheet, name="risk_sheet"),
    path("hazards/changes/", hazards.hazard_changes, name="hazard_changes"),
    path("hazards/<int:pk>/", hazards.hazard, name="hazard"),
    path("hazards/<int:pk>/edit/", hazards.take_hazard, name="edit_hazard"),
    path("hazards/<int:pk>/look-again/", hazards.look_again, name="look_again"),
    path("emergency/", emergency.emergency, name="emergency"),
    path("emergency/edit/", emergency.edit_emergency, name="edit_emergency"),
    path("emergency/sheet/", emergency.emergency_sheet, name="emergency_sheet"),
    path(
        "emergency/first-aid/add/",
        emergency.take_first_aid_point,
        name="add_first_aid_point",
    ),
    path(
        "emergency/first-aid/<int:pk>/",
        emergency.take_first_aid_point,
        name="edit_first_aid_point",
    ),
    path("compose/", briefings.compose, name="compose"),
    path("starting-briefings/", briefings.load_starting, name="load_starting"),
    path("<int:pk>/", briefings.briefing, name="briefing"),
    path("<int:pk>/edit/", briefings.edit, name="edit_briefing"),
    path("<int:pk>/publish/", briefings.publishing, name="publishing"),
    path("<int:pk>/tick-off/", briefings.tick_off, name="tick_off"),
    path("<int:pk>/sheet/", briefings.briefing_sheet, name="briefing_sheet"),
    path("versions/<int:pk>/acknowledge/", briefings.acknowledge, name="acknowledge"),
]
