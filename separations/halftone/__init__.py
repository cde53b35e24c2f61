"""From tone values to dots: exact thresholds, screening band by band."""
