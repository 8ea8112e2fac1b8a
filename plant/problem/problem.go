// Package problem describes what is wrong with a document, or doubtful, and its location.
//
// A function that checks something returns its warnings as a [List] and what is wrong as
// an error, which is a List too:
//
//	warnings, err := plant.Validate(&rig)
//	for _, p := range problem.Of(err) {
//		fmt.Println(p.Path, p.Message)
//	}
package problem

import (
	"errors"
	"fmt"
	"strings"
)

// Problem is an error or a warning about a document: what was found, what is valid, and
// where. The checks of values know the path only; the reader of the document adds the
// file, the line and the excerpt.
type Problem struct {
	File    string // name in messages; empty if it is not known
	Line    int    // from 1; 0 if it concerns no single line
	Column  int    // character from 1 in the line or, without a line, in the value at the path; 0 is the whole
	Path    string // of the value within the document, such as load.mass_kg
	Message string
	Excerpt string // the line and a caret beneath it, empty without a line
	Warning bool   // the document can be used all the same
	Note    bool   // a warning that finds nothing wrong, as of what could not be checked
}

// At is a problem with the value at a path, in the words of [Text].
func At(path, format string, values ...any) Problem {
	return Problem{Path: path, Message: Text(format, values...)}
}

// AsWarning is the problem as one with which the document can be used.
func (p Problem) AsWarning() Problem {
	p.Warning = true
	return p
}

// Error writes the problem as file:line:column: message, with the excerpt below. Without
// a file it writes the path.
func (p Problem) Error() string {
	var b strings.Builder
	switch {
	case p.File == "":
		b.WriteString(p.Path)
		if p.Column > 0 {
			fmt.Fprintf(&b, " column %d", p.Column)
		}
	case p.Line > 0:
		fmt.Fprintf(&b, "%s:%d:%d", p.File, p.Line, p.Column)
	default:
		b.WriteString(p.File)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	switch {
	case p.Note:
		b.WriteString("note: ")
	case p.Warning:
		b.WriteString("warning: ")
	}
	b.WriteString(p.Message)
	if p.Excerpt != "" {
		b.WriteString("\n" + p.Excerpt)
	}
	return b.String()
}

// List is any number of problems, in the order of the document.
type List []Problem

// Add appends a problem with the value at a path.
func (l *List) Add(path, format string, values ...any) {
	*l = append(*l, At(path, format, values...))
}

// Warn appends a warning about the value at a path.
func (l *List) Warn(path, format string, values ...any) {
	*l = append(*l, At(path, format, values...).AsWarning())
}

// Split separates warnings from errors. The error is nil if there is none, else a List.
func (l List) Split() (warnings List, err error) {
	var wrong List
	for _, p := range l {
		if p.Warning {
			warnings = append(warnings, p)
		} else {
			wrong = append(wrong, p)
		}
	}
	return warnings, wrong.OrNil()
}

// Of is the list that an error holds, and one of a single problem for any other error.
func Of(err error) List {
	var list List
	if err != nil && !errors.As(err, &list) {
		list.Add("", "%s", err.Error())
	}
	return list
}

// OrNil is the list as an error, which is nil if the list is empty.
func (l List) OrNil() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Error writes all problems, one below the other.
func (l List) Error() string {
	texts := make([]string, len(l))
	for i := range l {
		texts[i] = l[i].Error()
	}
	return strings.Join(texts, "\n")
}

// Unwrap returns the single problems for errors.As and errors.Is.
func (l List) Unwrap() []error {
	all := make([]error, len(l))
	for i := range l {
		all[i] = l[i]
	}
	return all
}
