package st

import (
	"fmt"
	"strings"

	"github.com/agnivade/levenshtein"
)

// suggest is the end of a message about a name that does not exist: the nearest valid name in
// any case, or nothing if none is similar.
func suggest(name string, valid []string) string {
	const longest = 64
	if len(name) > longest {
		return ""
	}
	best, distance := "", 0
	upper := strings.ToUpper(name)
	for _, v := range valid {
		if d := levenshtein.ComputeDistance(upper, strings.ToUpper(v)); best == "" || d < distance {
			best, distance = v, d
		}
	}
	if best == "" || distance > len(name)/2 {
		return ""
	}
	return fmt.Sprintf("; the nearest valid name is %q", best)
}
