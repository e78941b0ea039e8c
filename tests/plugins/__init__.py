"""Plugins as somebody else would ship them."""
