from django.urls import path

from heritage.dam import views
from heritage.dam.evening import views as evening_views
from heritage.dam.learning import views as learning_views
from heritage.dam.readings import views as readings_views
from heritage.dam.rota import views as rota_views
from heritage.dam.stones import views as stones_views
from heritage.dam.treading import views as treading_views
from heritage.dam.works import views as works_views

app_name = "dam"

urlpatterns = [
    path("", views.dam_list, name="list"),
    path("add/", views.take_dam, name="add"),
    path("weigh/", views.weigh, name="weigh"),
    path("<int:pk>/", views.dam, name="dam"),
    path("<int:pk>/edit/", views.take_dam, name="edit"),
    path("<int:pk>/fill/", views.fill, name="fill"),
    path("<int:pk>/water/", views.water, name="water"),
    path("<int:pk>/evening/", evening_views.evening, name="evening"),
    path("<int:pk>/evening/plan/", evening_views.evening_plan, name="evening_plan"),
    path("<int:pk>/evening/load/", evening_views.load_add, name="load_add"),
    path("<int:pk>/evening/sheet/", evening_views.evening_sheet, name="evening_sheet"),
    path("loads/<int:pk>/back/", evening_views.load_back, name="load_back"),
    path("<int:pk>/book/", works_views.works, name="works"),
    path("<int:pk>/book/sheet/", works_views.book_sheet, name="book_sheet"),
    path(
        "<int:pk>/works/add/", works_views.take_work, {"is_new": True}, name="work_add"
    ),
    path(
        "<int:pk>/leak-tests/add/",
        works_views.take_leak,
        {"is_new": True},
        name="leak_add",
    ),
    path(
        "<int:pk>/flow-tests/add/",
        works_views.take_flow,
        {"is_new": True},
        name="flow_add",
    ),
    path(
        "<int:pk>/asked/add/",
        works_views.take_asked,
        {"is_new": True},
        name="asked_add",
    ),
    path("works/<int:pk>/", works_views.take_work, {"is_new": False}, name="work_edit"),
    path(
        "leak-tests/<int:pk>/",
        works_views.take_leak,
        {"is_new": False},
        name="leak_edit",
    ),
    path(
        "flow-tests/<int:pk>/",
        works_views.take_flow,
        {"is_new": False},
        name="flow_edit",
    ),
    path(
        "asked/<int:pk>/", works_views.take_asked, {"is_new": False}, name="asked_edit"
    ),
    path("rets/<int:pk>/", views.ret, name="ret"),
    path("rets/<int:pk>/lots/", views.refill, name="refill"),
    path("rets/<int:pk>/lift/", views.lift, name="lift"),
    path("rets/<int:pk>/log-sheet/", views.log_sheet, name="log_sheet"),
    path("rets/<int:pk>/checks/add/", learning_views.check_add, name="check_add"),
    path("checks/<int:pk>/strike/", learning_views.check_strike, name="check_strike"),
    path("rets/<int:pk>/came-out/", learning_views.verdict, name="verdict"),
    path("rets/<int:pk>/flax-and-water/", learning_views.basis, name="basis"),
    path("when-to-test/", learning_views.reckoning, name="reckoning"),
    path("days-ahead/", learning_views.days_ahead, name="days_ahead"),
    path("rets/<int:pk>/readings/add/", readings_views.reading_add, name="reading_add"),
    path(
        "rets/<int:pk>/readings/import/",
        readings_views.readings_import,
        name="readings_import",
    ),
    path(
        "rets/<int:pk>/readings/import/confirm/",
        readings_views.readings_confirm,
        name="readings_confirm",
    ),
    path(
        "readings/<int:pk>/correct/",
        readings_views.reading_correct,
        name="reading_correct",
    ),
    path(
        "readings/<int:pk>/strike/",
        readings_views.reading_strike,
        name="reading_strike",
    ),
    path("rets/<int:pk>/stones/", stones_views.stones, name="stones"),
    path("rets/<int:pk>/treading/", treading_views.treading, name="treading"),
    path("rets/<int:pk>/treading/answer/", treading_views.answer, name="answer"),
    path("rets/<int:pk>/treading/plan/", rota_views.rota_plan, name="rota_plan"),
    path(
        "rets/<int:pk>/treading/work-out/", rota_views.rota_preview, name="rota_preview"
    ),
    path("rets/<int:pk>/treading/take/", rota_views.rota_take, name="rota_take"),
    path("rets/<int:pk>/treading/sheet/", treading_views.rota_sheet, name="rota_sheet"),
    path("turns/<int:pk>/", rota_views.turn, name="turn"),
    path("turns/<int:pk>/put-on/", rota_views.turn_put_on, name="turn_put_on"),
    path("turns/<int:pk>/take-off/", rota_views.turn_take_off, name="turn_take_off"),
    path("turns/<int:pk>/watch/", rota_views.turn_watch, name="turn_watch"),
    path(
        "turns/<int:pk>/record/", treading_views.treading_record, name="treading_record"
    ),
]
