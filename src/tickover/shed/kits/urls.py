"""Addresses of the kits pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
