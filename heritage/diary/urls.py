from django.urls import URLPattern

app_name = "diary"

urlpatterns: list[URLPattern] = []
