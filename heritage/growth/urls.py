from django.urls import path

from heritage.growth import views
from heritage.growth.warmth import views as warmth

app_name = "growth"

urlpatterns = [
    path("growing/", views.growing, name="growing"),
    path("growing/see/", views.observe, name="observe"),
    path("growing/seen/", views.observations, name="observations"),
    path("growing/seen/<int:pk>/", views.edit_observation, name="edit_observation"),
    path("growing/observations.csv", views.observations_csv, name="observations_csv"),
    path("growing/sheet/", views.growing_sheet, name="growing_sheet"),
    path("growing/warmth/", warmth.warmth, name="warmth"),
    path("growing/plots/<int:pk>/", views.sow, name="sow"),
]
