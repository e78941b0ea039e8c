"""Figures: melodic shapes made from a whole fill, or from bars where only the drums play."""
