"""Where a passive crossover starts: textbook ladders beside what each driver needs."""
