"""Knowing a groove: feel, levels, backbone, fills, structure. Its door is ``knowledge``."""
