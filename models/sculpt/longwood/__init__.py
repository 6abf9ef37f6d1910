"""The tree figure."""
