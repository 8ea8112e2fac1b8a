package export

import (
	"fmt"
	"strings"

	"github.com/mattn/go-runewidth"
)

// comment writes a comment, broken into lines.
func (w *stWriter) comment(depth int, text string) {
	words := strings.Fields(commentText(text))
	lines := wrapped(words, " ", "\n"+strings.Repeat("  ", depth)+"   ", widest-2*depth-6)
	w.line(depth, "(* %s *)", lines)
}

// commentText is text that neither ends a comment nor begins one in it.
func commentText(text string) string {
	text = strings.ReplaceAll(plain(text), "(*", "( *")
	return strings.ReplaceAll(text, "*)", "* )")
}

// wrapped joins words by a separator, and by another one where a line would be too long.
func wrapped(words []string, separator, broken string, width int) string {
	var b strings.Builder
	length := 0
	for i, word := range words {
		n := runewidth.StringWidth(word)
		switch {
		case i == 0:
		case length+len(separator)+n > width:
			b.WriteString(broken)
			length = 0
		default:
			b.WriteString(separator)
			length += len(separator)
		}
		b.WriteString(word)
		length += n
	}
	return b.String()
}

// stringText is text as a literal of a STRING, IEC 61131-3:2013, 6.3.3: a dollar sign and two
// hexadecimal digits stand for a byte that is not printed.
func stringText(text string) string {
	var b strings.Builder
	for _, c := range []byte(text) {
		switch {
		case c == '\'' || c == '$':
			b.WriteString("$" + string(c))
		case c < ' ' || c >= 0x7f:
			fmt.Fprintf(&b, "$%02X", c)
		default:
			b.WriteByte(c)
		}
	}
	return "'" + b.String() + "'"
}

// refuseText refuses text for the operator that a STRING cannot hold on every controller: what is not
// printed in ISO/IEC 646.
func (w *stWriter) refuseText(text string) {
	for _, r := range text {
		if r < ' ' || r >= 0x7f {
			w.refuse("the alarm %q has the character %q, which not every controller has in a STRING; must be of printed ASCII characters", text, r)
			return
		}
	}
}

// longestText is how long the longest text for the operator is, at least the 80 characters that a
// STRING has without a length (common practice).
func (w *stWriter) longestText() int {
	longest := 80
	for _, s := range w.program.States() {
		for _, a := range s.Sets {
			if a.Signal.Words == nil && a.Expr == nil {
				longest = max(longest, len(a.Word))
			}
		}
	}
	return (longest + 9) / 10 * 10
}
