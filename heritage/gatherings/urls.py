from django.urls import path

from heritage.gatherings.views import (
    evening,
    first_aid,
    gate,
    pages,
    patterns,
    places,
    posting,
    weighings,
)

app_name = "gatherings"

urlpatterns = [
    path("", pages.list_, name="list"),
    path("post/", posting.post, name="post"),
    path("patterns/", patterns.list_, name="patterns"),
    path("patterns/add/", patterns.add, name="add_pattern"),
    path("patterns/start/", patterns.start, name="start_patterns"),
    path("patterns/<int:pk>/", patterns.edit, name="edit_pattern"),
    path("patterns/<int:pk>/delete/", patterns.delete, name="delete_pattern"),
    path("young-people/", weighings.weighings, name="weighings"),
    path("<int:pk>/", pages.gathering, name="gathering"),
    path("<int:pk>/edit/", posting.edit, name="edit"),
    path("<int:pk>/copy/", posting.copy, name="copy"),
    path("<int:pk>/put-off/", posting.put_off, name="put_off"),
    path("<int:pk>/delete/", posting.delete, name="delete"),
    path("<int:pk>/sign-up/", places.sign_up, name="sign_up"),
    path("<int:pk>/answer/", places.answer, name="answer"),
    path("<int:pk>/give-up/", places.give_up, name="give_up"),
    path("<int:pk>/move/", places.move, name="move"),
    path("<int:pk>/first-aid/", first_aid.first_aid, name="first_aid"),
    path("<int:pk>/emergency/", first_aid.emergency, name="emergency"),
    path("<int:pk>/call/", evening.call, name="call"),
    path("<int:pk>/turnout/", evening.turnout, name="turnout"),
    path("<int:pk>/turnout/walk-in/", evening.walk_in, name="walk_in"),
    path("<int:pk>/gate/", gate.gate, name="gate"),
    path("<int:pk>/gate/pass/", gate.pass_gate, name="pass_gate"),
    path("<int:pk>/head-count/", gate.head_count, name="head_count"),
    path("<int:pk>/head-count/out/", gate.everybody_out, name="everybody_out"),
    path("<int:pk>/head-count/seen/", gate.seen, name="seen"),
    path("<int:pk>/head-count/seen-new/", gate.seen_new, name="seen_new"),
    path("<int:pk>/head-count/end/", gate.end_head_count, name="end_head_count"),
    path("<int:pk>/sign-in-sheet/", pages.sign_in_sheet, name="sign_in_sheet"),
]
