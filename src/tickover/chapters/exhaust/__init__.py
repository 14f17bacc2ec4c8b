"""Exhaust pipes and silencers."""
