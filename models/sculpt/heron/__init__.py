"""The marsh heron."""
