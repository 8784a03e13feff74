from django.urls import path

from heritage.pictures import views
from heritage.pictures.many import views as many
from heritage.pictures.printed import views as printed

app_name = "pictures"

urlpatterns = [
    path("", views.picture_list, name="list"),
    path("add/", views.add, name="add"),
    path("add-many/", many.add_many, name="add_many"),
    path("known/", many.known, name="known"),
    path("captions/", many.captions, name="captions"),
    path("order/<slug:stage>/", many.order, name="order"),
    path("<int:pk>/", views.picture, name="picture"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/adjust/", views.adjust, name="adjust"),
    path("<int:pk>/publish/", views.publish, name="publish"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("<int:pk>/original/", views.original, name="original"),
    path("<int:pk>/delete/", views.delete, name="delete"),
    path("<int:pk>/permission/", views.add_permission, name="permission_add"),
    path(
        "permissions/<int:pk>/remove/",
        views.remove_permission,
        name="permission_remove",
    ),
    path(
        "permission-for-an-adult.pdf",
        views.permission_sheet,
        {"child": False},
        name="adult_sheet",
    ),
    path(
        "permission-for-a-child.pdf",
        views.permission_sheet,
        {"child": True},
        name="child_sheet",
    ),
    path("contact-sheet.pdf", printed.contact_sheet, name="contact_sheet"),
    path("album.pdf", printed.album_sheet, name="album_sheet"),
    path("panels.pdf", printed.panel_sheets, name="panel_sheets"),
    path("labels.pdf", printed.label_sheet, name="label_sheet"),
    path("press.pdf", printed.press_sheet, name="press_sheet"),
    path("<int:pk>/press/", views.for_press, name="for_press"),
    path("files/<slug:key>/<slug:size>/", views.file, name="file"),
]
