package st

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"holdbench/plant/problem"
)

// maxProblems bounds the list of one file.
const maxProblems = 100

// span is a piece of the text, in bytes: from the first up to, not including, the last.
type span struct{ from, to int32 }

// until is the span from the beginning of one to the end of another.
func (s span) until(end span) span { return span{s.from, max(s.to, end.to)} }

// source is a text with its errors and warnings.
type source struct {
	file  string
	text  string
	lines []int32 // where each line begins
	list  problem.List
	seen  map[span]bool // places with an error: a second one there is a consequence
	full  bool
}

func newSource(file, text string) *source {
	text = strings.TrimPrefix(text, byteOrderMark)
	s := &source{file: file, text: text, lines: []int32{0}, seen: map[span]bool{}}
	for i := range len(text) {
		if text[i] == '\n' {
			s.lines = append(s.lines, int32(i+1))
		}
	}
	return s
}

// place is the line and the character in it, both from 1.
func (s *source) place(offset int32) (line, column int) {
	i, found := slices.BinarySearch(s.lines, offset)
	if !found {
		i--
	}
	return i + 1, utf8.RuneCountInString(s.text[s.lines[i]:min(int(offset), len(s.text))]) + 1
}

// piece is the text of a span.
func (s *source) piece(at span) string { return s.text[at.from:at.to] }

// errorf reports an error at a place.
func (s *source) errorf(at span, format string, values ...any) {
	if s.seen[at] || s.full {
		return
	}
	s.seen[at] = true
	s.add(at, fmt.Sprintf(format, values...), false)
	if len(s.list) >= maxProblems {
		s.full = true
		s.add(at, fmt.Sprintf("there are more than %d problems; the rest is not shown", maxProblems), false)
	}
}

// warnf reports a warning: something that is allowed and probably not meant.
func (s *source) warnf(at span, format string, values ...any) {
	if !s.full {
		s.add(at, fmt.Sprintf(format, values...), true)
	}
}

// notef reports what could not be checked, at a place whose text has nothing to do with it.
func (s *source) notef(at span, format string, values ...any) {
	if !s.full {
		p := s.problem(at, fmt.Sprintf(format, values...), true)
		p.Note, p.Excerpt = true, ""
		s.list = append(s.list, p)
	}
}

func (s *source) add(at span, message string, warning bool) {
	s.list = append(s.list, s.problem(at, message, warning))
}

func (s *source) problem(at span, message string, warning bool) problem.Problem {
	line, column := s.place(at.from)
	return problem.Problem{
		File: s.file, Line: line, Column: column, Message: message, Warning: warning,
		Excerpt: s.excerpt(at, line, column),
	}
}

// excerpt is the line, shortened around the place if it is long, with carets below the place.
func (s *source) excerpt(at span, line, column int) string {
	const before, width = 60, 100
	from := int(s.lines[line-1])
	text, _, _ := strings.Cut(s.text[from:], "\n")
	text = strings.TrimSuffix(text, "\r")
	runes := []rune(strings.ReplaceAll(text, "\t", " "))
	carets := utf8.RuneCountInString(s.text[at.from:min(int(at.to), max(from+len(text), int(at.from)))])
	start := 0
	if column > before+20 {
		start = min(column-before, len(runes))
	}
	runes = runes[start:min(start+width, len(runes))]
	column -= start
	carets = max(1, min(carets, width-column+1))
	number := strconv.Itoa(line)
	return number + " | " + printable(runes) + "\n" + strings.Repeat(" ", len(number)) + " | " +
		strings.Repeat(" ", max(column-1, 0)) + strings.Repeat("^", carets)
}

// printable replaces control characters, which would disturb a terminal.
func printable(runes []rune) string {
	out := slices.Clone(runes)
	for i, r := range out {
		if r < ' ' || r == 0x7f || r == utf8.RuneError {
			out[i] = '?'
		}
	}
	return string(out)
}

// problems are the errors and warnings, in the order of the text.
func (s *source) problems() problem.List {
	slices.SortStableFunc(s.list, func(a, b problem.Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return s.list
}

// failed is whether there is an error.
func (s *source) failed() bool {
	return slices.ContainsFunc(s.list, func(p problem.Problem) bool { return !p.Warning })
}
