"""The sizing sheets, one module each."""
