from django.urls import path

from heritage.incidents import views
from heritage.incidents.children import views as children

app_name = "incidents"

urlpatterns = [
    path("incidents/", views.incidents, name="incidents"),
    path("incidents/report/", views.report_incident, name="report_incident"),
    path("incidents/register/", views.register, name="register"),
    path("incidents/<int:pk>/", views.incident, name="incident"),
    path("incidents/<int:pk>/edit/", views.edit_incident, name="edit_incident"),
    path("incidents/<int:pk>/finish/", views.finish_incident, name="finish_incident"),
    path(
        "incidents/<int:pk>/reporting/",
        views.decide_reporting,
        name="decide_reporting",
    ),
    path("incidents/<int:pk>/keeping/", views.hold_incident, name="hold_incident"),
    path("incidents/<int:pk>/sheet/", views.incident_sheet, name="incident_sheet"),
    path("incidents/<int:pk>/witnesses/add/", views.add_witness, name="add_witness"),
    path(
        "incidents/<int:pk>/photographs/add/",
        views.add_photograph,
        name="add_photograph",
    ),
    path("incidents/witnesses/<int:pk>/", views.edit_witness, name="edit_witness"),
    path("incidents/photographs/<int:pk>/", views.photograph, name="photograph"),
    path(
        "incidents/photographs/<int:pk>/delete/",
        views.take_away_photograph,
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
