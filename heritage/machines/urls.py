from django.urls import path

from heritage.machines import views as machines
from heritage.machines.lifting import views as lifting

app_name = "machines"

urlpatterns = [
    path("machines/", machines.machines, name="machines"),
    path("machines/add/", machines.take_machine, name="add_machine"),
    path("machines/usual/", machines.load_machines, name="load_machines"),
    path("machines/<int:pk>/", machines.machine, name="machine"),
    path("machines/<int:pk>/edit/", machines.take_machine, name="edit_machine"),
    path("machines/<int:pk>/check/", machines.check_machine, name="check_machine"),
    path("machines/<int:pk>/sheet/", machines.machine_sheet, name="machine_sheet"),
    path("lifting/", lifting.lifting, name="lifting"),
    path("stones/", lifting.stones, name="stones"),
    path("stones/sheet/", lifting.stones_sheet, name="stones_sheet"),
    path("stones/add/", lifting.take_stone, name="add_stone"),
    path("stones/<int:pk>/", lifting.take_stone, name="edit_stone"),
]
