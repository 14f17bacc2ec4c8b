"""Addresses of the inspection pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
