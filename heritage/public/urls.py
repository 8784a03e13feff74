from django.urls import URLPattern

app_name = "public"

urlpatterns: list[URLPattern] = []
