from django.urls import path

from heritage.incidents import views as incidents
from heritage.incidents.children import views as children

app_name = "incidents"

urlpatterns = [
    path("incidents/", incidents.incidents, name="incidents"),
    path("incidents/report/", incidents.report_incident, name="report_incident"),
    path("incidents/register/", incidents.register, name="register"),
    path("incidents/<int:pk>/", incidents.incident, name="incident"),
    path("incidents/<int:pk>/edit/", incidents.edit_incident, name="edit_incident"),
    path(
        "incidents/<int:pk>/finish/", incidents.finish_incident, name="finish_incident"
    ),
    path(
        "incidents/<int:pk>/reporting/",
        incidents.decide_reporting,
        name="decide_reporting",
    ),
    path("incidents/<int:pk>/keeping/", incidents.hold_incident, name="hold_incident"),
    path("incidents/<int:pk>/sheet/", incidents.incident_sheet, name="incident_sheet"),
    path(
        "incidents/<int:pk>/witnesses/add/", incidents.add_witness, name="add_witness"
    ),
    path(
        "incidents/<int:pk>/photographs/add/",
        incidents.add_photograph,
        name="add_photograph",
    ),
    path("incidents/witnesses/<int:pk>/", incidents.edit_witness, name="edit_witness"),
    path("incidents/photographs/<int:pk>/", incidents.photograph, name="photograph"),
    path(
        "incidents/photographs/<int:pk>/delete/",
        incidents.take_away_photograph,
        name="take_away_photograph",
    ),
    path("lost-child/", children.lost_children, name="lost_children"),
    path("lost-child/open/", children.open_child_log, name="open_child_log"),
    path("lost-child/form/", children.child_sheet, name="child_sheet"),
    path("lost-child/<int:pk>/", children.child_log, name="child_log"),
    path(
        "lost-child/<int:pk>/step/", children.press_child_step, name="press_child_step"
    ),
    path(
        "lost-child/<int:pk>/police/",
        children.note_police_called,
        name="note_police_called",
    ),
    path("lost-child/<int:pk>/end/", children.end_child_log, name="end_child_log"),
]
