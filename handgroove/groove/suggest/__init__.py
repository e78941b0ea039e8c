"""What a groove suggests to a hand that comps along with it: cells of a bar or two."""
