package checkcmd

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
)

// sharedCause is a problem that scenarios have, and how many have it.
type sharedCause struct {
	text  string
	count int
}

// unusableCauses are the causes for which scenarios cannot be used, the most frequent first; nil if each
// scenario has causes of its own, which then stand below it.
func unusableCauses(items []*item) []sharedCause {
	causes := sharedCauses(items, func(i *item) problem.List { return problem.Of(i.err) })
	if len(causes) == 0 || causes[0].count == 1 {
		return nil
	}
	return causes
}

// foreignCauses are the warnings of scenarios that have come with another sequence, and that say why one
// of them differs.
func foreignCauses(items []*item) []sharedCause {
	return sharedCauses(items, func(i *item) problem.List {
		if i.word() != "DIFFERS" {
			return nil
		}
		return i.foreign
	})
}

// sharedCauses counts in how many items each problem is, the most frequent first.
func sharedCauses(items []*item, of func(*item) problem.List) []sharedCause {
	var messages []string // in the order of the items
	places := map[string]problem.List{}
	for _, i := range items {
		var told []string // of this item: what it has twice counts once
		for _, p := range of(i) {
			if slices.Contains(told, p.Message) {
				continue
			}
			told = append(told, p.Message)
			if places[p.Message] == nil {
				messages = append(messages, p.Message)
			}
			places[p.Message] = append(places[p.Message], p)
		}
	}
	var causes []sharedCause
	for _, m := range messages {
		causes = append(causes, sharedCause{causeText(places[m]), len(places[m])})
	}
	slices.SortStableFunc(causes, func(a, b sharedCause) int { return cmp.Compare(b.count, a.count) })
	return causes
}

// causeText is a cause, with its location where several scenarios have it at the same one.
func causeText(list problem.List) string {
	first := list[0]
	elsewhere := func(p problem.Problem) bool {
		return p.File != first.File || p.Line != first.Line || p.Column != first.Column
	}
	if len(list) == 1 || first.File == "" || slices.ContainsFunc(list, elsewhere) {
		return first.Message
	}
	first.Excerpt = ""
	return first.Error()
}

// causesText is a paragraph a cause, with the number of scenarios ahead of it.
func causesText(s *page.Screen, title string, causes []sharedCause) string {
	if len(causes) == 0 {
		return ""
	}
	const ahead = 6
	text := "\n" + s.Style.Strong.Render(title) + "\n"
	for _, c := range causes {
		paragraph := page.Paragraph(s.Plain(page.CleanLine(c.text)), strings.Repeat(" ", ahead), s.Width)
		text += fmt.Sprintf("%*d ", ahead-1, c.count) + paragraph[min(ahead, len(paragraph)):]
	}
	return text
}
