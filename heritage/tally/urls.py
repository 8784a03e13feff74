from django.urls import path

from heritage.tally import views
from heritage.tally.closing import views as closing_views
from heritage.tally.forecast import views as forecast_views
from heritage.tally.statements import views as statements_views

app_name = "tally"

urlpatterns = [
    path("", views.board, name="board"),
    path("forecast/", forecast_views.forecast, name="forecast"),
    path("book.csv", views.book_csv, name="book_csv"),
    path("book.xlsx", views.book_xlsx, name="book_xlsx"),
    path("evening/<int:pk>/", closing_views.sheet, name="log"),
    path("evening/<int:pk>/one/", closing_views.one_more, name="one_more"),
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
    path("statements/", statements_views.statements, name="statements"),
    path(
        "statements/sheet.pdf",
        statements_views.statements_sheet,
        name="statements_sheet",
    ),
    path(
        "statements/thanks.pdf",
        statements_views.all_thanks_sheet,
        name="all_thanks_sheet",
    ),
    path("statement/<int:pk>/", statements_views.statement, name="statement"),
    path(
        "statement/<int:pk>/sheet.pdf",
        statements_views.statement_sheet,
        name="statement_sheet",
    ),
    path(
        "statement/<int:pk>/thanks.pdf",
        statements_views.thanks_sheet,
        name="thanks_sheet",
    ),
]
