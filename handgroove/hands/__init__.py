"""Two hands: how far they reach, how fast they move, which fingers they use, and what they can't all play."""
