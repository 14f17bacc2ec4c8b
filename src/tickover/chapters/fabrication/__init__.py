"""Fabrication."""
