"""The commands, one file each; each only reads its options, calls the package and prints."""
