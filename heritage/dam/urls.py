from django.urls import URLPattern

app_name = "dam"

urlpatterns: list[URLPattern] = []
