from django.urls import path

from heritage.gatherings import views
from heritage.gatherings.asked import views as weighings
from heritage.gatherings.call import views as call
from heritage.gatherings.gate import views as gate
from heritage.gatherings.places import views as places
from heritage.gatherings.rearranging import views as rearranging
from heritage.gatherings.runs import views as runs

app_name = "gatherings"

urlpatterns = [
    path("", views.list_, name="list"),
    path("next/", places.next_, name="next"),
    path("post/", views.post, name="post"),
    path("patterns/", views.patterns, name="patterns"),
    path("patterns/add/", views.add_pattern, name="add_pattern"),
    path("patterns/start/", views.start_patterns, name="start_patterns"),
    path("patterns/<int:pk>/", views.edit_pattern, name="edit_pattern"),
    path("patterns/<int:pk>/delete/", views.delete_pattern, name="delete_pattern"),
    path("runs/", runs.list_, name="runs"),
    path("runs/post/", runs.post, name="post_run"),
    path("runs/<int:pk>/", runs.run, name="run"),
    path("runs/<int:pk>/edit/", runs.edit, name="edit_run"),
    path("runs/<int:pk>/end/", runs.end, name="end_run"),
    path("runs/<int:pk>/take-out/", runs.take_out, name="take_out"),
    path("young-people/", weighings.weighings, name="weighings"),
    path("<int:pk>/", views.gathering, name="gathering"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/copy/", views.copy, name="copy"),
    path("<int:pk>/put-off/", views.put_off, name="put_off"),
    path("<int:pk>/delete/", views.delete, name="delete"),
    path("<int:pk>/sign-up/", places.sign_up, name="sign_up"),
    path("<int:pk>/somebody/", places.somebody, name="somebody"),
    path("<int:pk>/come/", places.come, name="come"),
    path("<int:pk>/wishes/", places.wishes, name="wishes"),
    path("<int:pk>/places/<int:place_pk>/", rearranging.place, name="place"),
    path("<int:pk>/suggestion/", rearranging.suggestion, name="suggestion"),
    path("<int:pk>/answer/", places.answer, name="answer"),
    path("<int:pk>/give-up/", places.give_up, name="give_up"),
    path("<int:pk>/gave-up/<int:place_pk>/", places.gave_up, name="gave_up"),
    path(
        "<int:pk>/gave-up/<int:place_pk>/undo/",
        places.take_back,
        name="take_place_back",
    ),
    path("<int:pk>/move/", places.move, name="move"),
    path("<int:pk>/first-aid/", weighings.first_aid, name="first_aid"),
    path("<int:pk>/emergency/", weighings.emergency, name="emergency"),
    path("<int:pk>/call/", call.call, name="call"),
    path("<int:pk>/call/take-back/", call.take_back, name="take_back"),
    path("<int:pk>/call/send/", call.send, name="send"),
    path("<int:pk>/told/<int:letter_pk>/", call.told, name="told"),
    path("<int:pk>/briefings/", weighings.briefed, name="briefed"),
    path("<int:pk>/gate/", gate.gate, name="gate"),
    path(
        "<int:pk>/gate/<int:person_pk>/",
        gate.gate_station,
        name="gate_station",
    ),
    path("<int:pk>/gate/free/", gate.free, name="free_places"),
    path("<int:pk>/gate/child/", gate.child, name="gate_child"),
    path("<int:pk>/gate/pass/", gate.pass_gate, name="pass_gate"),
    path("<int:pk>/head-count/", gate.head_count, name="head_count"),
    path("<int:pk>/head-count/out/", gate.everybody_out, name="everybody_out"),
    path("<int:pk>/head-count/seen/", gate.seen, name="seen"),
    path("<int:pk>/head-count/seen-new/", gate.seen_new, name="seen_new"),
    path("<int:pk>/head-count/end/", gate.end_head_count, name="end_head_count"),
    path("<int:pk>/sign-in-sheet/", views.sign_in_sheet, name="sign_in_sheet"),
]
