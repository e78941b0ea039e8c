"""A groove told in words, as a text picture, and as a pattern."""
