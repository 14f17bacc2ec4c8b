"""Addresses of the capture pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
