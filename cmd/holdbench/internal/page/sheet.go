package page

import "strings"

// Sheet is what a page for people is written on.
type Sheet struct {
	*Screen
	out strings.Builder
}

// NewSheet is an empty sheet as wide as a screen.
func NewSheet(s *Screen) Sheet { return Sheet{Screen: s} }

// String is all that was written.
func (v *Sheet) String() string { return v.out.String() }

// Put writes text that is laid out already.
func (v *Sheet) Put(text string) { v.out.WriteString(text) }

// Line prints one line without blanks at its end.
func (v *Sheet) Line(parts ...string) {
	v.Put(strings.TrimRight(strings.Join(parts, ""), " ") + "\n")
}

// Section starts a part with its name on a rule.
func (v *Sheet) Section(name string) {
	v.Line()
	v.Line(v.Ruled(name))
}

// Prose prints a paragraph.
func (v *Sheet) Prose(text string) {
	v.Put(Paragraph(v.Plain(text), "", v.Width))
}
