"""The host for translators: what one is, finding them, chaining them and fencing them."""
