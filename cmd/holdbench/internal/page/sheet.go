package page

import "strings"

// Sheet is what a page for people is written on.
type Sheet struct {
	*Screen
	Out strings.Builder
}

// Line prints one line without blanks at its end.
func (v *Sheet) Line(parts ...string) {
	v.Out.WriteString(strings.TrimRight(strings.Join(parts, ""), " ") + "\n")
}

func (v *Sheet) Section(name string) {
	v.Line()
	v.Line(v.Ruled(name))
}

func (v *Sheet) Prose(text string) {
	v.Out.WriteString(Paragraph(v.Plain(text), "", v.Width))
}
