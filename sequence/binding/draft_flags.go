package binding

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// flagged is a word of an output that a BOOL of its own can stand for, with the names of such a variable
// (common practice).
type flagged struct {
	word  string
	names []string
}

// flaggedOutputs are those words by output, in the order in which the flags count: a drive that is switched
// on may move, too.
func flaggedOutputs() map[string][]flagged {
	return map[string][]flagged{
		"drive": {
			{"move", []string{"move", "travel", "goto", "positioning", "drive_move", "move_axis", "fahren", "verfahren", "positionieren"}},
			{"press", []string{"press", "push", "torque", "torque_mode", "drive_press", "pressen", "druecken", "moment"}},
			{"hold", []string{"hold", "on", "drive_on", "drive_enable", "enable_drive", "drive_hold", "halten", "ein", "antrieb_ein", "antrieb_freigabe"}},
		},
		"ask": {
			{"down", []string{"ask_down", "request_down", "test_down", "check_down", "test_request_down", "anforderung_ab", "pruefung_ab"}},
			{"up", []string{"ask_up", "request_up", "test_up", "check_up", "test_request_up", "anforderung_auf", "pruefung_auf"}},
		},
	}
}

// flagsOf writes an output by one BOOL for each of its words, and lists these; empty if fewer than two are
// found among what is not bound.
func (d *draft) flagsOf(s *sequence.Signal, bound []string) (text string, paths []string) {
	list := flaggedOutputs()[s.Name]
	pairs := bestPairs(len(list), len(d.all), func(k, o int) float64 { return d.flagLikeness(&list[k], &d.all[o], bound) })
	var parts []string
	for k := range list {
		if o, ok := pairs[k]; ok {
			path := d.all[o].path
			parts, paths = append(parts, path+": "+list[k].word), append(paths, path)
		}
	}
	if len(paths) < 2 {
		return "", nil
	}
	return fmt.Sprintf("{flags: {%s}, otherwise: %s}   # check: the first that is TRUE counts", strings.Join(parts, ", "), shownWord(s.Words[0])), paths
}

// flagLikeness is how alike the name of a BOOL is to those of a word, 0 if it cannot be it.
func (d *draft) flagLikeness(f *flagged, c *candidate, bound []string) float64 {
	const least = 0.8
	meant := c.owner.Section == st.Output || c.owner.Section != st.Input && !d.declares(st.Output)
	if c.typ.Kind() != st.Bool || !meant || slices.Contains(bound, c.path) {
		return 0
	}
	best, own := 0.0, strings.Join(pathWords(c.path), "_")
	for _, name := range f.names {
		if score := nameSimilarity(name, own); score >= least {
			best = max(best, score)
		}
	}
	return best
}
