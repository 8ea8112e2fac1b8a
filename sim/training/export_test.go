package training

// Clues lists the clues of a faulted run.
func Clues(nominal, faulted *Recording) []Clue { return newReference(nominal).clues(faulted) }
