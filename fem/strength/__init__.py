"""What breaks a beam."""
