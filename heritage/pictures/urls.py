from django.urls import path

from heritage.pictures import views

app_name = "pictures"

urlpatterns = [
    path("", views.picture_list, name="list"),
    path("add/", views.add, name="add"),
    path("<int:pk>/", views.picture, name="picture"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/publish/", views.publish, name="publish"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("<int:pk>/original/", views.original, name="original"),
    path("files/<slug:key>/<slug:size>/", views.file, name="file"),
]
