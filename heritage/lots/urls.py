from django.urls import path

from heritage.lots import views

app_name = "lots"

urlpatterns = [
    path("", views.crop, name="list"),
    path("lots/<int:pk>/", views.lot, name="lot"),
]
