from django.urls import path

from heritage.people import views
from heritage.people.accounts import views as accounts
from heritage.people.agreements import views as agreements
from heritage.people.competences import views as competences
from heritage.people.intake import views as intake
from heritage.people.invitations import views as invitations
from heritage.people.letters import views as letters
from heritage.people.models import Subject

app_name = "people"

urlpatterns = [
    path("", views.list_, name="list"),
    path("add/", views.add, name="add"),
    path("list.csv", intake.list_csv, name="list_csv"),
    path("list.xlsx", intake.list_xlsx, name="list_xlsx"),
    path("take-in/", intake.take_in, name="take_in"),
    path("take-in/check/", intake.take_in_check, name="take_in_check"),
    path("take-in/do/", intake.take_in_do, name="take_in_do"),
    path("kept/", views.keeping, name="keeping"),
    path("invitations/", invitations.invitations, name="invitations"),
    path(
        "invitations/<int:pk>/withdraw/",
        invitations.withdraw,
        name="withdraw_invitation",
    ),
    path("claims/<int:pk>/sheet/", invitations.claim_sheet, name="claim_sheet"),
    path("letters/", letters.letters, name="letters"),
    path("letters/<int:pk>/", letters.letter, name="letter"),
    path("letters/<int:pk>/again/", letters.send_again, name="send_letter_again"),
    path("letters/<int:pk>/told/", letters.told, name="letter_told"),
    path(
        "letters/accounts/<int:pk>/told/",
        letters.account_told,
        name="account_letter_told",
    ),
    path("competences/", competences.list_, name="competences"),
    path("competences/start/", competences.start, name="start_competences"),
    path("competences/enter/", competences.enter, name="enter_able"),
    path("competences/<int:pk>/", competences.change, name="change_competence"),
    path("skills/<int:pk>/", competences.answer, name="answer_able"),
    path("words/", agreements.list_, name="words"),
    *(
        path(
            f"words/{subject}/",
            agreements.publish,
            {"subject": subject},
            name=f"publish_{subject}",
        )
        for subject in Subject.values
    ),
    path("join/", views.join, name="join"),
    path("me/", views.me, name="me"),
    path("me/edit/", views.edit_me, name="edit_me"),
    path("me/children/add/", views.add_child, name="add_child"),
    path("me/children/<int:pk>/", views.edit_child, name="edit_child"),
    path("me/new-calendar-address/", views.renew_calendar, name="renew_calendar"),
    path("me/leave/", views.leave_me, name="leave_me"),
    path("<int:pk>/", views.edit, name="edit"),
    path("<int:pk>/claim/", invitations.claim, name="claim"),
    path("<int:pk>/about/", agreements.about, name="about"),
    path("<int:pk>/about/can-do/", agreements.can_do, name="can_do"),
    path("<int:pk>/about/note/", agreements.note, name="note"),
    path(
        "<int:pk>/about/note/take-back/",
        agreements.take_back_note,
        name="take_back_note",
    ),
    path("<int:pk>/about/photographs/", agreements.photographs, name="photographs"),
    path("<int:pk>/about/notice/", agreements.notice, name="notice"),
    path("<int:pk>/make-organiser/", views.make_organiser, name="make_organiser"),
    path("<int:pk>/stop-organiser/", views.stop_organiser, name="stop_organiser"),
    path("<int:pk>/take-off/", views.take_off, name="take_off"),
    path("<int:pk>/bring-back/", views.bring_back, name="bring_back"),
]

# Pages that belong to an account and not to one demonstration.
account_patterns = [
    path("invitation/<str:invitation_key>/", invitations.take_up, name="invitation"),
    path("account/second-lock/", accounts.second_lock, name="second_lock"),
    path("account/password/reset/", accounts.forgotten, name="forgotten"),
    path("account/password/reset/<path:rest>", accounts.forgotten),
    path(
        "account/password/take-away/",
        accounts.take_away_password,
        name="take_away_password",
    ),
]
