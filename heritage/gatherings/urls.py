from django.urls import path

from heritage.gatherings.views import evening, pages, places, posting

app_name = "gatherings"

urlpatterns = [
    path("", pages.list_, name="list"),
    path("post/", posting.post, name="post"),
    path("<int:pk>/", pages.gathering, name="gathering"),
    path("<int:pk>/edit/", posting.edit, name="edit"),
    path("<int:pk>/copy/", posting.copy, name="copy"),
    path("<int:pk>/delete/", posting.delete, name="delete"),
    path("<int:pk>/sign-up/", places.sign_up, name="sign_up"),
    path("<int:pk>/give-up/", places.give_up, name="give_up"),
    path("<int:pk>/move/", places.move, name="move"),
    path("<int:pk>/call/", evening.call, name="call"),
    path("<int:pk>/turnout/", evening.turnout, name="turnout"),
    path("<int:pk>/turnout/walk-in/", evening.walk_in, name="walk_in"),
    path("<int:pk>/sign-in-sheet/", pages.sign_in_sheet, name="sign_in_sheet"),
]
