"""The built-in translators, one file each."""
