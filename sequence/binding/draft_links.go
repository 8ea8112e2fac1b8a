package binding

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// signals ties those of one side. One that is left stands as a comment, with the variable that it may be
// where a type does not say enough.
func (d *draft) signals(key string, table []sequence.Signal, meant, never st.Section) {
	bound := bestPairs(len(table), len(d.all), func(s, v int) float64 { return d.likeness(&table[s], &d.all[v], meant, never) })
	d.line("%s:", key)
	var taken []string
	for _, v := range bound {
		taken = append(taken, d.all[v].path)
	}
	for s := range table {
		v, ok := bound[s]
		flags, paths := d.flagsInPlaceOf(&table[s], bound, s, taken)
		switch {
		case flags != "":
			d.line("  %s: %s", table[s].Name, flags)
			taken = append(taken, paths...)
			d.asksUp = d.asksUp || table[s].Name == "ask"
		case ok:
			d.line("  %s: %s", table[s].Name, linkText(&table[s], &d.all[v]))
			d.asksUp = d.asksUp || table[s].Name == "ask" && slices.Contains(wordsOfLink(&table[s], &d.all[v]), sequence.AskUp.String())
		default:
			d.line("  # %s:%s", table[s].Name, d.left(&table[s], never))
		}
	}
	for _, path := range taken {
		d.take(path)
	}
}

// flagsInPlaceOf are the flags of an output that nothing else is found for, or one BOOL, which says less.
func (d *draft) flagsInPlaceOf(s *sequence.Signal, bound map[int]int, place int, taken []string) (text string, paths []string) {
	v, ok := bound[place]
	switch {
	case !s.Output || ok && d.all[v].typ.Kind() != st.Bool:
		return "", nil
	case ok:
		taken = slices.DeleteFunc(slices.Clone(taken), func(path string) bool { return path == d.all[v].path })
	}
	return d.flagsOf(s, taken)
}

// left is the comment of a signal that is not bound: the variable that it may be, and whether a test can be
// made without it.
func (d *draft) left(s *sequence.Signal, never st.Section) string {
	text := d.numbered(s, never)
	var says []string
	switch s.Name {
	case "drive", "brake":
		says = append(says, "necessary")
	case "ask":
		says = append(says, "necessary for the judge")
	case "required_current_a":
		says = append(says, "necessary where judge.kind is current")
	}
	if text != "" {
		says = append(says, "with its numbers")
	}
	if len(says) == 0 {
		return ""
	}
	return text + "   # " + strings.Join(says, ", ")
}

// likeness is how well a variable fits a signal, 0 if it cannot be it. The words of an enumeration say as
// much as its name. Of two variables the one in the section that is meant for it comes first; one inside of a block
// that declares such a section must be very alike.
func (d *draft) likeness(s *sequence.Signal, c *candidate, meant, never st.Section) float64 {
	const bonus, lesser, inside = 0.1, 0.9, 0.25
	if c.owner.Section == never || ofTheOther(s.Name, c.path) || !fits(s, c.typ) || s.Kind == sequence.KindNumber && !unitFits(c.path, s.Unit) {
		return 0
	}
	name := similarity(s.Name, c.path)
	if c.typ.Kind() == st.Bool {
		name, _ = sense(s, c.path)
	}
	if s.Unit == sequence.UnitOf("_deg") && !saysUnit(c.path, "deg", "mdeg", "rad") {
		name = aliasSimilarity(s.Name, c.path) // a position is in mm unless its name says that it is an angle
	}
	score := name
	if s.Words != nil && c.typ.Kind() == st.Enum {
		common := wordsInCommon(s, c.typ)
		if !s.Output && common < len(s.Words) {
			return 0 // the program could not be told of a word
		}
		score = max(name, lesser*2*float64(common)/float64(len(s.Words)+len(c.typ.Values()))+float64(bonus*name))
	}
	switch {
	case score < alike:
	case s.Kind == sequence.KindNumber && !s.Output && c.owner.Initial != "":
		score -= inside // a value of its own is that of a parameter
	case c.owner.Section == meant:
		score += bonus
	case d.declares(meant):
		score -= inside
	}
	return score
}

// declares is whether the block has variables in a section.
func (d *draft) declares(section st.Section) bool {
	return slices.ContainsFunc(d.block.Variables, func(v *st.Variable) bool { return v.Section == section })
}

// numbered is the comment of a word that is not bound, with an integer of a similar name, whose numbers
// only the programmer knows.
func (d *draft) numbered(s *sequence.Signal, never st.Section) string {
	if s.Words == nil {
		return ""
	}
	for i := range d.all {
		c := &d.all[i]
		if k := c.typ.Kind(); c.owner.Section == never || !isInteger(k) || similarity(s.Name, c.path) < alike {
			continue
		}
		var parts []string
		for _, word := range s.Words {
			parts = append(parts, shownWord(word)+": …")
		}
		return fmt.Sprintf(" {variable: %s, words: {%s}}", c.path, strings.Join(parts, ", "))
	}
	return ""
}

// fits is whether a variable can hold a signal. A BOOL can ask in one direction.
func fits(s *sequence.Signal, t *st.Type) bool {
	k := t.Kind()
	switch s.Kind {
	case sequence.KindBoolean:
		return k == st.Bool
	case sequence.KindNumber:
		return holdsNumber(k, s.Unit)
	}
	if s.Words == nil {
		return k == st.String
	}
	return k == st.Enum || k == st.Bool && (len(s.Words) == 2 || s.Name == "ask")
}

// holdsNumber is whether a kind of variable can hold a number in a unit.
func holdsNumber(k st.Kind, unit sequence.Unit) bool {
	return isInteger(k) || k == st.Real || k == st.Lreal || k == st.Time && unit == sequence.UnitOf("_s")
}

// linkText is a link as it is written, with the words where they are needed.
func linkText(s *sequence.Signal, c *candidate) string {
	switch {
	case s.Kind == sequence.KindNumber:
		return numberText(s.Name, s.Unit, c)
	case s.Kind == sequence.KindBoolean:
		if _, inverted := sense(s, c.path); inverted {
			return fmt.Sprintf("{variable: %s, inverted: true}   # check: is it FALSE while %s is true?", c.path, s.Name)
		}
		if s.Name == "estop" {
			return c.path + "   # check: is it TRUE while the stop is pressed? else {variable: " + c.path + ", inverted: true}"
		}
		return c.path
	case s.Words == nil:
		return c.path
	case c.typ.Kind() == st.Bool:
		text, check := boolWords(s, c.path)
		return fmt.Sprintf("{variable: %s, words: {%s}}%s", c.path, text, check)
	}
	values := valuesFor(s.Words, c.typ)
	var parts []string
	for i, word := range s.Words {
		if v, ok := values[i]; ok {
			parts = append(parts, shownWord(word)+": "+c.typ.Values()[v].Name)
		}
	}
	return fmt.Sprintf("{variable: %s, words: {%s}}", c.path, strings.Join(parts, ", "))
}

// numberText is a number, with the unit that the name of its variable ends with where it is another, and
// with a question where the unit of an integer is not known.
func numberText(name string, unit sequence.Unit, c *candidate) string {
	_, written := withoutUnit(pathWords(c.path))
	if own := unitWritten(written, unit); own != "" && c.typ.Kind() != st.Time {
		return fmt.Sprintf("{variable: %s, unit: %s}", c.path, own)
	}
	if k := c.typ.Kind(); isInteger(k) && unit != (sequence.Unit{}) && len(written) == 0 {
		_, of := withoutUnit(words(name))
		return c.path + "   # an integer in " + strings.Join(of, "_") + "? else {variable: " + c.path + ", unit: …}"
	}
	return c.path
}

// unitFits is whether the unit at the end of a name, if there is one, is that of a number or a multiple of it.
func unitFits(path string, of sequence.Unit) bool {
	_, written := withoutUnit(pathWords(path))
	text := strings.Join(written, "")
	known := false
	for _, u := range units() {
		if flatUnit(u.text) == text {
			if sequence.UnitOf(u.like) == of {
				return true
			}
			known = true
		}
	}
	return !known
}

// flatUnit is a unit as names have it: mm/s is mms.
func flatUnit(text string) string {
	return strings.ToLower(strings.NewReplacer("/", "", " ", "").Replace(text))
}

// unitWritten is the unit at the end of a name; empty if it is none, or that of the bench.
func unitWritten(list []string, of sequence.Unit) string {
	text := strings.Join(list, "")
	for _, u := range units() {
		if u.factor != 1 && flatUnit(u.text) == text && sequence.UnitOf(u.like) == of {
			return u.text
		}
	}
	return ""
}

// boolWords are the words of a BOOL, by its name, and what is to be checked of them.
func boolWords(s *sequence.Signal, path string) (text, check string) {
	if s.Name == "ask" {
		word := sequence.AskDown.String()
		if slices.ContainsFunc(pathWords(path), func(w string) bool { return w == "up" || w == "auf" }) {
			word = sequence.AskUp.String()
		}
		return shownWord(sequence.AskNone.String()) + ": false, " + word + ": true", ""
	}
	first, said := polarity(s.Name, path)
	if !said {
		check = questionOf(s.Words)
	}
	return fmt.Sprintf("%s: %t, %s: %t", shownWord(s.Words[0]), first, shownWord(s.Words[1]), !first), check
}

// questionOf asks which of two words TRUE stands for, where the name does not say it.
func questionOf(list []string) string {
	verbs := map[string]string{"open": "open", "closed": "close", "allowed": "allow", "inhibited": "inhibit"}
	return "   # check: does TRUE " + verbs[list[0]] + " or " + verbs[list[1]] + "?"
}

// wordsOfLink are the words that a link would have.
func wordsOfLink(s *sequence.Signal, c *candidate) []string {
	var list []string
	if c.typ.Kind() == st.Bool {
		text, _ := boolWords(s, c.path)
		return append(list, strings.FieldsFunc(text, func(r rune) bool { return r == ':' || r == ',' || r == ' ' })...)
	}
	for i := range valuesFor(s.Words, c.typ) {
		list = append(list, s.Words[i])
	}
	return list
}

// valuesFor are the values of an enumeration that words are most alike to, each for one word, by the place
// of the word.
func valuesFor(list []string, t *st.Type) map[int]int {
	names := stateNames(t.Values())
	return bestPairs(len(list), len(names), func(k, o int) float64 {
		return nameSimilarity(shownWord(list[k]), names[o])
	})
}

func wordsInCommon(s *sequence.Signal, t *st.Type) int { return len(valuesFor(s.Words, t)) }
