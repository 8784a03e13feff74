from django.urls import path

from heritage.fibre import views
from heritage.fibre.grass import views as grass
from heritage.fibre.store import views as store
from heritage.fibre.work import views as work

app_name = "fibre"

urlpatterns = [
    path("", views.after_dam, name="after_dam"),
    path("account/", views.account, name="account"),
    path("grass/spread/", grass.spread, name="spread"),
    path("grass/dew/", grass.spread_dew, name="spread_dew"),
    path("grass/again/", grass.spread_again, name="spread_again"),
    path("grass/weather/", grass.weather, name="grass_weather"),
    path("grass/<int:pk>/", grass.spreading, name="spreading"),
    path("grass/<int:pk>/edit/", grass.edit_spreading, name="edit_spreading"),
    path("grass/<int:pk>/add/", grass.add_entry, name="add_entry"),
    path("grass/<int:pk>/bring-in/", grass.bring_in, name="bring_in"),
    path("grass/entries/<int:pk>/", grass.grass_entry, name="grass_entry"),
    path("store/", store.store, name="store"),
    path("store/look/", store.check_store, name="check_store"),
    path("store/dry/", store.test_dryness, name="test_dryness"),
    path("store/sheet/", store.store_sheet, name="store_sheet"),
    path("work/break/", work.break_, name="break"),
    path("work/scutch/", work.scutch, name="scutch"),
    path("work/hackle/", work.hackle, name="hackle"),
    path("work/sheet/", work.session_sheet, name="session_sheet"),
    path("work/<int:pk>/", work.session, name="session"),
]
