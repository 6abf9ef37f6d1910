"""What the figure really does when values change: limits of speed and acceleration, shows, readings."""
