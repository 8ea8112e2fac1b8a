package sim

import "holdbench/sequence"

// suggest ends a message about a wrong name with what would be right.
func suggest(name string, valid []string) string { return "; " + sequence.Suggest(name, valid) }
