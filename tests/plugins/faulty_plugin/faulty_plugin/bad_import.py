"""A module that can't be imported."""

raise RuntimeError("this machine is not good enough for me")
