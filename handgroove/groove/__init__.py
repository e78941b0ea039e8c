"""The drums: hits, kits, reading grooves, and what a groove is made of."""
