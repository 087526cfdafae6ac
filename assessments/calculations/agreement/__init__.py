"""Whether those who judge by eye judge alike: agreement, strictness, second looks, calibration."""
