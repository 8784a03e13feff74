from django.urls import URLPattern

app_name = "safety"

urlpatterns: list[URLPattern] = []
