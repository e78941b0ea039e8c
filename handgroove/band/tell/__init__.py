"""What became of a band: decisions, shares, the comparison page, and whole folders."""
