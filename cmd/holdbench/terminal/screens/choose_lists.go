package screens

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
)

// start chooses what a reference means; what is in no list is a file.
func (p *picker) start(ref string) {
	if ref == "" || p.moveTo(func(c *choice) bool { return c.ref == ref }) {
		return
	}
	p.fill(append([]choice{{name: ref, ref: ref, about: "on the bench", pinned: true}}, p.all...))
	p.at = 0
}

// typedFile is what a text stands for that names a file.
func typedFile(text string) (choice, bool) {
	ext := filepath.Ext(text)
	if ext != ".yaml" && ext != ".yml" {
		return choice{}, false
	}
	return choice{name: text, ref: text, about: "the file of this name"}, true
}

// builtinScenarios lists what is built in with titles and lessons.
func builtinScenarios() []choice {
	var list []choice
	for _, e := range scenarios.Builtin(scenarios.ScenarioKind) {
		list = append(list, described(scenarios.ScenarioKind, e.Name, e.Name, "title", e.Group))
	}
	return list
}

// withOwn lists the built-in documents of a kind after the scenario's own.
func withOwn(kind scenarios.Kind, about string) []choice {
	list := []choice{{name: "the scenario's own", pinned: true}}
	for _, name := range scenarios.Names(kind) {
		list = append(list, described(kind, name, name, about, ""))
	}
	return list
}

// described is a document's row with the words of one of its keys. Reading the whole of a
// document takes too long for a list: its lines tell enough.
func described(kind scenarios.Kind, ref, name, about, group string) choice {
	c := choice{group: group, name: name, ref: ref}
	_, text, err := scenarios.Text(kind, ref)
	if err != nil {
		c.about = err.Error()
		return c
	}
	for line := range strings.Lines(string(text)) {
		word, rest, found := strings.Cut(line, ":")
		rest = strings.Trim(strings.TrimSpace(rest), `"'`)
		switch {
		case !found:
		case word == about && !strings.ContainsAny(rest[:min(1, len(rest))], ">|"):
			c.about = rest
		case word == "lesson":
			c.tag = "lesson"
		}
	}
	return c
}

// listed are the scenarios in the folder.
type listed struct {
	of   *chooseScreen
	rows []choice
	err  error
}

// listFolder looks for scenarios in the folder, which may be large.
func (c *chooseScreen) listFolder() tea.Msg {
	folder := c.now.Folder
	if folder == "" {
		folder = "."
	}
	files, _, err := scenarios.Expand(context.Background(), []string{folder}, c.now.Overrides.Reach)
	l := listed{of: c}
	var unreadable *fs.PathError
	if errors.As(err, &unreadable) {
		l.err = err
	}
	for _, file := range files {
		name := file
		if below, err := filepath.Rel(folder, file); err == nil {
			name = below
		}
		l.rows = append(l.rows, described(scenarios.ScenarioKind, file, name, "title", "in the folder "+folder))
	}
	return l
}
