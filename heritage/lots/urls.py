from django.urls import path

from heritage.lots import views

app_name = "lots"

urlpatterns = [
    path("", views.crop, name="list"),
    path("together/", views.together, name="together"),
    path("labels/", views.labels, name="label_sheet"),
    path("lots/<int:pk>/labels/", views.lot_labels, name="lot_label_sheet"),
    path("lots/<int:pk>/", views.lot, name="lot"),
    path("lots/<int:pk>/move/", views.move, name="move"),
    path("lots/<int:pk>/part/", views.part, name="part"),
    path("lots/<int:pk>/settle/", views.settle, name="settle"),
    path("lots/<int:pk>/seed/", views.seed, name="seed"),
    path("moves/<int:pk>/correct/", views.correct, name="correct"),
]
