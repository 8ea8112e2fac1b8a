package sim

import (
	"holdbench/plant"
	"holdbench/sequence"
)

// suggestion ends a message about a wrong name with what would be right.
func suggestion(name string, valid []string) string {
	if now := plant.Renamed(name); now != "" {
		return "; it is " + now + " now"
	}
	return "; " + sequence.Suggest(name, valid)
}
