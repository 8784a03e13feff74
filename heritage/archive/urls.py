from django.urls import path

from heritage.archive import views

app_name = "archive"

urlpatterns = [
    path("", views.page, name="page"),
    path("make/", views.make, name="make"),
    path("<int:pk>/check/", views.check, name="check"),
    path("<int:pk>/file/", views.file, name="file"),
]
