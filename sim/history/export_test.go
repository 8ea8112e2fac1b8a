package history

// Marks is how many copies a run keeps.
func Marks(r *Run) int { return len(r.checkpoints) }

// NoRange is that of a quantity without a value.
func NoRange() Range { return noRange() }
