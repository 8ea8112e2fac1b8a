package terminal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/scenarios"
)

// save writes what the screen shows as a picture and as text, beside whatever was
// saved before.
func (r *root) save() tea.Cmd {
	if r.page == nil {
		r.draw()
	}
	shown, name := r.page, filepath.Join(r.folder, r.bench.Name())
	return func() tea.Msg {
		base, err := saveScreen(shown, name)
		if err != nil {
			return screens.Notice{Text: err.Error(), Bad: true}
		}
		return screens.Notice{Text: "saved as " + base + ".svg and .txt"}
	}
}

// saveScreen finds a name that is free and writes both files.
func saveScreen(p *page.Page, name string) (string, error) {
	const most = 1000
	for n := 1; n < most; n++ {
		base := name
		if n > 1 {
			base = fmt.Sprintf("%s-%d", name, n)
		}
		err := writeBoth(p, base)
		switch {
		case err == nil:
			return base, nil
		case !errors.Is(err, fs.ErrExist):
			return "", fmt.Errorf("the screen is not saved: %w", err)
		}
	}
	return "", fmt.Errorf("the screen is not saved: %d pictures of that name exist already", most)
}

// writeBoth writes the picture and the text, or neither.
func writeBoth(p *page.Page, base string) error {
	picture := base + ".svg"
	if err := scenarios.Save(picture, p.SVG(filepath.Base(base), false), false); err != nil {
		return err
	}
	err := scenarios.Save(base+".txt", []byte(p.Text()+"\n"), false)
	if err != nil {
		_ = os.Remove(picture) // the text's error is the one to tell
	}
	return err
}
