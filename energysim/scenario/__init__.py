"""What a scenario file may say, and how it is read."""
