from django.urls import path

from heritage.diary import views

app_name = "diary"

AT = "at/<slug:demonstration>/calendar/"

urlpatterns = [
    path(AT, views.subscribe, name="subscribe"),
    path(AT + "gatherings.ics", views.public, name="public"),
    # Calendar programs do not sign in: this address must open even where the
    # demonstration is closed to visitors, so it stands outside it.
    path("calendar/<slug:slug>/<str:key>.ics", views.private, name="private"),
]
