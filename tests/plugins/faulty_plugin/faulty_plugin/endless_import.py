"""A module whose import never ends."""

while True:
    pass
