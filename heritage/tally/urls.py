from django.urls import path

from heritage.tally import views

app_name = "tally"

urlpatterns = [
    path("", views.board, name="board"),
    path("forecast/", views.forecast, name="forecast"),
    path("book.csv", views.book_csv, name="book_csv"),
    path("book.xlsx", views.book_xlsx, name="book_xlsx"),
    path("evening/<int:pk>/", views.log, name="log"),
    path("evening/<int:pk>/crew/", views.crew, name="crew"),
    path("evening/<int:pk>/paper/", views.paper, name="paper"),
    path("evening/<int:pk>/work/", views.work, name="work"),
    path("evening/<int:pk>/work/correct/", views.correct_work, name="correct_work"),
    path("evening/<int:pk>/ground/", views.ground, name="ground"),
    path("evening/<int:pk>/mine/", views.mine, name="mine"),
    path("evening/<int:pk>/confirm/", views.confirm, name="confirm"),
    path(
        "evening/<int:pk>/entry/<int:entry_pk>/correct/", views.correct, name="correct"
    ),
    path("statements/", views.statements, name="statements"),
    path("statements/sheet.pdf", views.statements_sheet, name="statements_sheet"),
    path("statements/thanks.pdf", views.all_thanks_sheet, name="all_thanks_sheet"),
    path("statement/<int:pk>/", views.statement, name="statement"),
    path("statement/<int:pk>/sheet.pdf", views.statement_sheet, name="statement_sheet"),
    path("statement/<int:pk>/thanks.pdf", views.thanks_sheet, name="thanks_sheet"),
]
