package binding

import (
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
	return list
}

// plain leaves out the first word if it only says the type or the direction of a variable, as is
// common practice.
func plain(list []string) []string {
	marks := []string{
		"b", "x", "i", "n", "di", "ui", "r", "f", "lr", "e", "s", "st", "fb", "t", "q", "in", "out", "io", "m", "g", "w", "dw", "a",
	}
	for len(list) > 1 && slices.Contains(marks, list[0]) {
		list = list[1:]
	}
	return list
}

// other are words that programmers write for a word of a signal (common practice).
func other(word string) []string {
	table := map[string][]string{
		"trigger": {"start", "execute", "request", "begin"}, "cancel": {"abort"}, "estop": {"emergency", "stop"},
		"reset": {"quit"}, "acknowledge": {"ack"}, "position": {"pos"}, "torque": {"trq", "moment"}, "current": {"curr", "cur"},
		"speed": {"velocity", "vel"}, "standstill": {"still", "stopped", "zero"}, "closed": {"close", "engaged"},
		"proof": {"valid"}, "judge": {"safety", "check"}, "failed": {"fail", "error"}, "cause": {"reason", "code"},
		"ask": {"request", "demand"}, "operation": {"release", "enable", "production", "inhibit"}, "drive": {"axis", "motor"},
		"target": {"setpoint", "dest"}, "press": {"build"}, "limit": {"max"}, "alarm": {"message", "text"},
		"nm": {"torque"}, "mm": {"position"}, "tested": {"proven"}, "count": {"counter", "number"}, "left": {"remaining", "rest"},
		"off": {"idle"}, "allowed": {"ok", "true"}, "inhibited": {"blocked", "locked", "false"}, "none": {"no", "idle"},
	}
	return table[word]
}

// similarity is how alike a signal and a variable are named, from 0 to 1: the share of words that the
// two have in common, other words for the same thing counting a little less, and their spelling.
func similarity(signal, variable string) float64 {
	a, b := words(signal), plain(words(variable))
	if len(a) == 0 || len(b) == 0 {
		return 0
	}
	common := 0.0
	left := slices.Clone(b)
	for _, w := range a {
		if i := slices.Index(left, w); i >= 0 {
			common++
			left = slices.Delete(left, i, i+1)
			continue
		}
		if i := slices.IndexFunc(left, func(v string) bool { return slices.Contains(other(w), v) || slices.Contains(other(v), w) }); i >= 0 {
			common += 0.8
			left = slices.Delete(left, i, i+1)
		}
	}
	shared := 2 * common / float64(len(a)+len(b))
	one, two := strings.Join(a, ""), strings.Join(b, "")
	spelling := 1 - float64(levenshtein.ComputeDistance(one, two))/float64(max(len(one), len(two)))
	return max(shared, 0.8*spelling)
}
