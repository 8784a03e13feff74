from django.urls import path

from heritage.desk import views
from heritage.desk.harvest import views as harvest
from heritage.desk.more import views as more
from heritage.desk.report import views as report
from heritage.desk.scores import views as scores
from heritage.desk.setting_up import views as setting_up

app_name = "desk"

AT = "at/<slug:demonstration>/"

urlpatterns = [
    path("new/", setting_up.set_up, name="set_up"),
    path(AT + "today/", views.today, name="today"),
    path(AT + "more/", more.more, name="more"),
    path(AT + "set-up/", views.settings, name="settings"),
    path(AT + "set-up/plots/add/", views.plot_add, name="plot_add"),
    path(AT + "set-up/plots/<int:pk>/", views.plot_edit, name="plot_edit"),
    path(AT + "safety/", views.safety, name="safety"),
    path(AT + "season/forecasts/", scores.scores, name="scores"),
    path(AT + "season/report/", report.report, name="report"),
    path(AT + "season/report.pdf", report.report_sheet, name="report_sheet"),
    path(AT + "season/", views.season_board, name="season"),
    path(AT + "crop/harvest/", harvest.harvest, name="harvest"),
    path(AT + "crop/harvest/post/", harvest.post, name="harvest_post"),
    path(AT + "season/<slug:stage>/", views.stage, name="stage"),
]
