from django.urls import path

from heritage.tally import views

app_name = "tally"

urlpatterns = [
    path("", views.board, name="board"),
    path("forecast/", views.forecast, name="forecast"),
    path("evening/<int:pk>/", views.log, name="log"),
    path(
        "evening/<int:pk>/entry/<int:entry_pk>/correct/", views.correct, name="correct"
    ),
    path("statement/<int:pk>/", views.statement, name="statement"),
    path("statement/<int:pk>/sheet.pdf", views.statement_sheet, name="statement_sheet"),
]
