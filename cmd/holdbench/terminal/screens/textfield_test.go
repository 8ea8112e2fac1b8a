package screens

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
)

func TestTextFieldKeys(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		keys []string
		want string
	}{
		{"types at the end", []string{"x"}, "one twox"},
		{"types a blank", []string{" ", "x"}, "one two x"},
		{"goes left", []string{"left", "x"}, "one twxo"},
		{"goes right again", []string{"left", "right", "x"}, "one twox"},
		{"home", []string{"home", "x"}, "xone two"},
		{"end", []string{"home", "end", "x"}, "one twox"},
		{"ctrl+a", []string{"ctrl+a", "x"}, "xone two"},
		{"ctrl+e", []string{"home", "ctrl+e", "x"}, "one twox"},
		{"backspace", []string{"backspace"}, "one tw"},
		{"backspace at the start", []string{"home", "backspace"}, "one two"},
		{"delete", []string{"home", "delete"}, "ne two"},
		{"delete at the end", []string{"delete"}, "one two"},
		{"a word back", []string{"ctrl+w"}, "one "},
		{"two words back", []string{"ctrl+w", "ctrl+w"}, ""},
		{"all before", []string{"left", "ctrl+u"}, "o"},
		{"all behind", []string{"home", "right", "ctrl+k"}, "o"},
		{"another key", []string{"up"}, "one two"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := newTextField("one two", "")
			for _, k := range c.keys {
				f.update(keyOf(k))
			}
			assert.Equal(t, c.want, f.text())
		})
	}
}

func TestTextFieldTakesWhatIsPasted(t *testing.T) {
	t.Parallel()
	f := newTextField("", "")
	f.update(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune("a\nb\x1b[31mc")})
	assert.Equal(t, "a b[31mc", f.text(), "what steers a terminal does not come through")
	f.update(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune(strings.Repeat("x", 10_000))})
	assert.Len(t, f.text(), mostTyped)
}

// Wherever the cursor is, it is seen, and no width makes a panic.
func TestTextFieldShowsItsCursor(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := newTextField(rapid.StringOfN(rapid.RuneFrom([]rune("aé字 .")), 0, 40, -1).Draw(t, "text"), "")
		for range rapid.IntRange(0, 40).Draw(t, "back") {
			f.update(keyOf("left"))
		}
		w := rapid.IntRange(0, 30).Draw(t, "width")
		p := page.New(w, 1, false)
		f.draw(p.Area(), true)
		if f.input.Position() == len([]rune(f.text())) && w >= 4 {
			assert.Contains(t, p.Text(), "_")
		}
	})
}

// What is typed first into a field with a present value replaces it; keys that move the cursor keep it.
func TestValueFieldIsReplaced(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		keys []string
		want string
	}{
		{"a number", []string{"1", "8", "0"}, "180"},
		{"behind the cursor", []string{"end", "0"}, "2000"},
		{"in front of it", []string{"home", "1"}, "1200"},
		{"with its last figure taken away", []string{"left", "right", "backspace"}, "20"},
		{"taken away whole", []string{"backspace"}, ""},
		{"deleted whole", []string{"delete"}, ""},
		{"left as it is", nil, "200"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := newValueField("200", "")
			for _, k := range c.keys {
				f.update(keyOf(k))
			}
			assert.Equal(t, c.want, f.text())
		})
	}
	f := newValueField("200", "")
	f.update(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune("1.5e2")})
	assert.Equal(t, "1.5e2", f.text(), "pasted")
}
