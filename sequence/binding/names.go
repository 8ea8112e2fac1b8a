package binding

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// words cuts a name into words in lower case, at underscores, at hyphens and where a capital begins:
// rPressTorque_Nm is r, press, torque, nm.
func words(name string) []string {
	var list []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			list = append(list, strings.ToLower(string(word)))
			word = word[:0]
		}
	}
	letters := []rune(name)
	for i, r := range letters {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			flush()
			continue
		case i > 0 && unicode.IsUpper(r) && (unicode.IsLower(letters[i-1]) || i+1 < len(letters) && unicode.IsLower(letters[i+1])):
			flush()
		case i > 0 && unicode.IsDigit(r) != unicode.IsDigit(letters[i-1]) && unicode.IsLetter(letters[i-1]):
			flush()
		}
		word = append(word, r)
	}
	flush()
	return joined(list)
}

// joined makes one word of the two of an emergency stop: e stop, and not halt and not aus, whose not is no
// denial.
func joined(list []string) []string {
	for i := 1; i < len(list); i++ {
		switch pair := list[i-1] + list[i]; pair {
		case "estop", "nothalt", "notaus":
			list = slices.Replace(list, i-1, i+1, pair)
		}
	}
	return list
}

// plain leaves out the first word if it only says the type or the direction of a variable, as is
// common practice.
func plain(list []string) []string {
	marks := []string{
		"b", "x", "i", "n", "di", "ui", "r", "f", "lr", "e", "s", "st", "fb", "t", "ton", "q", "in", "out", "io", "m", "g", "w", "dw", "a",
	}
	for len(list) > 1 && slices.Contains(marks, list[0]) {
		list = list[1:]
	}
	return list
}

// holders are names of structures that say nothing of what is in them (common practice).
func holders() []string {
	return []string{
		"par", "param", "params", "parameter", "parameters", "cfg", "config", "set", "settings", "data", "input", "inputs",
		"output", "outputs", "cmd", "command", "commands", "status", "in", "out", "st",
	}
}

// pathWords are the words of a path, without the marks of types, and without the structures that say
// nothing of what is in them: stPar.rTestPos is test, pos.
func pathWords(path string) []string {
	var list []string
	parts := strings.Split(path, ".")
	for i, part := range parts {
		w := plain(words(part))
		if i < len(parts)-1 && len(w) == 1 && slices.Contains(holders(), w[0]) {
			continue
		}
		list = append(list, w...)
	}
	if rest := slices.DeleteFunc(slices.Clone(list), measured); len(rest) > 0 {
		return rest
	}
	return list
}

// measured is whether a word says that a value is the present one, as that of a signal is.
func measured(word string) bool {
	return slices.Contains([]string{"act", "actual", "ist", "istwert", "aktuell"}, word)
}

// unitWords are the words that a name ends with to say its unit.
func unitWords() []string {
	return []string{"nm", "mnm", "knm", "mm", "um", "m", "deg", "mdeg", "rad", "s", "ms", "us", "min", "h", "a", "ma", "amp", "rms", "per", "kg", "t"}
}

// withoutUnit cuts the unit from the end of a name, of which something must be left.
func withoutUnit(list []string) (rest, unit []string) {
	n := len(list)
	for n > 1 && slices.Contains(unitWords(), list[n-1]) {
		n--
	}
	return list[:n:n], list[n:]
}

// alike is the least similarity of names with which a draft ties two of them.
const alike = 0.6

// synonym is what another word for the same thing counts, and what another name for it does.
const synonym = 0.8

// similarity is how alike the name of a signal, a state, a cause or a parameter is to that of a
// variable or a value, from 0 to 1: the larger one of its own and that of the other names for it. Units
// at the end of a name say nothing of it. A name that says no is not like one that does not. Of a member of
// a structure its own name alone counts as well, a little less.
func similarity(known, own string) float64 {
	const alone = 0.85
	score := max(nameSimilarity(known, strings.Join(pathWords(own), "_")), aliasSimilarity(known, own))
	if i := strings.LastIndexByte(own, '.'); i >= 0 {
		score = max(score, alone*similarity(known, own[i+1:]))
	}
	return score
}

// aliasSimilarity is how alike a name is to the other names for a thing; half of one of them is none.
func aliasSimilarity(known, own string) float64 {
	const lesser, least = 0.95, 0.8
	own = strings.Join(pathWords(own), "_")
	best := 0.0
	for _, name := range aliases(known) {
		if s := nameSimilarity(name, own); s >= least {
			best = max(best, lesser*s)
		}
	}
	return best
}

func nameSimilarity(known, own string) float64 {
	a, _ := withoutUnit(words(known))
	b, _ := withoutUnit(words(own))
	if len(a) == 0 || len(b) == 0 || negated(a) != negated(b) {
		return 0
	}
	if p, q := affirmed(a), affirmed(b); len(p) > 0 && len(q) > 0 {
		a, b = p, q // that both say no makes them no more alike
	}
	shared := 2 * inCommon(a, b) / float64(len(a)+len(b))
	return max(shared, synonym*spelling(strings.Join(a, ""), strings.Join(b, "")))
}

// inCommon counts the words that two names share; another word for the same thing counts less.
func inCommon(a, b []string) float64 {
	common, left := 0.0, slices.Clone(b)
	for _, w := range a {
		if i := slices.Index(left, w); i >= 0 {
			common++
			left = slices.Delete(left, i, i+1)
			continue
		}
		if i := slices.IndexFunc(left, func(v string) bool { return slices.Contains(other(w), v) || slices.Contains(other(v), w) }); i >= 0 {
			common += synonym
			left = slices.Delete(left, i, i+1)
		}
	}
	return common
}

// leastSpelled is the least length of names that are compared by their letters.
const leastSpelled = 5

// spelling is how alike two names are by their letters.
func spelling(a, b string) float64 {
	longest := max(len(a), len(b))
	if min(len(a), len(b)) < leastSpelled {
		return 0
	}
	return 1 - float64(levenshtein.ComputeDistance(a, b))/float64(longest)
}

// affirmed leaves out the no of a name.
func affirmed(list []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(w string) bool { return slices.Contains([]string{"not", "nicht", "kein", "keine"}, w) })
}

func negated(list []string) bool {
	return slices.ContainsFunc(list, func(w string) bool {
		return slices.Contains([]string{"not", "nok", "nicht", "nio", "kein", "keine"}, w)
	})
}

// bestPairs ties names to each other, the most alike first and each once: by the place of one of known
// the place of one of own. Of two that are as alike the first counts.
func bestPairs(known, own int, score func(k, o int) float64) map[int]int {
	type pair struct {
		known, own int
		score      float64
	}
	var list []pair
	for k := range known {
		for o := range own {
			if s := score(k, o); s >= alike {
				list = append(list, pair{k, o, s})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b pair) int { return cmp.Compare(b.score, a.score) })
	pairs, used := map[int]int{}, map[int]bool{}
	for _, p := range list {
		if _, done := pairs[p.known]; !done && !used[p.own] {
			pairs[p.known], used[p.own] = p.own, true
		}
	}
	return pairs
}
