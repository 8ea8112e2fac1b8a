package binding

import (
	"maps"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// checkWord finds the value of each word.
func (c *checker) checkWord(path string, w *Link, l *link) {
	t := l.handle.Type()
	switch {
	case w.Unit != "" || w.Scale != 0:
		c.fail(path, "%s is a word; must have words in place of unit and scale", l.signal.Name)
		return
	case l.real() || l.kind == st.Time:
		c.fail(path, "%s is %s; the signal %s is a word and must be an enumeration, an integer, a BOOL or a STRING", w.Variable, article(t), l.signal.Name)
		return
	case l.signal.Words == nil && l.kind == st.String && len(w.Words) == 0:
		return // free text
	case l.signal.Words == nil && len(w.Words) == 0:
		c.fail(path, "%s is %s; words must say which value stands for which text", w.Variable, article(t))
		return
	case len(w.Words) == 0 && l.kind != st.Enum && l.kind != st.String:
		c.fail(path, "%s is %s; words must say which value stands for which of %s", w.Variable, article(t), shownWords(l.signal.Words))
		return
	}
	written := w.Words
	if len(written) == 0 {
		written = c.ownWords(l)
	}
	c.unknownWords(path, w, l)
	for place, word := range c.wordsOf(l, written) {
		c.values(path, l, word, place, written[shownWord(word)])
	}
	c.missingWords(path, w.Variable, l)
}

// ownWords takes the words of the signal for those of the variable: as they are for a STRING, and
// by the same name for an enumeration.
func (c *checker) ownWords(l *link) map[string]Values {
	own := map[string]Values{}
	for _, word := range l.signal.Words {
		if l.kind == st.String {
			own[shownWord(word)] = Values{word}
			continue
		}
		for _, v := range l.handle.Type().Values() {
			if strings.EqualFold(v.Name, strings.ReplaceAll(shownWord(word), "-", "_")) {
				own[shownWord(word)] = Values{v.Name}
			}
		}
	}
	return own
}

// wordsOf are the words in the order of the signal; of free text, sorted.
func (c *checker) wordsOf(l *link, written map[string]Values) []string {
	if l.signal.Words == nil {
		return slices.Sorted(maps.Keys(written))
	}
	return l.signal.Words
}

// unknownWords refuses words that the signal does not have.
func (c *checker) unknownWords(path string, w *Link, l *link) {
	if l.signal.Words == nil {
		return
	}
	for _, word := range slices.Sorted(maps.Keys(w.Words)) {
		if !slices.ContainsFunc(l.signal.Words, func(w string) bool { return shownWord(w) == word }) {
			c.fail(path+".words."+shownWord(word), "%s has no word %q; must be one of %s", l.signal.Name, word, shownWords(l.signal.Words))
		}
	}
}

// values reads the values of a word.
func (c *checker) values(path string, l *link, word string, place int, written Values) {
	if !l.signal.Output && len(written) > 1 {
		c.fail(path+".words."+shownWord(word), "%s is written to the program and has %d values for %s; must be one", l.signal.Name, len(written), word)
		return
	}
	for _, text := range written {
		v := value{word: word, place: place, text: text}
		if l.kind != st.String {
			whole, ok := parseValue(l.handle.Type(), text)
			if !ok {
				c.fail(path+".words."+shownWord(word), "%q is no value of %s%s", text, article(l.handle.Type()), nearestValue(l.handle.Type(), text))
				continue
			}
			v.whole = whole
		}
		if err := c.refused(l, &v); err != nil {
			c.fail(path+".words."+shownWord(word), "%s", err.Error())
			continue
		}
		if k := slices.IndexFunc(l.words, func(o value) bool { return o.whole == v.whole && (l.kind != st.String || o.text == v.text) }); k >= 0 {
			c.fail(path+".words."+shownWord(word), "the value %s stands for %s already; must stand for one word", text, shownWord(l.words[k].word))
			continue
		}
		l.words = append(l.words, v)
	}
}

// refused is why a variable that is written cannot have a value, so that no scan fails for it.
func (c *checker) refused(l *link, v *value) error {
	if l.signal.Output || l.kind == st.String || l.kind == st.Bool {
		return nil
	}
	return c.machine().SetInt(l.handle, v.whole)
}

// missingWords refuses an input with a word that has no value, as the program could not be told of
// it, and warns of a value that stands for no word of an output.
func (c *checker) missingWords(path, variable string, l *link) {
	has := func(word string) bool {
		return slices.ContainsFunc(l.words, func(v value) bool { return v.word == word })
	}
	if !l.signal.Output {
		for _, word := range l.signal.Words {
			if !has(word) {
				c.fail(path, "no value of %s stands for %s; words must name one", variable, shownWord(word))
			}
		}
		return
	}
	for _, v := range l.handle.Type().Values() {
		if !slices.ContainsFunc(l.words, func(w value) bool { return w.whole == v.Value }) {
			c.warn(path, "the value %s of %s stands for no word of %s: a scan that leaves it there stops the controller", v.Name, variable, l.signal.Name)
		}
	}
}

func shownWords(words []string) string {
	shown := make([]string, len(words))
	for i, w := range words {
		shown[i] = shownWord(w)
	}
	return strings.Join(shown, ", ")
}

// ShownWord writes a word as a binding does, which has none for the empty one.
func ShownWord(word string) string { return shownWord(word) }

// shownWord writes the empty word as a binding does.
func shownWord(word string) string {
	if word == "" {
		return noWord
	}
	return word
}

// noWord stands for the empty word, which cannot be a key.
const noWord = "none"

// nearestValue suggests a value of an enumeration.
func nearestValue(t *st.Type, text string) string {
	var names []string
	for _, v := range t.Values() {
		names = append(names, v.Name)
	}
	if len(names) == 0 {
		return "; must be a whole number"
	}
	return "; " + sequence.Suggest(text, names)
}
