package scenarios

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/token"
	"github.com/rivo/uniseg"

	"holdbench/plant/problem"
)

// findings collects what is wrong with one document, up to a number that can be read.
type findings struct {
	source *source
	list   problem.List
}

func (f *findings) add(tk *token.Token, format string, args ...any) {
	if len(f.list) <= maxProblems {
		f.list = append(f.list, f.source.problemAtToken(tk, format, args...))
	}
}

// err is the list in the order of the document, nil if it is empty.
func (f *findings) err() error {
	list := f.list
	slices.SortStableFunc(list, func(a, b problem.Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	if len(list) > maxProblems {
		list[maxProblems] = problem.Problem{File: f.source.name, Message: "further problems are not listed"}
	}
	return list.OrNil()
}

const (
	excerptWidth = 100 // a wider line is shown in part
	excerptLead  = 60  // what of it is shown before the caret
	cut          = "…"
)

// excerpt shows a line with its number and a caret under one of its characters.
func excerpt(line string, number, column int) string {
	runes := []rune(line)
	at := min(max(column, 1), max(len(runes), 1)) - 1
	from, to := shownPart(runes, at)
	before, after := printable(string(runes[from:at])), printable(string(runes[at:to]))
	if from > 0 {
		before = cut + before
	}
	if to < len(runes) {
		after += cut
	}
	shown := before + after
	// A combining mark has no column of its own.
	indent := max(min(uniseg.StringWidth(before), uniseg.StringWidth(shown)-1), 0)
	return fmt.Sprintf("%5d | %s\n%5s | %s^", number, shown, "", strings.Repeat(" ", indent))
}

// shownPart is the part of a line that is shown: all of it, or what is around a
// character.
func shownPart(runes []rune, at int) (from, to int) {
	if len(runes) <= excerptWidth && uniseg.StringWidth(printable(string(runes))) <= excerptWidth {
		return 0, len(runes)
	}
	from, to = at, at
	for from > 0 && uniseg.StringWidth(printable(string(runes[from-1:at]))) <= excerptLead {
		from--
	}
	for to < len(runes) && uniseg.StringWidth(printable(string(runes[at:to+1]))) <= excerptWidth-excerptLead {
		to++
	}
	return from, to
}

// printable replaces characters that would control the terminal or shift the caret.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsPrint(r):
			return r
		}
		return unicode.ReplacementChar
	}, text)
}
