package screens

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/sahilm/fuzzy"

	"holdbench/cmd/holdbench/terminal/page"
)

// choice is one row of a list.
type choice struct {
	group, name, about string
	tag                string // a word at the right
	mark               rune   // a sign before the name, 0 for none
	marked             bool   // rows of this list can have a mark
	ref                string // what it stands for
	place              int    // in the list that it was made from
	kind               int    // for lists of several kinds of rows
	pinned             bool   // found by every search
}

func (c *choice) same(d *choice) bool {
	return c.group == d.group && c.name == d.name && c.place == d.place && c.kind == d.kind
}

// picker is a list in which typing searches.
type picker struct {
	filter textField
	all    []choice
	found  []choice
	at     int                              // place in found
	top    int                              // first line shown
	typed  func(text string) (choice, bool) // what a text stands for that is in no list
}

func newPicker(all []choice) picker {
	p := picker{filter: newTextField("", "type part of a name or description")}
	p.fill(all)
	return p
}

// fill puts other rows in place and stays at the one chosen if it is still there.
func (p *picker) fill(all []choice) {
	was, ok := p.now()
	p.all = all
	p.search()
	if ok {
		p.moveTo(func(c *choice) bool { return c.same(&was) })
	}
}

// now is the row that is chosen, if there is any.
func (p *picker) now() (choice, bool) {
	if p.at < 0 || p.at >= len(p.found) {
		return choice{}, false
	}
	return p.found[p.at], true
}

// moveTo chooses the first row that fits.
func (p *picker) moveTo(fits func(*choice) bool) bool {
	for i := range p.found {
		if fits(&p.found[i]) {
			p.at = i
			return true
		}
	}
	return false
}

// search finds what has every word of the filter, in the order of the list. If there is
// nothing, it finds names with the letters in their order, the best first.
func (p *picker) search() {
	text := strings.ToLower(p.filter.text())
	words := strings.Fields(text)
	p.found, p.at, p.top = p.withWords(words), 0, 0
	if len(words) > 0 && !slices.ContainsFunc(p.found, func(c choice) bool { return !c.pinned }) {
		p.found = append(p.found, p.alike(words)...)
	}
	if p.typed != nil && len(words) > 0 {
		if c, ok := p.typed(strings.TrimSpace(p.filter.text())); ok {
			p.found = append([]choice{c}, p.found...)
			return
		}
	}
	if len(words) > 0 {
		p.at = p.best(strings.Join(words, " "))
	}
}

// nothing is whether a search found nothing but rows that every search finds, none of which has its words.
func (p *picker) nothing() bool {
	words := strings.Fields(strings.ToLower(p.filter.text()))
	other := func(c choice) bool { return !c.pinned || c.has(words) }
	return len(words) > 0 && !slices.ContainsFunc(p.found, other)
}

// has is whether a row has every one of the words.
func (c *choice) has(words []string) bool {
	text := strings.ToLower(c.name + " " + c.group + " " + c.about + " " + c.tag)
	return !slices.ContainsFunc(words, func(word string) bool { return !strings.Contains(text, word) })
}

func (p *picker) withWords(words []string) []choice {
	var list []choice
	for _, c := range p.all {
		if c.pinned || c.has(words) {
			list = append(list, c)
		}
	}
	return list
}

func (p *picker) alike(words []string) []choice {
	var names []string
	for _, c := range p.all {
		names = append(names, c.name)
	}
	var list []choice
	for _, m := range fuzzy.Find(strings.Join(words, ""), names) {
		if c := p.all[m.Index]; !c.pinned {
			c.group = "similar"
			list = append(list, c)
		}
	}
	return list
}

// best is the place of the row whose name fits a text best; a row that every search finds is meant only if its whole
// name is written.
func (p *picker) best(text string) int {
	if at := slices.IndexFunc(p.found, func(c choice) bool { return c.name == text }); at >= 0 {
		return at
	}
	for _, fits := range []func(*choice) bool{
		func(c *choice) bool { return strings.HasPrefix(c.name, text) },
		func(c *choice) bool { return strings.Contains(c.name, text) },
		func(*choice) bool { return true },
	} {
		at := slices.IndexFunc(p.found, func(c choice) bool { return !c.pinned && fits(&c) })
		if at >= 0 {
			return at
		}
	}
	return 0
}

// listLine is a line as it is drawn: a heading, or the row at a place of found.
type listLine struct {
	heading string
	at      int
}

func (p *picker) lines() []listLine {
	var lines []listLine
	group := ""
	for i, c := range p.found {
		if c.group != group && c.group != "" {
			lines = append(lines, listLine{c.group, -1})
		}
		group = c.group
		lines = append(lines, listLine{at: i})
	}
	return lines
}

// first is the first line to be shown, so that the chosen row is seen; going up shows its
// heading too.
func (p *picker) first(lines []listLine, rows int) int {
	line := slices.IndexFunc(lines, func(l listLine) bool { return l.at == p.at })
	top := p.top
	if line < top {
		top = line
		if line > 0 && lines[line-1].at < 0 {
			top--
		}
	}
	top = max(top, line-rows+1)
	return max(0, min(top, len(lines)-rows))
}

// move goes so many rows down, and stays within the list.
func (p *picker) move(by, rows int) {
	p.at = max(0, min(p.at+by, len(p.found)-1))
	p.top = p.first(p.lines(), rows)
}

// key takes the keys that move and, as text, all others; rows is the height of the list.
func (p *picker) key(msg tea.KeyMsg, keys *panelKeys, rows int) {
	switch {
	case key.Matches(msg, keys.Up):
		p.move(-1, rows)
	case key.Matches(msg, keys.Down):
		p.move(1, rows)
	case key.Matches(msg, keys.PageUp):
		p.move(-max(1, rows-1), rows)
	case key.Matches(msg, keys.PageDown):
		p.move(max(1, rows-1), rows)
	case key.Matches(msg, keys.First):
		p.move(-len(p.found), rows)
	case key.Matches(msg, keys.Last):
		p.move(len(p.found), rows)
	default:
		p.write(msg)
	}
}

// write hands a key to the filter. An emptied filter keeps the row that was chosen.
func (p *picker) write(msg tea.KeyMsg) {
	was, ok := p.now()
	if !p.filter.update(msg) {
		return
	}
	p.search()
	if ok && p.filter.text() == "" {
		p.moveTo(func(c *choice) bool { return c.name == was.name && c.place == was.place && c.kind == was.kind })
	}
}

// click chooses the row in a line of the list, and tells whether it was chosen before.
func (p *picker) click(y, rows int) (hit, again bool) {
	lines := p.lines()
	i := p.first(lines, rows) + y
	if y < 0 || y >= rows || i >= len(lines) || lines[i].at < 0 {
		return false, false
	}
	again = lines[i].at == p.at
	p.top = p.first(lines, rows) // what was clicked must not move
	p.at = lines[i].at
	return true, again
}

// draw draws the list over the area.
func (p *picker) draw(a page.Area) {
	if len(p.found) == 0 {
		a.Wrap(2, 0, page.Faint, "no match for “"+p.filter.text()+"”")
		return
	}
	lines := p.lines()
	top := p.first(lines, a.H())
	column := p.column(a.W())
	for y := range min(a.H(), len(lines)-top) {
		line := lines[top+y]
		if line.at < 0 {
			a.Text(0, y, page.Heading, line.heading)
			continue
		}
		p.drawRow(a.Sub(0, y, a.W()-1, 1), line.at, column)
	}
	if top > 0 {
		a.Set(a.W()-1, 0, '↑', page.Key)
	}
	if top+a.H() < len(lines) {
		a.Set(a.W()-1, a.H()-1, '↓', page.Key)
	}
}

// column is where the words behind the names begin; 0 for none.
func (p *picker) column(w int) int {
	longest := 0
	for i := range p.all {
		longest = max(longest, page.Width(p.all[i].name)+p.all[i].indent())
	}
	if w-longest < 20 {
		return 0
	}
	return longest + 4
}

// indent is the room of a mark before the name, of all rows of a list that can have one.
func (c *choice) indent() int {
	if c.marked {
		return 1
	}
	return 0
}

// drawRow draws one row. The chosen one has a sign as well as a look.
func (p *picker) drawRow(a page.Area, at, column int) {
	c := &p.found[at]
	name, about := page.Plain, page.Faint
	if at == p.at {
		a.Fill(' ', page.Chosen)
		name, about = page.Chosen, page.Chosen
		a.Set(0, 0, '›', page.Chosen)
	}
	if c.mark != 0 {
		a.Set(1, 0, c.mark, name)
	}
	room := a
	if c.tag != "" {
		a.Right(0, about, c.tag)
		room = a.Sub(0, 0, a.W()-page.Width(c.tag)-1, 1)
	}
	end := room.Fit(2+c.indent(), 0, name, c.name)
	if column > 0 && c.about != "" {
		room.Fit(max(column, end+1), 0, about, c.about)
	}
}
