"""A recorded formula: nodes, recording, rounding, printing, evaluation."""
