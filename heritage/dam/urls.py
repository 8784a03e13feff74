from django.urls import path

from heritage.dam import views

app_name = "dam"

urlpatterns = [
    path("", views.dam_list, name="list"),
    path("add/", views.add, name="add"),
    path("<int:pk>/", views.dam, name="dam"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/fill/", views.fill, name="fill"),
    path("rets/<int:pk>/", views.ret, name="ret"),
    path("rets/<int:pk>/lift/", views.lift, name="lift"),
    path("rets/<int:pk>/log-sheet/", views.log_sheet, name="log_sheet"),
    path("rets/<int:pk>/checks/add/", views.check_add, name="check_add"),
    path("rets/<int:pk>/readings/add/", views.reading_add, name="reading_add"),
    path(
        "rets/<int:pk>/readings/import/",
        views.readings_import,
        name="readings_import",
    ),
    path(
        "rets/<int:pk>/readings/import/confirm/",
        views.readings_confirm,
        name="readings_confirm",
    ),
]
