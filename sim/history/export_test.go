package history

// Marks is how many copies a run keeps.
func Marks(r *Run) int { return len(r.checkpoints) }
