"""Charts: read, unfolded, laid over a timeline, written back. Its door is ``handgroove.harmony.chart``."""
