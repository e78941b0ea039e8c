"""Where grooves come from: a table of readers, and one file for each kind of source."""
