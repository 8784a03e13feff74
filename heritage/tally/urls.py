from django.urls import URLPattern

app_name = "tally"

urlpatterns: list[URLPattern] = []
