"""Somebody else's numbers checked one by one, the likely mistakes behind them, and a book of ours that was edited."""
