"""The site's addresses: one URLconf per subject, all below the demonstration's name."""

from django.urls import include, path

from heritage.archive import urls as archive
from heritage.people import urls as people

AT = "at/<slug:demonstration>/"

urlpatterns = [
    # Before the library's own, some of whose addresses they take the place of.
    path("", include(people.account_patterns)),
    path("account/", include("allauth.urls")),
    path("", include(archive.site_patterns)),
    path("", include("heritage.common.urls")),
    path("", include("heritage.public.urls")),
    path("", include("heritage.desk.urls")),
    path("", include("heritage.diary.urls")),
    path(AT + "people/", include("heritage.people.urls")),
    path(AT + "safety/", include("heritage.briefings.urls")),
    path(AT + "safety/", include("heritage.machines.urls")),
    path(AT + "safety/", include("heritage.incidents.urls")),
    path(AT + "safety/", include("heritage.grounds.urls")),
    path(AT + "crop/", include("heritage.growth.urls")),
    path(AT + "gatherings/", include("heritage.gatherings.urls")),
    path(AT + "tally/", include("heritage.tally.urls")),
    path(AT + "crop/", include("heritage.lots.urls")),
    path(AT + "crop/fibre/", include("heritage.fibre.urls")),
    path(AT + "dam/", include("heritage.dam.urls")),
    path(AT + "pictures/", include("heritage.pictures.urls")),
    path(AT + "field/", include("heritage.fieldlog.urls")),
    path(AT + "archive/", include("heritage.archive.urls")),
    path(AT + "privacy/", include("heritage.privacy.urls")),
]
