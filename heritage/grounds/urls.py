from django.urls import path

from heritage.grounds import views

app_name = "grounds"

urlpatterns = [
    path("site/", views.site, name="site"),
    path("site/edit/", views.edit_crowd_plan, name="edit_crowd_plan"),
    path("site/exits/add/", views.take_exit, name="add_exit"),
    path("site/exits/<int:pk>/", views.take_exit, name="edit_exit"),
    path("stewards/", views.stewards, name="stewards"),
    path("stewards/add/", views.take_post, name="add_post"),
    path("stewards/suggest/", views.suggest_posts, name="suggest_posts"),
    path("stewards/sheet/", views.steward_sheet, name="steward_sheet"),
    path("stewards/<int:pk>/", views.take_post, name="edit_post"),
]
