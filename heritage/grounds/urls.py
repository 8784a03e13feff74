from django.urls import path

from heritage.grounds import views as site

app_name = "grounds"

urlpatterns = [
    path("site/", site.site, name="site"),
    path("site/edit/", site.edit_crowd_plan, name="edit_crowd_plan"),
    path("site/exits/add/", site.add_exit, name="add_exit"),
    path("site/exits/<int:pk>/", site.edit_exit, name="edit_exit"),
    path("stewards/", site.stewards, name="stewards"),
    path("stewards/add/", site.add_post, name="add_post"),
    path("stewards/suggest/", site.suggest_posts, name="suggest_posts"),
    path("stewards/sheet/", site.steward_sheet, name="steward_sheet"),
    path("stewards/<int:pk>/", site.edit_post, name="edit_post"),
]
