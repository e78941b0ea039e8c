"""What drives the core: ports, the clock, and a session from start to end. Its door is ``session``."""
