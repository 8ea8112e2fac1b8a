package page_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
)

var update = flag.Bool("update", false, "rewrite golden files")

// sample holds every kind of sign and every role.
func sample() *page.Page {
	p := page.New(44, 14, false)
	a := p.Area()
	a.Rule(0, "Torque")
	roles := []string{"plain", "faint", "strong", "heading", "motor", "asked", "brake", "truth", "good", "bad", "fault", "ghost", "nominal", "chosen", "key", "caution"}
	for i, name := range roles {
		a.Text(1+11*(i%4), 1+i/4, page.Role(i), name+" ▂▅█")
	}
	a.Text(1, 6, page.Plain, "┌──┬──┐  ╭──╮")
	a.Text(1, 7, page.Plain, "├──┼──┤  │  │")
	a.Text(1, 8, page.Plain, "└──┴──┘  ╰──╯")
	a.Text(16, 6, page.Motor, "▁▂▃▄▅▆▇█")
	a.Text(16, 7, page.Brake, "▏▎▍▌▋▊▉█▐▔▕")
	a.Text(16, 8, page.Truth, "▖▗▘▝▀▄▌▐▙▚▛▜▞▟")
	a.Text(1, 9, page.Fault, "░░▒▒▓▓██")
	a.Text(16, 9, page.Motor, "⠁⠂⠄⡀⠈⠐⠠⢀⣿⠉⠒⠤⣀")
	a.Text(1, 10, page.Plain, "47.3 N·m  −0.5°  √2  a → b  ✓ ✗ ≤ ≥ ≠ ┄┄")
	a.Text(1, 11, page.Plain, `<b> & "c" 'd' 世界 end`)
	a.Sub(0, 12, 44, 1).Fill(' ', page.Chosen)
	a.Text(1, 12, page.Chosen, "chosen  row ── █")
	a.Text(1, 13, page.Key, "q")
	a.Text(3, 13, page.Faint, "quit")
	return p
}

func TestSVGGolden(t *testing.T) {
	t.Parallel()
	for name, dark := range map[string]bool{"light.svg": false, "dark.svg": true} {
		got := sample().SVG("Every role & sign", dark)
		file := filepath.Join("testdata", name)
		if *update {
			require.NoError(t, os.WriteFile(file, got, 0o600))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got), name)
	}
}

// read parses a picture and returns its title and its text without blanks.
func read(t require.TestingT, svg []byte) (title, text string) {
	decoder := xml.NewDecoder(strings.NewReader(string(svg)))
	element := ""
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return title, text
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			element = token.Name.Local
		case xml.EndElement:
			element = ""
		case xml.CharData:
			switch element {
			case "title":
				title += string(token)
			case "text":
				text += strings.ReplaceAll(string(token), " ", "")
			}
		}
	}
}

// A picture is well-formed whatever was drawn, and has every letter of the page in order.
func TestSVGHasThePagesText(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := page.New(size(t, "width"), size(t, "height"), false)
		scrawl(t, p.Area())
		svg := p.SVG(anyText().Draw(t, "title"), rapid.Bool().Draw(t, "dark"))
		want := strings.Map(func(r rune) rune {
			switch {
			case strings.ContainsRune(" \n\ufffe\uffff\ufffd", r), r >= 0x2500 && r < 0x25a0, r >= 0x2800 && r < 0x2900:
				return -1
			}
			return r
		}, p.Text())
		_, got := read(t, svg)
		got = strings.ReplaceAll(got, "\ufffd", "")
		require.Equal(t, want, got)
	})
}

func TestSVGTitleIsEscaped(t *testing.T) {
	t.Parallel()
	title, _ := read(t, page.New(2, 1, false).SVG(`a < b & "c"`, false))
	assert.Equal(t, `a < b & "c"`, title)
}

func TestSVGIsTheSameForTheSamePage(t *testing.T) {
	t.Parallel()
	p := sample()
	first := p.SVG("t", true)
	assert.Equal(t, first, p.SVG("t", true), "the same page twice")
	assert.Equal(t, first, sample().SVG("t", true), "an equal page")
	assert.NotEqual(t, first, p.SVG("t", false))
}
