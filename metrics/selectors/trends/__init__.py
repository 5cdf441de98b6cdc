"""What the trends page of an athlete reads and says: rows, series of one metric, answers, grid of flags, tables."""
