from django.urls import path

from heritage.people.views import everybody, mine

app_name = "people"

urlpatterns = [
    path("", everybody.list_, name="list"),
    path("add/", everybody.add, name="add"),
    path("join/", mine.join, name="join"),
    path("me/", mine.me, name="me"),
    path("me/edit/", mine.edit_me, name="edit_me"),
    path("me/children/add/", mine.add_child, name="add_child"),
    path("me/children/<int:pk>/", mine.edit_child, name="edit_child"),
    path("me/new-calendar-address/", mine.renew_calendar, name="renew_calendar"),
    path("me/leave/", mine.leave_me, name="leave_me"),
    path("<int:pk>/", everybody.edit, name="edit"),
    path("<int:pk>/make-organiser/", everybody.make_organiser, name="make_organiser"),
    path("<int:pk>/stop-organiser/", everybody.stop_organiser, name="stop_organiser"),
    path("<int:pk>/take-off/", everybody.take_off, name="take_off"),
    path("<int:pk>/bring-back/", everybody.bring_back, name="bring_back"),
]
