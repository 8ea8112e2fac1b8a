package main

import "strings"

// sheet is what a page for people is written on.
type sheet struct {
	*screen
	out strings.Builder
}

// line prints one line without blanks at its end.
func (v *sheet) line(parts ...string) {
	v.out.WriteString(strings.TrimRight(strings.Join(parts, ""), " ") + "\n")
}

func (v *sheet) section(name string) {
	v.line()
	v.line(v.ruled(name))
}

func (v *sheet) prose(text string) {
	v.out.WriteString(paragraph(v.plain(text), "", v.width))
}
