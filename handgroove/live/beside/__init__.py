"""Processes and helpers beside the stage: the screen, the recorder, learning controls, the keyboard."""
