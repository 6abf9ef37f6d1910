"""The breathing shop-window robot."""
