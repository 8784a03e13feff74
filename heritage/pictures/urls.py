from django.urls import URLPattern

app_name = "pictures"

urlpatterns: list[URLPattern] = []
