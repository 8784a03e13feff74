from django.urls import path

from heritage.privacy.complaining import views as complaining
from heritage.privacy.erasing import views as erasing
from heritage.privacy.everything import views as everything
from heritage.privacy.held import views as held
from heritage.privacy.keeping import views as keeping
from heritage.privacy.merging import views as merging

app_name = "privacy"

urlpatterns = [
    path("held/", held.mine, name="mine"),
    path("held/<int:pk>/", held.held, name="held"),
    path("held/<int:pk>/file/", held.held_file, name="held_file"),
    path("held/<int:pk>/sheet/", held.held_sheet, name="held_sheet"),
    path("agreements/<int:pk>/take-back/", held.take_back, name="take_back"),
    path("erase/<int:pk>/", erasing.erase, name="erase"),
    path("erasures/", erasing.erasures, name="erasures"),
    path("erasures/<int:pk>/", erasing.erasure, name="erasure"),
    path("complain/", complaining.complain, name="complain"),
    path("complain/<slug:complaint_key>/", complaining.follow, name="follow"),
    path("complaints/", complaining.complaints, name="complaints"),
    path("complaints/<int:pk>/", complaining.complaint, name="complaint"),
    path(
        "complaints/<int:pk>/acknowledge/", complaining.acknowledge, name="acknowledge"
    ),
    path("complaints/<int:pk>/end/", complaining.end, name="end"),
    path("", keeping.keeping, name="keeping"),
    path("due/", keeping.due, name="due"),
    path("merge/", merging.merges, name="merges"),
    path("merge/<int:pk>/", merging.merge, name="merge"),
    path("names/<int:pk>/", merging.settle, name="settle_name"),
    path("everything/", everything.everything, name="everything"),
]
