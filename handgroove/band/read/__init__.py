"""A band heard: its tracks, who does what, how the song goes, and what the player chose."""
