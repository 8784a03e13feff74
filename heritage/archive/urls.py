from django.urls import path

from heritage.archive import views
from heritage.archive.taking_in import views as taking_in

app_name = "archive"

urlpatterns = [
    path("", views.page, name="page"),
    path("make/", views.make, name="make"),
    path("<int:pk>/check/", views.check, name="check"),
    path("<int:pk>/file/", views.file, name="file"),
]

# Of no demonstration: there is none yet.
site_patterns = [path("take-in/", taking_in.take_in, name="take_in")]
