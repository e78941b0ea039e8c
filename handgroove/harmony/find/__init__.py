"""Finding keys and chords in what sounds: files (``recognise``) and keys held (``live_chords``)."""
