package st

import "strings"

// standardWords replaces words of other dialects by those of the standard that are meant, and reports
// each, so that the parser goes on as if they had been right. A name that the file declares stays.
func standardWords(src *source, list []token) []token {
	w := &wordReader{src: src, list: list, out: make([]token, 0, len(list)), declared: declaredNames(list), denied: map[string]bool{}}
	for w.next < len(list) {
		w.word()
	}
	return w.out
}

type wordReader struct {
	src      *source
	list     []token
	next     int
	out      []token
	declared map[string]bool // in capitals
	denied   map[string]bool // names in capitals that have been reported
}

// declaredNames are the names that stand before a colon or in a list.
func declaredNames(list []token) map[string]bool {
	names := map[string]bool{}
	for i, t := range list[:len(list)-1] {
		if next := list[i+1]; t.kind == tokName && (next.is(":") || next.is(",")) {
			names[upper(t.word)] = true
		}
	}
	return names
}

// word reads one token, or the few that stand for one.
func (w *wordReader) word() {
	t := w.list[w.next]
	u := upper(t.word)
	switch {
	case t.is("VAR"), t.is("FUNCTION"):
		w.twoWords(t)
	case t.kind == tokName && standardName(t.word) != t.word:
		w.underscores(t)
	case t.kind != tokName || w.declared[u]:
		w.copy()
	case u == "END" && joined(w.after(1)) && w.sameLine(1):
		w.report(2, "END_"+w.after(1).word)
	case u == "BEGIN" && w.behind("END_VAR"):
		w.src.errorf(t.at, "BEGIN is not in the standard; leave it out")
		w.next++
	case u == "AND_THEN", u == "OR_ELSE":
		op, _, _ := strings.Cut(u, "_")
		w.src.errorf(t.at, "%s is not in the standard; write %s, of which both sides are evaluated, or an IF within an IF", u, op)
		w.replace(1, tokKeyword, op)
	case standardWord(u) != "" && !w.isOperand():
		w.report(1, standardWord(u))
	default:
		w.copy()
	}
}

// underscores refuses a name for its underscores, once: its other places follow from the first.
func (w *wordReader) underscores(t token) {
	u := upper(t.word)
	foreign := strings.HasPrefix(u, "__") && !w.declared[u]
	switch {
	case w.denied[u]:
	case foreign:
		w.src.errorf(t.at, "%q is not in the standard, where no name has underscores in a row; leave it out", t.word)
	default:
		w.src.errorf(t.at, "%q is no name: underscores stand alone and not at the end; write %q", t.word, standardName(t.word))
	}
	w.denied[u] = true
	if foreign {
		w.replace(1, tokBad, "")
		return
	}
	w.copy()
}

// standardName is a name without underscores in a row and at the end.
func standardName(word string) string {
	for strings.Contains(word, "__") {
		word = strings.ReplaceAll(word, "__", "_")
	}
	if len(word) > 1 {
		word = strings.TrimSuffix(word, "_")
	}
	return word
}

// joined is whether a keyword makes another one with END_ before it.
func joined(t token) bool { return t.kind == tokKeyword && isKeyword("END_"+t.word) }

// standardWord is the keyword that is meant by a word, empty if there is none.
func standardWord(u string) string {
	switch u {
	case "ELSEIF", "ELIF", "ELSE_IF", "ELIFS":
		return "ELSIF"
	case "FUNCTIONBLOCK":
		return "FUNCTION_BLOCK"
	case "ENDFUNCTIONBLOCK", "ENDFUNCTION_BLOCK", "END_FUNCTIONBLOCK":
		return "END_FUNCTION_BLOCK"
	case "VARINPUT", "VAR_IN", "VAR_INPUTS":
		return "VAR_INPUT"
	case "VAROUTPUT", "VAR_OUT", "VAR_OUTPUTS":
		return "VAR_OUTPUT"
	case "VAR_INOUT", "VARINOUT", "VARIN_OUT":
		return "VAR_IN_OUT"
	case "VARTEMP", "VAR_TMP":
		return "VAR_TEMP"
	case "VARGLOBAL":
		return "VAR_GLOBAL"
	}
	if rest, ok := strings.CutPrefix(u, "END"); ok && isKeyword("END_"+rest) {
		return "END_" + rest
	}
	return ""
}

// isOperand is whether the word is used like a variable.
func (w *wordReader) isOperand() bool {
	for _, mark := range []string{":=", ".", "[", ")", "=>"} {
		if w.after(1).is(mark) {
			return true
		}
	}
	return w.behind("FUNCTION") || w.behind("FUNCTION_BLOCK") || w.behind("PROGRAM")
}

// twoWords reads VAR INPUT and its like, VAR CONST, and FUNCTION BLOCK.
func (w *wordReader) twoWords(t token) {
	second, third := w.after(1), w.after(2)
	u := upper(second.word)
	whole := t.word + "_" + u
	switch {
	case second.kind != tokName || third.kind != tokName && third.kind != tokKeyword || third.is("AT"):
		w.copy()
	case u == "CONST":
		w.copy()
		w.report(1, "CONSTANT")
	case isKeyword(whole):
		w.report(2, whole)
	default:
		w.copy()
	}
}

func (w *wordReader) after(n int) token { return w.list[min(w.next+n, len(w.list)-1)] }

// behind is whether the last token that was read is that word.
func (w *wordReader) behind(word string) bool {
	return len(w.out) > 0 && w.out[len(w.out)-1].is(word)
}

func (w *wordReader) sameLine(n int) bool {
	return lineOf(w.src, w.list[w.next].at.from) == lineOf(w.src, w.after(n).at.from)
}

func (w *wordReader) copy() {
	w.out = append(w.out, w.list[w.next])
	w.next++
}

// report reads a number of tokens as a keyword.
func (w *wordReader) report(n int, word string) {
	at := w.list[w.next].at.until(w.after(n - 1).at)
	w.src.errorf(at, "found %q; must be %s", w.src.piece(at), word)
	w.replace(n, tokKeyword, word)
}

func (w *wordReader) replace(n int, kind tokenKind, word string) {
	at := w.list[w.next].at.until(w.after(n - 1).at)
	w.out = append(w.out, token{kind: kind, at: at, word: word})
	w.next += n
}
