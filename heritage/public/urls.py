from django.urls import path

from heritage.public import views
from heritage.public.elements import views as elements
from heritage.public.process import views as process
from heritage.public.shelf import views as shelf
from heritage.public.story import views as story
from heritage.public.telling import views as telling

app_name = "public"

AT = "at/<slug:demonstration>/"

urlpatterns = [
    path("", views.home, name="home"),
    path("cautions/", views.cautions, name="cautions"),
    path("help/", views.help_, name="help"),
    path("help/words/", views.glossary, name="glossary"),
    path("help/hint/", views.put_hint_away, name="put_hint_away"),
    path("help/<slug:who>/", views.guide, name="guide"),
    path("look/", elements.show, name="elements"),
    path("robots.txt", telling.robots, name="robots"),
    path("sitemap.xml", telling.sitemap, name="sitemap"),
    path(AT, views.demonstration, name="demonstration"),
    path(AT + "card.png", telling.card, name="card"),
    path(AT + "news.atom", telling.news, name="news"),
    path(AT + "story/", story.story, name="story"),
    path(AT + "story/<slug:stage>/", story.stage, name="stage"),
    path(AT + "sheets/", shelf.shelf, name="shelf"),
    path(AT + "sheets/all/<slug:pack>.pdf", shelf.print_pack, name="pack"),
    path(
        AT + "sheets/process/<slug:sheet>.pdf",
        process.process_sheet,
        name="process_sheet",
    ),
    path(AT + "sheets/card/<slug:sheet>.pdf", process.card, name="process_card"),
    path(AT + "sheets/cards.pdf", process.cards, name="process_cards"),
    path(AT + "sheets/booklet.pdf", process.booklet, name="process_booklet"),
    path(AT + "sheets/poster/<int:pk>.pdf", views.poster, name="poster"),
]
