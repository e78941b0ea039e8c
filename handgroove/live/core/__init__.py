"""The stage's core: messages and seconds in, messages out; no clock and no ports. Its door is ``engine``."""
