package binding

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// step is a value of the variable that says the state.
type step struct {
	key   string // as the binding writes it
	value int64
	own   string // its name in the program, as a state can be named
	note  string // the comment beside its label
	mark  string // what a draft says of it
	at    int    // offset of the branch in the text; 0 without one
}

// stepsOfEnumeration are the values of an enumeration.
func stepsOfEnumeration(t *st.Type) []step {
	values := t.Values()
	list := make([]step, len(values))
	for i, name := range stateNames(values) {
		list[i] = step{key: values[i].Name, value: values[i].Value, own: name}
	}
	return list
}

// fewestLabels is the least number of labels with which a CASE over an integer is taken for that of the state.
const fewestLabels = 3

// findNumbers finds the integer that the CASE with the most labels selects by.
func (d *draft) findNumbers() {
	for i := range d.all {
		c := d.all[i]
		if k := c.typ.Kind(); !isInteger(k) || k == st.Ulint || c.owner.Section == st.Input {
			continue
		}
		r, err := d.program.Find(d.block, c.path)
		if err != nil {
			continue
		}
		if list := d.labels(d.program.Cases(d.block, r)); len(list) >= fewestLabels && len(list) > len(d.values) {
			d.steps, d.values = &c, list
		}
	}
	if d.steps != nil {
		d.values = d.withoutLabel(d.steps, d.values)
	}
}

// labels are the values that the labels of CASE statements stand for, each once, with the comments beside
// them.
func (d *draft) labels(cases []st.Case) []step {
	var list []step
	for _, c := range cases {
		for _, b := range c.Branches {
			note := d.commentAt(b.First.Line)
			for i, r := range b.Ranges {
				for _, value := range valuesOf(r) {
					if !slices.ContainsFunc(list, func(s step) bool { return s.value == value }) {
						list = append(list, step{key: strconv.FormatInt(value, 10), value: value, own: ownState(b.Labels[i], note, value), note: note, at: b.First.Offset})
					}
				}
			}
		}
	}
	return list
}

// valuesOf are the first values of a range.
func valuesOf(r st.Range) []int64 {
	const most = 50
	var list []int64
	for value := r.From; len(list) < most; value++ {
		if list = append(list, value); value == r.To {
			break
		}
	}
	return list
}

// ownState is a name for a state: its label where that is a name, else a short comment, else its number.
func ownState(label, note string, value int64) string {
	if _, err := strconv.ParseInt(label, 10, 64); err != nil && regexp.MustCompile(`^[A-Za-z_]\w*$`).MatchString(label) {
		if name := strings.Join(words(label), "_"); sequence.StateNameFault(name) == "" {
			return name
		}
	}
	if name := shortName(note); name != "" {
		return name
	}
	if value < 0 {
		return fmt.Sprintf("step_minus_%d", -value)
	}
	return fmt.Sprintf("step_%d", value)
}

// shortName is a comment of few words as a name of a state; empty if it is none.
func shortName(note string) string {
	const most = 3
	empty := []string{"the", "a", "to", "of", "in", "and", "for", "on", "is", "der", "die", "das", "den", "dem", "zur", "zum", "und", "auf", "im", "am", "ist"}
	list := words(strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss").Replace(note))
	list = slices.DeleteFunc(list, func(w string) bool { return slices.Contains(empty, w) })
	name := strings.Join(list, "_")
	if len(list) == 0 || len(list) > most || sequence.StateNameFault(name) != "" {
		return ""
	}
	return name
}

// commentAt is the comment on a line of the program; of a line without one, that of the line before if it has
// nothing else.
func (d *draft) commentAt(line int) string {
	lines := strings.Split(d.program.Text, "\n")
	for n := line; n >= max(1, line-1) && n <= len(lines); n-- {
		code, comment := lines[n-1], ""
		if i := strings.IndexAny(code, "/("); i >= 0 {
			if found := regexp.MustCompile(`\(\*(.*?)\*\)|//(.*)`).FindStringSubmatchIndex(code); found != nil {
				comment = strings.Trim(code[found[0]:found[1]], "/(* \t\r")
				comment = strings.TrimRight(comment, ")* ")
				code = code[:found[0]]
			}
		}
		if comment != "" && (n == line || strings.TrimSpace(code) == "") {
			return firstRunes(comment)
		}
	}
	return ""
}

// firstRunes shortens a comment to what a note can be.
func firstRunes(text string) string {
	const most = 60
	if runes := []rune(text); len(runes) > most {
		return strings.TrimSpace(string(runes[:most])) + "…"
	}
	return text
}

// withoutLabel adds the values that the variable has and that are no label: the initial one, and those
// that are assigned. A value without a state stops the controller.
func (d *draft) withoutLabel(c *candidate, list []step) []step {
	add := func(value int64, mark string) {
		if !slices.ContainsFunc(list, func(s step) bool { return s.value == value }) {
			list = append(list, step{key: strconv.FormatInt(value, 10), value: value, own: ownState("", "", value), mark: mark})
		}
	}
	r, err := d.program.Find(d.block, c.path)
	if err != nil {
		return list
	}
	m, err := d.program.New(d.block)
	if err != nil {
		return list
	}
	add(m.Int(r), "   # its initial value, without a label")
	assigned := regexp.MustCompile(`(?i)\b` + regexp.QuoteMeta(c.path) + `\s*:=\s*([A-Za-z_]\w*|\d+)\s*;`)
	within := ""
	for line := range strings.Lines(d.program.Text) {
		var code string
		code, within = codeOf(line, within)
		for _, found := range assigned.FindAllStringSubmatch(code, -1) {
			if value, ok := d.constant(m, found[1]); ok {
				add(value, "   # assigned, without a label")
			}
		}
	}
	return list
}

// constant is the value of a number or of a named constant.
func (d *draft) constant(m *st.Machine, text string) (int64, bool) {
	if value, err := strconv.ParseInt(text, 10, 64); err == nil {
		return value, true
	}
	r, err := d.program.Find(d.block, text)
	if err != nil || !r.Variable().Constant || !isInteger(r.Type().Kind()) {
		return 0, false
	}
	return m.Int(r), true
}

// stepText is a value with its state as a binding writes it.
func stepText(s *step, name string) string {
	if s.note == "" {
		return s.key + ": " + name + s.mark
	}
	return fmt.Sprintf("%s: {state: %s, note: %q}%s", s.key, name, s.note, s.mark)
}
