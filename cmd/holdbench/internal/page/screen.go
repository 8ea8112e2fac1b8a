package page

import (
	"io"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// The widths between which human output is laid out.
const (
	Narrow = 80
	Wide   = 120
	Widest = 240
)

// Screen is what the output looks like.
type Screen struct {
	Width int
	ASCII bool
	Style Styles
}

// Styles are the few looks that the output has. Each stands beside a word or a sign
// with the same meaning.
type Styles struct {
	Strong, Faint      lipgloss.Style
	Good, Warning, Bad lipgloss.Style
	Sequence, Plant    lipgloss.Style
}

// NewStyles uses colours that differ for all kinds of colour vision
// (M. Okabe, K. Ito, Color Universal Design, 2008).
func NewStyles(w io.Writer, profile termenv.Profile) Styles {
	r := lipgloss.NewRenderer(w)
	r.SetColorProfile(profile)
	colour := func(hex string) lipgloss.Style { return r.NewStyle().Foreground(lipgloss.Color(hex)) }
	return Styles{
		Strong:   r.NewStyle().Bold(true),
		Faint:    r.NewStyle().Faint(true),
		Good:     colour("#009E73"),
		Warning:  colour("#E69F00"),
		Bad:      colour("#D55E00").Bold(true),
		Sequence: colour("#E69F00"),
		Plant:    colour("#0072B2"),
	}
}
