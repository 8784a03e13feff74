from django.urls import path

from heritage.common import views

app_name = "common"

urlpatterns = [
    path("theme/", views.choose_theme, name="choose_theme"),
    path("look/book.<slug:style_version>.css", views.style_sheet, name="styles"),
    path("alive/", views.alive, name="alive"),
    path("ready/", views.ready, name="ready"),
]
