package sequence

// Suggest ends a message about a name that does not exist with what would be right:
// the nearest of the valid names, or all of them where they are few.
func Suggest(name string, valid []string) string { return suggest(name, valid) }
