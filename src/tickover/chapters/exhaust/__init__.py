"""Exhaust."""
