"""The one reading of a groove: what each stroke was meant to be. Its door is ``reading``."""
