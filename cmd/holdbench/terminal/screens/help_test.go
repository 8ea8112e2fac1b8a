package screens

import (
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func newTestHelp() *helpScreen {
	keys := newBenchKeys()
	return newHelp(keys.help())
}

// The cautions of the design must be seen first, on the smallest screen too.
func TestHelpBeginsWithTheCautions(t *testing.T) {
	t.Parallel()
	h := sized(t, newTestHelp(), 80, 24)
	screen := strings.Join(strings.Fields(text(h, 80, 24)), " ")
	for _, words := range []string{
		"A simulation proves no machine safe", "under a raised load", "prop it", "risk assessment",
		"EN ISO 13849-1 and -2", "IEC 61800-5-2", "EN ISO 16090-1", "local rules", "qualified people",
	} {
		assert.Contains(t, screen, words)
	}
}

// Every key of the bench can be read somewhere in the page.
func TestHelpShowsEveryKey(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		h := sized(t, newTestHelp(), size[0], size[1])
		seen := []string{text(h, size[0], size[1])}
		for range 60 {
			press(t, h, "down")
			seen = append(seen, text(h, size[0], size[1]))
		}
		keys := newBenchKeys()
		for _, g := range keys.groups() {
			for _, k := range g.keys {
				shown := func(screen string) bool { return strings.Contains(screen, k.Help().Desc) }
				assert.True(t, slices.ContainsFunc(seen, shown), "%q at %v", k.Help().Desc, size)
			}
		}
	}
}

func TestHelpKeys(t *testing.T) {
	t.Parallel()
	for _, k := range []string{"esc", "enter", "?", "q"} {
		h := sized(t, newTestHelp(), 80, 24)
		assert.Equal(t, []tea.Msg{Close{}}, press(t, h, k), k)
	}
	h := sized(t, newTestHelp(), 80, 24)
	top := text(h, 80, 24)
	for _, c := range [][2]string{{"down", "up"}, {"pgdown", "pgup"}, {"end", "home"}} {
		press(t, h, c[0])
		assert.NotEqual(t, top, text(h, 80, 24), c[0])
		press(t, h, c[1])
		assert.Equal(t, top, text(h, 80, 24), c[1])
	}
	press(t, h, "end")
	bottom := text(h, 80, 24)
	assert.NotContains(t, bottom, "↓\n")
	press(t, h, "down", "pgdown")
	assert.Equal(t, bottom, text(h, 80, 24))
	feed(t, h, tea.MouseMsg{X: 5, Y: 5, Button: tea.MouseButtonWheelUp})
	assert.NotEqual(t, bottom, text(h, 80, 24))
	assert.False(t, h.Typing())
}

func TestHelpFitsALargerScreen(t *testing.T) {
	t.Parallel()
	h := sized(t, newTestHelp(), 80, 24)
	press(t, h, "end")
	feed(t, h, tea.WindowSizeMsg{Width: 200, Height: 60})
	require.Zero(t, h.offset, "what fits needs no scrolling")
}

func TestHelpWithoutKeys(t *testing.T) {
	t.Parallel()
	h := sized(t, newHelp(nil), 80, 24)
	assert.Contains(t, text(h, 80, 24), "A simulation proves no machine safe")
}

func TestHelpScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		h := sized(t, newTestHelp(), size[0], size[1])
		golden(t, sizeName("help", size), text(h, size[0], size[1]))
	}
}
