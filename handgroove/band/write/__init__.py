"""A band written for two hands. Its door is ``condensing``."""
