"""Addresses of the refitting pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
