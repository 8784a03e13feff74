from django.urls import path

from heritage.diary import feeds, views

app_name = "diary"

urlpatterns = [
    path("", views.subscribe, name="subscribe"),
    path("gatherings.ics", feeds.public, name="public"),
    path("mine/<str:key>.ics", feeds.private, name="private"),
]
