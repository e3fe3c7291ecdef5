"""The pages that people read and type into."""
