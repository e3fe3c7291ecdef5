"""What is required, and what would mend it."""
