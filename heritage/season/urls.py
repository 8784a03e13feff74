from django.urls import URLPattern

app_name = "season"

urlpatterns: list[URLPattern] = []
