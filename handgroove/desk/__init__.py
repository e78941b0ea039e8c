"""The desk, where a part is put together, and the finish, where it is ended: whoever asks."""
