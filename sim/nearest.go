package sim

import "holdbench/sequence"

// suggestion ends a message about a wrong name with what would be right.
func suggestion(name string, valid []string) string { return "; " + sequence.Suggest(name, valid) }
