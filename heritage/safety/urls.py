from django.urls import path

from heritage.safety.views import briefings, emergency, hazards, hearing, machines

app_name = "safety"

urlpatterns = [
    path("", briefings.briefings, name="briefings"),
    path("cautions/", hazards.cautions, name="cautions"),
    path("hazards/", hazards.hazards, name="hazards"),
    path("hazards/add/", hazards.add_hazard, name="add_hazard"),
    path("hazards/starting-library/", hazards.load_library, name="load_library"),
    path("hazards/sheet/", hazards.risk_sheet, name="risk_sheet"),
    path("hazards/changes/", hazards.hazard_changes, name="hazard_changes"),
    path("hazards/<int:pk>/", hazards.hazard, name="hazard"),
    path("hazards/<int:pk>/edit/", hazards.edit_hazard, name="edit_hazard"),
    path("hazards/<int:pk>/look-again/", hazards.look_again, name="look_again"),
    path("hazards/<int:pk>/delete/", hazards.delete_hazard, name="delete_hazard"),
    path("emergency/", emergency.emergency, name="emergency"),
    path("emergency/edit/", emergency.edit_emergency, name="edit_emergency"),
    path("emergency/sheet/", emergency.emergency_sheet, name="emergency_sheet"),
    path(
        "emergency/first-aid/add/",
        emergency.add_first_aid_point,
        name="add_first_aid_point",
    ),
    path(
        "emergency/first-aid/<int:pk>/",
        emergency.edit_first_aid_point,
        name="edit_first_aid_point",
    ),
    path("machines/", machines.machines, name="machines"),
    path("machines/add/", machines.add_machine, name="add_machine"),
    path("machines/usual/", machines.load_machines, name="load_machines"),
    path("machines/<int:pk>/", machines.machine, name="machine"),
    path("machines/<int:pk>/edit/", machines.edit_machine, name="edit_machine"),
    path("machines/<int:pk>/delete/", machines.delete_machine, name="delete_machine"),
    path("machines/<int:pk>/check/", machines.check_machine, name="check_machine"),
    path("machines/<int:pk>/sheet/", machines.machine_sheet, name="machine_sheet"),
    path("compose/", briefings.compose, name="compose"),
    path("starting-briefings/", briefings.load_starting, name="load_starting"),
    path("<int:pk>/", hearing.briefing, name="briefing"),
    path("<int:pk>/edit/", briefings.edit, name="edit_briefing"),
    path("<int:pk>/publish/", briefings.publishing, name="publishing"),
    path("<int:pk>/tick-off/", hearing.tick_off, name="tick_off"),
    path("<int:pk>/sheet/", hearing.briefing_sheet, name="briefing_sheet"),
    path("versions/<int:pk>/acknowledge/", hearing.acknowledge, name="acknowledge"),
]
