package screens

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
)

func fruits() []choice {
	return []choice{
		{name: "again", pinned: true},
		{group: "stone", name: "plum", about: "blue"},
		{group: "stone", name: "peach", about: "soft"},
		{group: "seed", name: "apple", about: "keeps long"},
		{group: "seed", name: "pear", about: "does not keep"},
	}
}

func found(p *picker) []string {
	var names []string
	for _, c := range p.found {
		names = append(names, c.name)
	}
	return names
}

func TestPickerSearch(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text   string
		found  []string
		chosen string
	}{
		{"", []string{"again", "plum", "peach", "apple", "pear"}, "again"},
		{"pea", []string{"again", "peach", "pear"}, "peach"},
		{"PEAR", []string{"again", "pear"}, "pear"},
		{"seed", []string{"again", "apple", "pear"}, "apple"},
		{"keep not", []string{"again", "pear"}, "pear"},
		{"soft", []string{"again", "peach"}, "peach"},
		{"pch", []string{"again", "peach"}, "peach"}, // in their order
		{"zzz", []string{"again"}, "again"},
	} {
		t.Run(c.text, func(t *testing.T) {
			p := newPicker(fruits())
			for _, r := range c.text {
				p.write(keyOf(string(r)))
			}
			assert.Equal(t, c.found, found(&p))
			now, _ := p.now()
			assert.Equal(t, c.chosen, now.name)
		})
	}
}

func TestPickerKeepsItsChoice(t *testing.T) {
	t.Parallel()
	p := newPicker(fruits())
	for _, k := range []string{"p", "e", "a", "r", "ctrl+u"} {
		p.write(keyOf(k))
	}
	now, _ := p.now()
	assert.Equal(t, "pear", now.name, "when the search is emptied")
	p.fill(append(fruits()[1:], choice{name: "quince"}))
	now, _ = p.now()
	assert.Equal(t, "pear", now.name, "when there are other rows")
	p.fill(nil)
	_, ok := p.now()
	assert.False(t, ok, "nothing is chosen of nothing")
}

func TestPickerMoves(t *testing.T) {
	t.Parallel()
	keys := newPanelKeys()
	for _, c := range []struct {
		keys []string
		want string
	}{
		{[]string{"up"}, "again"},
		{[]string{"down"}, "plum"},
		{[]string{"down", "down", "up"}, "plum"},
		{[]string{"pgdown"}, "peach"},
		{[]string{"end"}, "pear"},
		{[]string{"end", "down"}, "pear"},
		{[]string{"end", "pgup"}, "peach"},
		{[]string{"end", "home"}, "again"},
	} {
		p := newPicker(fruits())
		for _, k := range c.keys {
			p.key(keyOf(k), &keys, 3)
		}
		now, _ := p.now()
		assert.Equal(t, c.want, now.name, c.keys)
	}
}

func TestPickerTakesAFileThatIsTyped(t *testing.T) {
	t.Parallel()
	p := newPicker(fruits())
	p.typed = typedFile
	for _, r := range "my/axis.yaml" {
		p.write(keyOf(string(r)))
	}
	now, ok := p.now()
	require.True(t, ok)
	assert.Equal(t, "my/axis.yaml", now.ref)
}

// Whatever is typed and however low the list, the chosen row is seen, and a click on a line
// chooses what stands in it.
func TestPickerShowsItsChoice(t *testing.T) {
	t.Parallel()
	keys := newPanelKeys()
	rapid.Check(t, func(t *rapid.T) {
		var all []choice
		for i := range rapid.IntRange(0, 30).Draw(t, "rows") {
			all = append(all, choice{group: fmt.Sprintf("g%d", i/rapid.IntRange(1, 5).Draw(t, "group")), name: fmt.Sprintf("row%dx", i), place: i})
		}
		p := newPicker(all)
		rows := rapid.IntRange(1, 12).Draw(t, "height")
		for _, k := range rapid.SliceOfN(rapid.SampledFrom([]string{"up", "down", "pgup", "pgdown", "home", "end", "r", "1", "x", "backspace"}), 0, 30).Draw(t, "keys") {
			p.key(keyOf(k), &keys, rows)
		}
		screen := page.New(40, rows, false)
		p.draw(screen.Area())
		now, ok := p.now()
		if !ok {
			return
		}
		assert.Contains(t, screen.Text(), "› "+now.name)
		y := rapid.IntRange(0, rows-1).Draw(t, "y")
		lines, top := p.lines(), p.first(p.lines(), rows)
		if hit, _ := p.click(y, rows); hit {
			assert.Equal(t, lines[top+y].at, p.at)
			assert.Equal(t, top, p.first(p.lines(), rows), "what is clicked stays where it is")
		}
	})
}
