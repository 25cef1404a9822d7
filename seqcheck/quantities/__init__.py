"""Numbers with units: times in whole microseconds (`time`) and physical quantities (`units`)."""
