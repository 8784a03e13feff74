from django.urls import path

from heritage.fieldlog import views

app_name = "fieldlog"

urlpatterns = [
    path("", views.field_list, name="list"),
    path("worker.js", views.worker, name="worker"),
    path("field.webmanifest", views.manifest, name="manifest"),
    path("<int:pk>/", views.field, name="field"),
    path("<int:pk>/state/", views.state, name="state"),
    path("<int:pk>/send/", views.send, name="send"),
    path("<int:pk>/stop/", views.stop, name="stop"),
    path("<int:pk>/book/", views.book, name="book"),
]
