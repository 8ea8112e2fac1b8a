package training

import (
	"fmt"
	"strings"
)

// Level is what kind of riddle is drawn.
type Level string

// The levels, from easy to hard.
const (
	One    Level = "one"
	Mild   Level = "mild"
	Masked Level = "masked"
	Two    Level = "two"
	Data   Level = "data"
)

// LevelRow is a level with what it means.
type LevelRow struct {
	Level Level
	Text  string // one sentence
}

// Levels lists the levels, the easiest first.
func Levels() []LevelRow {
	return []LevelRow{
		{One, "One fault of any severity."},
		{Mild, "One fault, nearly as mild as can still be seen."},
		{Masked, "One mild fault: the same states, the same end, no alarm."},
		{Two, "Two faults at once; every answer names two."},
		{Data, "A fault of the machine, or wrong data in its place: which of them?"},
	}
}

// ParseLevel reads the name of a level.
func ParseLevel(name string) (Level, error) {
	var names []string
	for _, row := range Levels() {
		if string(row.Level) == name {
			return row.Level, nil
		}
		names = append(names, string(row.Level))
	}
	return "", fmt.Errorf("there is no level %q; must be one of %s", name, strings.Join(names, ", "))
}
