package export

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// xmlComment is text within a comment, which may hold no two hyphens in a row (XML 1.0, 2.5).
func xmlComment(text string) string {
	text = xmlText(text)
	for strings.Contains(text, "--") {
		text = strings.ReplaceAll(text, "--", "- -")
	}
	return text
}

// xmlText is text without the characters that no XML document may hold (XML 1.0, 2.2).
func xmlText(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' || r == 0xFFFE || r == 0xFFFF {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

// xmlAttribute is text as the value of an attribute in double quotes. A line break in it counts as a
// blank (XML 1.0, 3.3.3).
func xmlAttribute(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", `"`, "&quot;").Replace(xmlText(text))
}

// scriptString is text as a literal of ECMAScript.
func scriptString(text string) string {
	var b strings.Builder
	b.WriteByte('\'')
	for _, r := range strings.ToValidUTF8(text, string(utf8.RuneError)) {
		switch {
		case r == '\'' || r == '\\':
			b.WriteString(`\` + string(r))
		case r < ' ' || r >= 0x7F && r < 0xA0 || r == 0x2028 || r == 0x2029 || r == 0xFFFE || r == 0xFFFF:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('\'')
	return b.String()
}
