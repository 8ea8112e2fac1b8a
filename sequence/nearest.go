package sequence

import (
	"fmt"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Suggest is the end of a message about a name that does not exist: the nearest
// valid name, or the whole list if it is short and no name is similar.
func Suggest(name string, valid []string) string {
	best, similar := Nearest(name, valid)
	switch {
	case best == "":
		return "there are no valid names"
	case !similar && len(valid) <= 12:
		return "must be " + oneOf(valid)
	case !similar:
		return fmt.Sprintf("none of the %d valid names is similar", len(valid))
	}
	return fmt.Sprintf("the nearest valid one is %q", best)
}

// Nearest is the nearest valid name, empty if there is none, and whether it is similar.
func Nearest(name string, valid []string) (best string, similar bool) {
	best, distance := nearest(name, valid)
	return best, best != "" && distance <= len(name)/2+1
}

// nearest takes the first of the closest, so the answer is always the same.
func nearest(name string, valid []string) (string, int) {
	best, distance := "", 0
	name = name[:min(len(name), 64)] // a longer name is similar to none
	for _, v := range valid {
		if v == "" {
			continue
		}
		d := levenshtein.ComputeDistance(name, v)
		if strings.HasPrefix(v, name+"_") { // its unit is missing
			d = min(d, 1)
		}
		if best == "" || d < distance {
			best, distance = v, d
		}
	}
	return best, distance
}
