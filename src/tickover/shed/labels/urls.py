"""Addresses of the labels pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
