"""From slot values to shaft angles: snapshot, patch, calibration."""
