from django.urls import path

from heritage.lots import views
from heritage.lots.intake import views as intake

app_name = "lots"

urlpatterns = [
    path("", views.crop, name="list"),
    path("together/", views.together, name="together"),
    path("moves.csv", intake.moves_csv, name="moves_csv"),
    path("moves.xlsx", intake.moves_xlsx, name="moves_xlsx"),
    path("take-in/", intake.take_in, name="take_in"),
    path("take-in/do/", intake.take_in_do, name="take_in_do"),
    path("labels/", views.labels, name="label_sheet"),
    path("lots/<int:pk>/labels/", views.lot_labels, name="lot_label_sheet"),
    path("lots/<int:pk>/", views.lot, name="lot"),
    path("lots/<int:pk>/move/", views.move, name="move"),
    path("lots/<int:pk>/part/", views.part, name="part"),
    path("lots/<int:pk>/settle/", views.settle, name="settle"),
    path("lots/<int:pk>/seed/", views.seed, name="seed"),
    path("moves/<int:pk>/correct/", views.correct, name="correct"),
]
