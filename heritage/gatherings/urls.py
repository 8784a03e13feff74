from django.urls import URLPattern

app_name = "gatherings"

urlpatterns: list[URLPattern] = []
